"""How likely a change cures, in words: what it alone does, what less or more would do, and how sure that all is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.dialogue.phrasebook import load_phrasebook
from advisor.explain.text import Block, Heading, Points, Say
from advisor.explain.wording import field_name, in_units, named_at, quantity
from advisor.knowledge.trees import Trees
from advisor.sheet.units import UnitSystem
from advisor.solve.choice import changes_of

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer
    from advisor.solve.chance.ladder import Rung
    from advisor.solve.chance.likely import Likely

_LESS = 0.15
_SMALL = 0.2


def often(chance: float, trees: Trees) -> str:
    """Return a chance in words.

    Examples
    --------
    >>> from advisor.knowledge.trees import authors
    >>> often(0.8, authors()), often(0.5, authors())
    ('four times in five', 'every second time')

    """
    return next(words for least, words in load_phrasebook(trees).often if chance >= least)


def chance_words(answer: Answer, units: UnitSystem) -> str:
    """Return how often today's step does it, and what a smaller one would do; empty where nothing is known of it."""
    found = answer.likely
    if found is None:
        return ""
    trees = answer.case.trees
    said = load_phrasebook(trees).said
    told = [said["odds_first" if answer.goal else "odds_alone"].format(often=often(found.chance, trees))]
    rungs = found.ladder
    at = rungs.index(found.today)
    mine = {lever for lever, _ in found.today.way}
    smaller = [r for r in rungs[:at] if {lever for lever, _ in r.way} == mine and r.chance >= _SMALL]
    if smaller and found.chance - smaller[-1].chance >= _LESS:
        step = _size_words(found, smaller[-1], units)
        if step:
            told.append(said["odds_smaller"].format(step=step, often=often(smaller[-1].chance, trees)))
    if found.model.agrees < answer.doubtful_below:
        told.append(said["hardly_agrees"])
    return " ".join(told)


def _size_words(found: Likely, rung: Rung, units: UnitSystem) -> str:
    """Return a step's size alone, such as `3 mm`."""
    (lever, option) = rung.way[0]
    offered = found.model.hunt.levers[lever]
    if offered.way.unit not in {"mm", "deg"}:
        return ""
    return quantity(abs(offered.options[option].by), offered.way.unit, units)


def rung_words(found: Likely, rung: Rung, units: UnitSystem) -> str:
    """Return what a step of the ladder does, in the imperative."""
    hunt = found.model.hunt
    chosen = [(hunt.levers[lever], hunt.levers[lever].options[option]) for lever, option in rung.way]
    told = [change.words for change in changes_of(chosen, found.model.known)]
    words = in_units(", and ".join(told), units)
    return f"{words[:1].upper()}{words[1:]}."


def ladder_text(found: Likely, units: UnitSystem) -> list[Block]:
    """Return smaller, larger and other steps, each with its chance and price."""
    trees = found.model.trees
    said = load_phrasebook(trees).said
    rows = []
    for rung in found.ladder:
        if rung is found.today:
            continue
        price = said["ladder_price"].format(spoils=" and ".join(_at_foot(key) for key in rung.spoiled))
        rows.append(
            said["ladder_row"].format(
                do=rung_words(found, rung, units),
                often=often(rung.chance, trees),
                minutes=_minutes(rung.minutes),
                price=price if rung.spoiled else "",
            )
        )
    return [Heading(said["ladder_head"]), Points(tuple(rows))] if rows else []


def done_by(rung: Rung, trees: Trees) -> str:
    """Return how often a step does it, as a sentence."""
    words = load_phrasebook(trees).said["done_by"]
    return words.format(often=often(rung.chance, trees), minutes=_minutes(rung.minutes))


def sure_words(answer: Answer, units: UnitSystem) -> list[Block]:
    """Return how sure cause, direction and size are, each in a sentence."""
    found, trees = answer.likely, answer.case.trees
    said = load_phrasebook(trees).said
    if found is None:
        return []
    told = [
        said["sure_cause"].format(often=often(answer.cause_share, trees)),
        said["sure_direction"].format(often=often(found.direction, trees)),
    ]
    sizes = []
    for path, (low, high) in found.sizes.items():
        unit = next((c.unit for c in answer.choice.changes if c.path == path), "") if answer.choice else ""
        shown = unit if unit in {"mm", "deg"} else ""
        ends = sorted((abs(low), abs(high)))
        near, far = (quantity(end, shown, units) for end in ends)
        sizes.append(f"{field_name(path)} by {near if near == far else f'{near} to {far}'}")
    if sizes:
        told.append(said["sure_size"].format(sizes=", ".join(sizes)))
    return [Say(sentence) for sentence in told]


def _minutes(minutes: float) -> str:
    return f"{minutes:g} minute{'' if minutes == 1 else 's'}"


def _at_foot(key: str) -> str:
    words, side = named_at(key)
    return f"the {side} {words}" if side else f"the {words}"
