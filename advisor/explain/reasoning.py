"""Why this question, why not the other causes, and how the walk got here, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.dialogue.answer import Answer
from advisor.dialogue.replies import Trailed, WhyAsked, WhyNot
from advisor.dialogue.walk import Line, Question, Step, Walk
from advisor.explain.account import what_to_do
from advisor.explain.filling import fill
from advisor.explain.shop import shop_words
from advisor.explain.text import Block, Heading, Points, Say, Text
from advisor.explain.wording import in_units, interval_words, named_at, shown_unit, value_words
from advisor.geometry.measuring import Measured
from advisor.geometry.one_number import measure_or_field
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import FIRST, Aim, Ask, Cause, Check, Do, Mount, Refer, Tell
from advisor.graph.window_branches import spans_at
from advisor.knowledge.trees import Trees
from advisor.sheet.units import UnitSystem

if TYPE_CHECKING:
    from advisor.sheet.readings import Known
    from advisor.solve.search import Search

_SECONDS = 60


def minutes_words(minutes: float) -> str:
    """Return bench time in words.

    Examples
    --------
    >>> minutes_words(0.2), minutes_words(1), minutes_words(3)
    ('12 seconds', '1 minute', '3 minutes')
    >>> minutes_words(1.1), minutes_words(1.6)
    ('1 minute', '1.5 minutes')

    """
    if minutes < 1:
        return f"{minutes * _SECONDS:.0f} seconds"
    minutes = round(minutes * 2) / 2
    return "1 minute" if minutes == 1 else f"{minutes:g} minutes"


def why_text(reply: WhyAsked, knowledge: Knowledge, units: UnitSystem) -> Text:
    """Return why a question is put, what each answer would lead to, and why it comes first."""
    question, node = reply.question, reply.question.node
    blocks: list[Block] = [Heading("Why this question")]
    blocks.append(Say(node.says if node.says and not isinstance(node, Aim | Do | Mount) else _LACKING))
    if isinstance(node, Aim | Do | Mount):
        return tuple(blocks)
    blocks.append(Say(in_units(node.how_so, units)))
    if question.fact.kind == "number" and any(not one.known for one in question.measured):
        words = {named_at(one.key)[0] for one in question.measured if not one.known}
        blocks.append(Say(f"It takes this number to work it out: {', '.join(sorted(words))}."))
    blocks += [
        Say(f"It could go either way: {_placed(one)} is {value_words(one, units)}.")
        for one in question.measured
        if one.known and one.plus_minus > 0
    ]
    blocks.append(Heading("What the answers would lead to"))
    blocks.append(
        Points(tuple(_lead_words(reply, lead.answer, lead.line, knowledge, units) for lead in question.leads))
    )
    blocks.append(Say(_place_words(question, reply.walk, reply.case.trees)))
    return tuple(blocks)


def _placed(one: Measured) -> str:
    words, side = named_at(one.key)
    return f"at the {side} foot, {words}" if side else words


_LACKING = "How far to move can't be worked out without it."


def _place_words(question: Question, walk: Walk, trees: Trees) -> str:
    if walk.entry.kind == "question":
        return f"Finding out takes about {minutes_words(question.minutes)}."
    share = f"{question.suspect.odds:.0%}".replace("%", " %")
    asked = [line.question.fact.id for line in walk.lines if line.question]
    if len(asked) > 1 and set(asked) == {question.fact.id} and isinstance(question.node, Ask):
        return f"It comes before everything else, and finding out takes about {minutes_words(question.minutes)}."
    others = len(walk.questions) - 1
    first = f"Of {others + 1} open questions this comes first" if others else "It is the only question left"
    told = (
        f"{first}: before anything is known, about {share} of such complaints come from this "
        f"({question.suspect.words}), and finding out takes about {minutes_words(question.minutes)}."
    )
    return f"{told} {shop_words(question.suspect, trees)}".strip()


def _lead_words(reply: WhyAsked, answer: str, line: Line, knowledge: Knowledge, units: UnitSystem) -> str:
    question, node = reply.question, reply.question.node
    if isinstance(node, Check):
        span = spans_at(node, reply.case.known.setup, reply.case.trees)[int(answer)]
        unit = shown_unit(node.measure, measure_or_field(node.measure).unit)
        label = f"{named_at(node.measure)[0]} {interval_words(span.low, span.high, unit, units)}"
    else:
        label = question.fact.options[answer]
    return f"{label} -> {_end_words(line, knowledge, reply.case.known, units)}"


def _end_words(line: Line, knowledge: Knowledge, known: Known, units: UnitSystem) -> str:
    if line.status == "cleared":
        return "that is not it; on to what is left"
    if line.status == "open" and line.question:
        return f"then the question: {line.question.fact.question}"
    if line.cause:
        return knowledge.cause(line.cause).title
    if isinstance(line.end, Refer):
        return f"that goes to {knowledge.referral(line.end.referral).to}"
    says = line.end.says if isinstance(line.end, Aim | Do | Mount | Tell) else ""
    first = fill(says.partition(". ")[0], known, line.feet, units)
    if not first or "not known" in first:
        return "worked out from the numbers"
    return first if first.endswith(".") else f"{first}."


def why_not_text(reply: WhyNot, knowledge: Knowledge, units: UnitSystem) -> Text:
    """Return, for every suspect that is not the answer, the first condition that failed, with its number."""
    found = reply.walk.found
    rows = [
        f"{_capital(line.suspect.words)}: {_why_not(line, knowledge, units)}"
        for line in reply.walk.lines
        if found is None or line.suspect.start != found.suspect.start
    ]
    if not rows:
        return (Say("There is no other suspect for this."),)
    return (Heading("Why not the others"), Points(tuple(rows)))


def _why_not(line: Line, knowledge: Knowledge, units: UnitSystem) -> str:
    if line.status == "cleared" and line.steps:
        return f"no. {_capital(step_words(line.steps[-1], knowledge, units))}."
    if line.status == "found" and line.cause:
        return f"it shows too, and is next in turn. {knowledge.cause(line.cause).title}."
    if line.status == "open" and line.question:
        return f"not looked at yet. It hangs on this: {line.question.fact.question}"
    needs = dict.fromkeys(path for step in line.steps for one in step.measured for path in one.needs)
    asked = [knowledge.facts[path].question for path in needs if path in knowledge.facts]
    return f"could not be checked with what is known. {' '.join(asked)}".strip()


def trail_text(reply: Trailed, knowledge: Knowledge, units: UnitSystem) -> Text:
    """Return every step that was walked, suspect by suspect, the answer's own first."""
    walk = reply.walk
    blocks: list[Block] = [Heading("How we got here"), Say(_sentence(walk.entry.title))]
    found = [walk.found] if walk.found and walk.found.steps else []
    others = [line for line in walk.lines if line is not walk.found and _own_steps(line)]
    for line in (*found, *others):
        verdict = "this is it" if line is walk.found else _VERDICTS[line.status]
        blocks.append(Say(f"{_capital(line.suspect.words)} ({verdict}):"))
        steps = line.steps if line is walk.found else _own_steps(line)
        blocks.append(Points(tuple(_capital(step_words(step, knowledge, units)) for step in steps)))
    waiting = [line.suspect.words for line in walk.lines if line is not walk.found and not _own_steps(line)]
    if waiting:
        blocks.append(Say(f"Not looked at yet: {'; '.join(waiting)}."))
    if reply.answer and reply.answer.choice and reply.answer.search:
        blocks += _why_this_adjustment(reply.answer, reply.answer.search, units)
    return tuple(blocks)


def _own_steps(line: Line) -> tuple[Step, ...]:
    """Return a line's steps without what is asked before every suspect alike."""
    return tuple(step for step in line.steps if FIRST not in step.node.id)


_VERDICTS = {"cleared": "no", "found": "shows too", "open": "open", "unchecked": "could not be checked"}


def _why_this_adjustment(answer: Answer, search: Search, units: UnitSystem) -> list[Block]:
    assert answer.choice is not None
    blocks: list[Block] = [Heading("Why this adjustment")]
    if answer.choice.reason:
        blocks.append(Say(_sentence(in_units(answer.choice.reason, units))))
    beaten = tuple(
        f"{' '.join(what_to_do(choice, units))} {_sentence(in_units(choice.reason, units))}".strip()
        for choice in search.runners_up
    )
    if beaten:
        blocks += [Say("Also weighed:"), Points(beaten)]
    return blocks


def step_words(step: Step, knowledge: Knowledge, units: UnitSystem) -> str:
    """Return one step: the measure against its threshold with the source, or the question with its answer."""
    node = step.node
    if isinstance(node, Cause):
        return knowledge.cause(node.cause).title
    if isinstance(node, Ask):
        fact = knowledge.facts[node.fact]
        if step.moot:
            return f"{fact.question} Not asked, for every answer ends alike"
        return (
            f"{fact.question} {fact.options.get(step.answer, step.answer) if step.answer else 'It could not be told'}"
        )
    wanted = measure_or_field(node.measure)
    values = ", ".join(_at_foot(one, units) for one in step.measured)
    if step.moot:
        return f"{wanted.words}: {values}; it makes no difference here"
    if step.span is None:
        return f"{wanted.words}: {values}"
    branch = interval_words(step.span.low, step.span.high, shown_unit(wanted.id, wanted.unit), units)
    doubt = "" if step.sure else ", though the ± reaches further"
    return f"{wanted.words}: {values}; that is {branch}{doubt} ({knowledge.source(node.source)})"


def _at_foot(one: Measured, units: UnitSystem) -> str:
    return f"{one.place.side} {value_words(one, units)}" if one.place.side else value_words(one, units)


def _sentence(words: str) -> str:
    return _capital(words if words.endswith((".", "?", "!")) else f"{words}.") if words else ""


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
