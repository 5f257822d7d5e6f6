"""Every reply of the conversation in words."""

from __future__ import annotations

from dataclasses import replace
from functools import singledispatch
from typing import TYPE_CHECKING

from advisor.dialogue.answer import Answer
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.replies import (
    Answered,
    Asked,
    AskedBack,
    Before,
    Cautioned,
    Clarify,
    Greeted,
    Helped,
    HowSure,
    Left,
    Level,
    Lost,
    Made,
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
from advisor.dialogue.walk import Question
from advisor.explain.account import answer_text, effects_text, in_short, what_to_do
from advisor.explain.greeting import greeting_text
from advisor.explain.reasoning import trail_text, why_not_text, why_text
from advisor.explain.tables import named_measures_text, short_measures_text
from advisor.explain.text import Block, Drawing, Heading, Points, Say, Table, Text
from advisor.explain.wording import in_units, told_words
from advisor.geometry.measuring import measure_all
from advisor.geometry.parts import Edge
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.graph.nodes import Check
from advisor.knowledge.trees import authors
from advisor.sheet.setup import FootSide
from advisor.sheet.units import UnitSystem

if TYPE_CHECKING:
    from advisor.draw.scene import LeadingFoot, Scene
    from advisor.solve.tradeoff import TradeOff


class Telling:
    """How replies are told: units, width of pictures, plain characters or not."""

    def __init__(
        self,
        knowledge: Knowledge | None = None,
        units: UnitSystem = "metric",
        width: int = 80,
        ascii_only: bool = False,
    ) -> None:
        self.knowledge = knowledge or load_knowledge(authors())
        self.units = units
        self.width = width
        self.ascii_only = ascii_only


@singledispatch
def tell(reply: object, how: Telling) -> Text:
    """Return a reply in words; replies about the sheet are registered when the first of them is told."""
    import advisor.explain.sheet_words  # noqa: F401

    registered = tell.dispatch(type(reply))
    if registered is tell.dispatch(object):
        raise NotImplementedError(type(reply).__name__)
    return registered(reply, how)


def _said(how: Telling, name: str, **words: str) -> Say:
    return Say(load_phrasebook(how.knowledge.trees).said[name].format(**words))


@tell.register
def _greeted(reply: Greeted, how: Telling) -> Text:
    return greeting_text(reply.sheet_name, how.knowledge.trees)


@tell.register
def _asked(reply: Asked, how: Telling) -> Text:
    return (*_before(reply.before, how), *_question(reply.question))


@tell.register
def _asked_back(reply: AskedBack, how: Telling) -> Text:
    from advisor.explain.asking_back import asked_back_text

    return asked_back_text(reply, how.knowledge, how.units)


@tell.register
def _answered(reply: Answered, how: Telling) -> Text:
    answer = reply.answer
    before = replace(reply.before, opening="") if reply.level == "counter" else reply.before
    doubts = [_said(how, "measure_again", doubt=in_units(doubt.says, how.units)) for doubt in answer.doubts]
    if reply.level == "bench":
        before = replace(before, opening="")
    blocks = [*_before(before, how), *doubts, *_account(answer, reply.level, how)]
    if reply.level in _WHOLE:
        if reply.level == "training":
            blocks += _section(answer, how)
        blocks += _picture(answer, how)
    if reply.together:
        blocks += _together(reply.together, how)
    if reply.level in _WHOLE:
        blocks += in_short(answer, how.units)
    if reply.waiting:
        blocks.append(_said(how, "waiting" if answer.choice else "waiting_next", complaint=reply.waiting))
    return tuple(blocks)


_WHOLE = {"full", "training"}


def _account(answer: Answer, level: Level, how: Telling) -> Text:
    if level == "bench":
        from advisor.explain.counter import one_screen

        return one_screen(answer, how.units)
    return answer_text(answer, how.units, level)


@tell.register
def _cautioned(reply: Cautioned, how: Telling) -> Text:
    from advisor.explain.counter import cautions_text

    return cautions_text(reply.answer, how.units)


def _before(before: Before, how: Telling) -> Text:
    blocks: list[Block] = []
    if before.heard:
        blocks.append(Say(f"Heard: {', '.join(before.heard)}."))
    if before.noted:
        facts = how.knowledge.facts
        noted = [
            told_words(one.key, one.value, how.units, facts[one.key].options if one.key in facts else None)
            for one in before.noted
        ]
        blocks.append(Say(f"Noted: {', '.join(noted)}."))
    blocks += [_said(how, "left_out", words=words) for words in before.left_out]
    blocks += [Say(words) for words in before.kept]
    if before.opening:
        blocks.append(Say(in_units(before.opening, how.units)))
    return tuple(blocks)


def _question(question: Question) -> Text:
    fact = question.fact
    asked = fact.question if fact.kind == "choice" else f"{fact.question} ({fact.unit})"
    blocks: list[Block] = [Say(asked)]
    if fact.kind == "choice":
        blocks.append(Points(tuple(fact.options.values()), numbered=True))
    blocks.append(Say(f"How to find out: {fact.how}"))
    return tuple(blocks)


@tell.register
def _why(reply: WhyAsked, how: Telling) -> Text:
    return why_text(reply, how.knowledge, how.units)


@tell.register
def _why_not(reply: WhyNot, how: Telling) -> Text:
    return why_not_text(reply, how.knowledge, how.units)


@tell.register
def _trailed(reply: Trailed, how: Telling) -> Text:
    return trail_text(reply, how.knowledge, how.units)


@tell.register
def _how_sure(reply: HowSure, how: Telling) -> Text:
    from advisor.explain.sureness import answer_sureness

    return answer_sureness(reply.answer, how.knowledge, how.units)


@tell.register
def _numbers(reply: Numbers, how: Telling) -> Text:
    measurements = measure_all(reply.case.known)
    if reply.words:
        return named_measures_text(measurements, reply.words, how.knowledge, how.units)
    return short_measures_text(measurements, how.units)


@tell.register
def _tried(reply: Tried, how: Telling) -> Text:
    changes = ", ".join(told_words(path, value, how.units) for path, value in reply.changes)
    if not reply.what_if.effects:
        return (_said(how, "nothing_moves", changes=changes),)
    return (
        Say(f"With {changes}:"),
        *effects_text(reply.what_if.effects, reply.what_if.known_before, how.units),
        Say("Nothing has been changed on the sheet."),
    )


@tell.register
def _pictured(reply: Pictured, how: Telling) -> Text:
    from advisor.draw.terminal import render

    return (Drawing(tuple(render(_from_above(reply), how.width, how.ascii_only, how.units))),)


def _from_above(reply: Pictured) -> Scene:
    from advisor.draw.above import from_above

    before = reply.case.known.setup
    after = None
    if reply.answer and reply.answer.choice:
        after = reply.answer.choice.what_if.known_after.setup
    leading: LeadingFoot = "right" if reply.case.sheet.value("rider.leading_foot") == "right" else "left"
    return from_above(before, after, leading)


def _picture(answer: Answer, how: Telling) -> Text:
    """Return the picture of a change, where it can be drawn and something in it moves."""
    from advisor.draw.terminal import render

    if answer.choice is None or not answer.choice.effects:
        return ()
    scene = _from_above(Pictured(answer.case, answer))
    return (Drawing(tuple(render(scene, how.width, how.ascii_only, how.units))),) if scene.moves else ()


def _section(answer: Answer, how: Telling) -> Text:
    """Return the foot at hand cut square to the edge that the answer is about, now and after."""
    from advisor.draw.section import in_section
    from advisor.draw.terminal import render

    place = _section_place(answer)
    if place is None:
        return ()
    blocks: list[Block] = []
    setups = [("as it is now", answer.case.known.setup)]
    if answer.choice and answer.choice.effects:
        setups.append(("after the change", answer.choice.what_if.known_after.setup))
    for when, setup in setups:
        scene = in_section(setup, *place)
        if not scene.needs:
            blocks.append(Heading(f"The mechanics {when}"))
            blocks.append(Drawing(tuple(render(scene, how.width, how.ascii_only, how.units))))
    return tuple(blocks)


def _section_place(answer: Answer) -> tuple[FootSide, Edge] | None:
    """Return the foot and the edge that an answer is about, by the measures aimed at and those checked on the way."""
    checked = [step.node.measure for step in answer.line.steps if isinstance(step.node, Check)] if answer.line else []
    foot: FootSide = answer.feet[0] if answer.feet else "front"
    for name in (*(aim.key for aim in answer.aims), *checked):
        if name.startswith("heel_"):
            return foot, "heel"
        if name.startswith("toe_"):
            return foot, "toe"
    return None


def _together(weighed: TradeOff, how: Telling) -> Text:
    """Return what solves several complaints at once, and at what price."""
    titles = tuple(weighed.choices[0].missed) if weighed.choices else ()
    every = "all" if titles[2:] else "both"
    blocks: list[Block] = [Heading(f"{every.capitalize()} together: {' + '.join(titles)}")]
    if weighed.conflict:
        blocks.append(Say(f"No change solves {every} without a price. These are the choices:"))
    rows = []
    for trade in weighed.short_list():
        do = " ".join(what_to_do(trade.choice, how.units)) or "Leave it."
        reason = in_units(trade.choice.reason, how.units)
        head, _, rest = reason.partition("; ")
        if head.startswith("solves "):
            whole = len(trade.solves) == len(titles)
            solved = f"Solves {every}" if whole else f"Solves only '{' and '.join(trade.solves)}'"
            reason = f"{solved}; {rest}" if rest else solved
        reason = reason.removeprefix("leaves all as it is: ")
        rows.append(f"{do} {reason[:1].upper()}{reason[1:]}.".strip())
    return (*blocks, Points(tuple(rows))) if rows else ()


@tell.register
def _made(reply: Made, how: Telling) -> Text:
    changes = " ".join(what_to_do(reply.choice, how.units))
    blocks: list[Block] = [_said(how, "done", changes=changes)]
    if reply.waiting:
        blocks.append(_said(how, "waiting_next", complaint=reply.waiting))
    return tuple(blocks)


@tell.register
def _clarify(reply: Clarify, how: Telling) -> Text:
    means = tuple(words[0].upper() + words[1:] for words in reply.means)
    return (*_before(reply.before, how), _said(how, "which"), Points(means, numbered=True))


@tell.register
def _lost(reply: Lost, how: Telling) -> Text:
    said = load_phrasebook(how.knowledge.trees).said
    way_out = said["lost_twice" if reply.possible else "lost_free"]
    if reply.times > 2:
        return (Say(way_out),)
    blocks: list[Block] = [Say(reply.reason or said["lost_once"])] if reply.reason or reply.times == 1 else []
    if reply.times > 1:
        blocks.append(Say(way_out))
    if reply.possible:
        blocks += [Say("Possible here:"), Points(reply.possible)]
    return tuple(blocks)


@tell.register
def _noted(reply: Noted, how: Telling) -> Text:
    return (*_before(reply.before, how), Say(reply.asked) if reply.asked else _said(how, "and_the_complaint"))


@tell.register
def _helped(reply: Helped, how: Telling) -> Text:
    del how
    return (
        Say("Answer in your own words, with a number and its unit, or with 'don't know'. At any moment:"),
        Table(("say", "to see"), reply.commands),
    )


@tell.register
def _left(reply: Left, how: Telling) -> Text:
    del how
    return (Say(reply.words),)


@tell.register
def _troubled(reply: Troubled, how: Telling) -> Text:
    del how
    return (Say(reply.words),)


@tell.register
def _stopped(reply: Stopped, how: Telling) -> Text:
    del how
    return (Say(reply.words),)
