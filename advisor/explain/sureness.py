"""How sure an answer is, what would settle it, and what would flip it, in words.

Working it out searches again on many sheets drawn within the ± of the inputs; it takes a second or two, so it is told
only when asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.dialogue.phrasebook import load_phrasebook
from advisor.explain.account import what_to_do
from advisor.explain.chances import chance_words, ladder_text, often, sure_words
from advisor.explain.text import Block, Heading, Points, Say, Text
from advisor.explain.wording import quantity, told_words
from advisor.knowledge.trees import Trees
from advisor.sheet.fields import field_rows
from advisor.sheet.units import UnitSystem
from advisor.solve.adjustments import load_adjustments

if TYPE_CHECKING:
    from collections.abc import Mapping

    from advisor.dialogue.answer import Answer
    from advisor.graph.knowledge import Knowledge
    from advisor.graph.nodes import Fact
    from advisor.solve.chance.likely import Likely
    from advisor.solve.confidence import Signature
    from advisor.solve.search import Search

_DRAWS = 60
_WORTH = 0.05
_SOON = 0.5


def answer_sureness(answer: Answer, knowledge: Knowledge, units: UnitSystem = "metric") -> Text:
    """Return how sure an answer is: by chances where it was searched so, else by drawn sheets."""
    facts = knowledge.facts
    if answer.search is None:
        return ()
    if answer.likely is None:
        return sureness_text(answer.search, facts, units)
    chance = Say(chance_words(answer, units))
    told = (*sure_words(answer, units), *_settling(answer.likely, facts), *ladder_text(answer.likely, units))
    return (Heading("How sure"), chance, *told, *_flips(answer, knowledge, units))


def _flips(answer: Answer, knowledge: Knowledge, units: UnitSystem) -> Text:
    """Return the nearest values that would flip an answer, either way, and what it would be then."""
    from advisor.dialogue.what_flips import what_flips

    said = load_phrasebook(answer.case.trees).said
    told = []
    for one in what_flips(knowledge, answer):
        row = field_rows()[one.path]
        needed, now = told_words(one.path, one.needed, units), quantity(one.now, row.unit, units)
        told.append(Say(said["flips"].format(needed=needed, now=now, instead=_instead(one.instead, units))))
    return tuple(told) or (Say(said["no_flip"]),)


def _instead(answer: Answer, units: UnitSystem) -> str:
    """Return an answer in a few words."""
    if answer.choice and answer.choice.changes:
        return " ".join(what_to_do(answer.choice, units))
    said = load_phrasebook(answer.case.trees).said
    if answer.referral and answer.referral.to != "nobody":
        return said["flips_to"].format(to=answer.referral.to)
    return said["flips_to_nothing"]


def _settling(found: Likely, facts: Mapping[str, Fact]) -> Text:
    """Return the one number that is worth measuring first, where the step chosen by it is likelier to do."""
    from advisor.solve.chance.likely import worth_measuring

    gains = {field: gain for field, gain in worth_measuring(found).items() if field in facts}
    best = max(gains, key=lambda field: gains[field] / max(facts[field].minutes, _SOON), default="")
    if not best or gains[best] < _WORTH:
        return ()
    trees = found.model.trees
    words = load_phrasebook(trees).said["settles"]
    words = words.format(field=_field_words(best), often=often(found.chance + gains[best], trees))
    return (Say(words), Say(f"How to find out: {facts[best].how}"))


def sureness_text(search: Search, facts: Mapping[str, Fact], units: UnitSystem = "metric") -> Text:
    """Return in how many of the sheets that the ± allow the same advice wins, and the nearest change that flips it.

    `facts` tells how the one reading that would settle it is taken at the bench.
    """
    from advisor.solve.confidence import confidence
    from advisor.solve.counterfactual import counterfactual

    found = confidence(search, draws=_DRAWS)
    same = round(found.share * found.draws)
    blocks: list[Block] = [
        Heading("How sure"),
        Say(f"{found.draws} sheets were drawn within the ± of what is known: in {same} of them the same advice wins."),
    ]
    if found.instead:
        blocks.append(Say("In the others:"))
        blocks.append(
            Points(
                tuple(
                    f"in {round(share * found.draws)}: {_signature_words(what, search.known.trees)}"
                    for what, share in found.instead
                )
            )
        )
    if found.settle:
        blocks.append(
            Say(
                f"What would settle it: the {_field_words(found.settle.path)}. With that known, the same advice would "
                f"win in {found.settle.share:.0%}".replace("%", " %")
                + " of them."
            )
        )
        if found.settle.path in facts:
            blocks.append(Say(f"How to find out: {facts[found.settle.path].how}"))
    flip = counterfactual(search)
    if flip and quantity(flip.now, flip.unit, units) != quantity(flip.needed, flip.unit, units):
        now, needed = quantity(flip.now, flip.unit, units), told_words(flip.path, flip.needed, units)
        then = _signature_words(flip.instead, search.known.trees)
        blocks.append(Say(f"What would flip it first: {needed} instead of {now}. Then: {then}."))
    else:
        blocks.append(Say("No single number, within reason, would flip it."))
    return tuple(blocks)


def _field_words(path: str) -> str:
    return field_rows()[path].words.partition(",")[0]


def _signature_words(signature: Signature, trees: Trees) -> str:
    if signature == "leave":
        return "leave it as it is"
    if isinstance(signature, str):
        return "no adjustment does it"
    at: dict[str, list[str]] = {}
    for name, _ in signature:
        adjustment, _, foot = name.partition(".")
        known = load_adjustments(trees).get(adjustment)
        words = known.words if known else adjustment.replace("_", " ")
        at.setdefault(foot, []).append(words.replace(f"the {foot} ", "the ") if foot else words)
    return "; ".join((f"at the {foot} foot " if foot else "") + ", ".join(words) for foot, words in at.items())
