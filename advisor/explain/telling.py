"""Every reply of the conversation in words."""

from __future__ import annotations

from functools import singledispatch

from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.replies import (
    Answered,
    Asked,
    Clarify,
    Greeted,
    Helped,
    Lost,
    Noted,
    Numbers,
    Pictured,
    Stopped,
    Trailed,
    Tried,
    Troubled,
    WhyAsked,
    WhyNot,
)
from advisor.dialogue.walk import Line, Question, Step
from advisor.explain.account import answer_text, effects_text
from advisor.explain.text import Block, Drawing, Heading, Points, Say, Table, Text
from advisor.explain.wording import interval_words, title_of, value_words
from advisor.geometry.measuring import measure_all
from advisor.geometry.register import MEASURES
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.graph.nodes import Aim, Ask, Cause, Check
from advisor.sheet.units import UnitSystem

__all__ = ["Telling", "tell"]


class Telling:
    """How replies are told: units, width of pictures, plain characters or not."""

    def __init__(
        self,
        knowledge: Knowledge | None = None,
        units: UnitSystem = "metric",
        width: int = 80,
        ascii_only: bool = False,
    ) -> None:
        self.knowledge = knowledge or load_knowledge()
        self.units = units
        self.width = width
        self.ascii_only = ascii_only


@singledispatch
def tell(reply: object, how: Telling) -> Text:
    """Return a reply in words."""
    raise NotImplementedError(type(reply).__name__)


@tell.register
def _greeted(reply: Greeted, how: Telling) -> Text:
    del how
    said = load_phrasebook().said["greeting"]
    return (Say(f"{said} (sheet: {reply.sheet_name})" if reply.sheet_name else said),)


@tell.register
def _asked(reply: Asked, how: Telling) -> Text:
    blocks = _opening(reply)
    return (*blocks, *_question(reply.question, how))


@tell.register
def _answered(reply: Answered, how: Telling) -> Text:
    return (*_opening(reply), *answer_text(reply.answer, how.units), *_picture(reply.answer, how))


def _opening(reply: Asked | Answered) -> Text:
    blocks: list[Block] = []
    if reply.heard:
        blocks.append(Say(f"Heard: {', '.join(reply.heard)}."))
    if reply.noted:
        blocks.append(Say(f"Noted: {'; '.join(f'{one.key} = {one.value}' for one in reply.noted)}."))
    if reply.opening:
        blocks.append(Say(reply.opening))
    return tuple(blocks)


def _question(question: Question, how: Telling) -> Text:
    fact = question.fact
    blocks: list[Block] = [Say(fact.question)]
    if fact.kind == "choice":
        blocks.append(Points(tuple(fact.options.values()), numbered=True))
    else:
        blocks.append(Say(f"A number in {fact.unit}; other units can be named, such as inches."))
    blocks.append(Say(f"How to find out: {fact.how}"))
    del how
    return tuple(blocks)


@tell.register
def _why(reply: WhyAsked, how: Telling) -> Text:
    question = reply.question
    node = question.node
    blocks: list[Block] = [Heading("Why this question"), Say(node.says or "The answer can't be worked out without it.")]
    if isinstance(node, Aim):
        return tuple(blocks)
    blocks.append(Say(node.how_so))
    for one in question.measured:
        if one.known:
            blocks.append(Say(f"{title_of(one.key)} is {value_words(one, how.units)}: that could go either way."))
        else:
            blocks.append(Say(f"{title_of(one.key)} can't be worked out without it."))
    blocks.append(Heading("What the answers would lead to"))
    blocks.append(Points(tuple(_lead_words(question, answer, line, how) for answer, line in _leads(question))))
    odds = f"{question.suspect.odds:.0%}".replace("%", " %")
    blocks.append(
        Say(
            f"It comes first because {question.suspect.words} is the reason in about {odds} of such complaints, and "
            f"finding out takes about {question.fact.minutes:g} minutes."
        )
    )
    return tuple(blocks)


def _leads(question: Question) -> list[tuple[str, Line]]:
    return [(lead.answer, lead.line) for lead in question.leads]


def _lead_words(question: Question, answer: str, line: Line, how: Telling) -> str:
    node = question.node
    if isinstance(node, Check):
        span = node.spans[int(answer)]
        label = interval_words(span.low, span.high, MEASURES[node.measure].unit, how.units)
    else:
        label = question.fact.options[answer]
    return f"{label}: {_end_words(line, how)}"


def _end_words(line: Line, how: Telling) -> str:
    if line.status == "cleared":
        return "that is not it; on to the next suspect"
    if line.status == "open" and line.question:
        return f"then: {line.question.fact.question}"
    if line.cause:
        return how.knowledge.cause(line.cause).title
    return "no cause shown"


@tell.register
def _why_not(reply: WhyNot, how: Telling) -> Text:
    found = reply.walk.found
    rows = [
        f"{line.suspect.words}: {_why_not_words(line, how)}"
        for line in reply.walk.lines
        if found is None or line.suspect.start != found.suspect.start
    ]
    return (Heading("Why not the others"), Points(tuple(rows)))


def _why_not_words(line: Line, how: Telling) -> str:
    if line.status == "cleared" and line.steps:
        return f"cleared: {_step_words(line.steps[-1], how)}"
    if line.status == "found" and line.cause:
        return f"shown too, and next in turn: {how.knowledge.cause(line.cause).title}"
    if line.status == "open" and line.question:
        return f"not looked at yet; it hangs on this: {line.question.fact.question}"
    return "could not be checked with what is known"


@tell.register
def _trailed(reply: Trailed, how: Telling) -> Text:
    blocks: list[Block] = [Heading("How we got here"), Say(reply.walk.entry.title + ".")]
    rows = []
    for line in reply.walk.lines:
        rows += [f"{line.suspect.words}: {_step_words(step, how)}" for step in line.steps]
        if line.status == "found" and reply.walk.found is line:
            rows.append(f"{line.suspect.words}: this is the answer")
    blocks.append(Points(tuple(rows), numbered=True))
    return tuple(blocks)


def _step_words(step: Step, how: Telling) -> str:
    node = step.node
    if isinstance(node, Cause):
        return how.knowledge.cause(node.cause).title
    if isinstance(node, Ask):
        fact = how.knowledge.facts[node.fact]
        return f"{fact.question} {fact.options.get(step.answer, step.answer) if step.answer else 'not known'}"
    wanted = MEASURES[node.measure]
    values = ", ".join(f"{one.place.side or 'board'} {value_words(one, how.units)}" for one in step.measured)
    if step.span is None:
        return f"{wanted.words}: {values}"
    branch = interval_words(step.span.low, step.span.high, wanted.unit, how.units)
    doubt = "" if step.sure else ", though the ± reaches further"
    return f"{wanted.words}: {values}; that is {branch}{doubt} ({how.knowledge.source(node.source)})"


@tell.register
def _numbers(reply: Numbers, how: Telling) -> Text:
    rows = []
    for one in measure_all(reply.case.known).values():
        if one.known:
            rows.append((one.key, value_words(one, how.units), one.formula))
        else:
            rows.append((one.key, "not known", f"needs {', '.join(one.needs)}"))
    return (Heading("All numbers"), Table(("measure", "value", "formula"), tuple(rows)))


@tell.register
def _tried(reply: Tried, how: Telling) -> Text:
    changes = ", ".join(f"{path} to {value}" for path, value in reply.changes)
    if not reply.what_if.effects:
        return (Say(f"{changes}: nothing changes."),)
    return (
        Heading(f"If you set {changes}"),
        *effects_text(reply.what_if.effects, reply.what_if.known_before, how.units),
        Say("Nothing has been changed on the sheet."),
    )


@tell.register
def _pictured(reply: Pictured, how: Telling) -> Text:
    from advisor.draw.above import from_above
    from advisor.draw.terminal import render

    before = reply.case.known.setup
    after = None
    if reply.answer and reply.answer.choice:
        after = reply.answer.choice.what_if.known_after.setup
    return (Drawing(tuple(render(from_above(before, after), how.width, how.ascii_only))),)


def _picture(answer: object, how: Telling) -> Text:
    from advisor.dialogue.answer import Answer

    assert isinstance(answer, Answer)
    if answer.choice is None or not answer.choice.effects:
        return ()
    return _pictured(Pictured(answer.case, answer), how)


@tell.register
def _clarify(reply: Clarify, how: Telling) -> Text:
    del how
    means = tuple(words[0].upper() + words[1:] for words in reply.means)
    return (Say(load_phrasebook().said["which"]), Points(means, numbered=True))


@tell.register
def _lost(reply: Lost, how: Telling) -> Text:
    del how
    said = load_phrasebook().said
    blocks: list[Block] = [Say(reply.reason or said["lost_once"])]
    if reply.times > 1:
        blocks.append(Say(said["lost_twice"]))
    if reply.possible:
        blocks += [Say("Possible here:"), Points(reply.possible)]
    return tuple(blocks)


@tell.register
def _noted(reply: Noted, how: Telling) -> Text:
    del how
    told = "; ".join(f"{one.key} = {one.value}" for one in reply.noted)
    return (Say(f"Noted: {told}. And what does the rider complain of?"),)


@tell.register
def _helped(reply: Helped, how: Telling) -> Text:
    del how
    return (
        Say("Answer in your own words, with a number and its unit, or with 'don't know'. At any moment:"),
        Table(("say", "to see"), reply.commands),
    )


@tell.register
def _troubled(reply: Troubled, how: Telling) -> Text:
    del how
    return (Say(reply.words),)


@tell.register
def _stopped(reply: Stopped, how: Telling) -> Text:
    del how
    return (Say(reply.words),)
