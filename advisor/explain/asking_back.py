"""What is asked or said about the talk, answered in two sentences from what the talk already holds."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Literal

from advisor.dialogue.about_talk import about_talk
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.replies import AskedBack
from advisor.errors import AdvisorError
from advisor.explain.account import aimed_value, what_to_do
from advisor.explain.chances import done_by
from advisor.explain.filling import fill, window_words
from advisor.explain.text import Points, Say, Text
from advisor.explain.wording import in_units, named_at, quantity, shown_unit, told_words
from advisor.sheet.reading import parse_value
from advisor.sheet.units import UnitSystem
from advisor.solve.windows import load_windows

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer
    from advisor.graph.knowledge import Knowledge
    from advisor.knowledge.trees import Trees
    from advisor.sheet.readings import Known
    from advisor.solve.choice import Choice

_BODY = {"clinician", "emergency"}
_NOT_RIDDEN = "not_ridden"
_TUNING = "tuning"


def asked_back_text(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> Text:
    """Return what is said back, and the open question after it."""
    words = _WAYS.get(reply.intent, _other)(reply, knowledge, units)
    blocks = [Say(in_units(one, units)) for one in words if one]
    if reply.question and reply.intent not in {"says_english"}:
        blocks.append(Say(reply.question.fact.question))
        if reply.question.fact.kind == "choice" and reply.intent in {"meaning", "another_complaint"}:
            return (*blocks, Points(tuple(reply.question.fact.options.values()), numbered=True))
    return tuple(blocks)


def _said(name: str, **words: str) -> str:
    return about_talk().said[name].format(**words)


Way = Callable[[AskedBack, "Knowledge", UnitSystem], list[str]]

# ------------------------------------------------------------------ at a question


def _how_measure(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge, units
    return [_said("how_measure", how=reply.question.fact.how)] if reply.question else []


def _why_ask(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge
    if not reply.question or not reply.case:
        return []
    says = fill(reply.question.node.says, reply.case.known, (), units)
    return [_said("why_ask", says=says), _said("why_ask_more")]


def _what_is(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge, units
    term = reply.words[0] if reply.words else ""
    if term in about_talk().terms:
        return [about_talk().terms[term]]
    return [_said("how_measure", how=reply.question.fact.how)] if reply.question else [_said("no_term")]


def _meaning(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    if reply.question:
        term = reply.words[0] if reply.words else ""
        known = [about_talk().terms[term]] if term in about_talk().terms else []
        return [*known, _said("meaning_question", how=reply.question.fact.how)]
    if reply.answer is None:
        return []
    del knowledge
    return [_said("meaning_answer", short=_in_short(reply.answer, units))]


def _in_short(answer: Answer, units: UnitSystem) -> str:
    because = fill(answer.cause.because, answer.case.known, answer.feet, units) if answer.cause else ""
    if answer.choice:
        return f"{_do(answer.choice, units)} {because}".strip()
    if answer.referral:
        return fill(answer.referral.says, answer.case.known, answer.feet, units)
    return because or answer.says


def _do(choice: Choice, units: UnitSystem) -> str:
    return " ".join(what_to_do(choice, units))


# ------------------------------------------------------------------ after an answer


def _thanks(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge, units
    return [_said("thanks"), _said("thanks_next") if reply.answer and reply.answer.choice else ""]


def _how_likely(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge, units
    answer = reply.answer
    if answer is None or answer.choice is None:
        return [_said("how_likely_other")]
    chance = getattr(answer, "chance", None)
    if chance is not None:
        return [_said("how_likely_chance", percent=_percent(chance.cured)), _said("how_likely_sure")]
    odds = answer.line.suspect.odds if answer.line else 0.0
    told = [_said("how_likely_odds", percent=_percent(odds))] if odds else []
    return [*told, _said("how_likely_sure")]


def _percent(share: float) -> str:
    return f"{round(100 * share)}"


def _how_long(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge, units
    choice = reply.answer.choice if reply.answer else None
    if choice is None or not choice.changes:
        return [_said("how_long_none")]
    minutes = max(1, round(choice.minutes))
    return [_said("how_long", minutes=f"{minutes} minute{'s' if minutes > 1 else ''}")]


def _work(choice: Choice, trees: Trees) -> str:
    """Return what a change takes: `tune`, `driver` or `hand`."""
    from advisor.solve.adjustments import load_adjustments

    known = [load_adjustments(trees).get(one.adjustment) for one in choice.changes]
    if any(one is not None and one.work.part == "tuning" for one in known):
        return "tune"
    return "driver" if choice.turns else "hand"


def _which_tool(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del units
    choice = reply.answer.choice if reply.answer else None
    return [_said(f"tool_{_work(choice, knowledge.trees)}" if choice and choice.changes else "tool_none")]


def _myself(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del units
    answer = reply.answer
    if answer and answer.referral:
        return [_said("myself_other", to=answer.referral.to)]
    choice = answer.choice if answer else None
    if choice is None or not choice.changes:
        return [_said("tool_none")]
    return [
        _said(
            {"tune": "myself_bench", "driver": "myself_driver", "hand": "myself_hand"}[_work(choice, knowledge.trees)]
        )
    ]


def _verdict(answer: Answer | None) -> str:
    return answer.referral.verdict if answer and answer.referral else ""


def _ride_today(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge, units
    answer, verdict = reply.answer, _verdict(reply.answer)
    if verdict in _BODY and answer and answer.referral:
        return [_said("ride_body", to=answer.referral.to)]
    if verdict == _NOT_RIDDEN and answer and answer.referral:
        return [_said("ride_no", to=answer.referral.to)]
    return [_said("ride_after" if answer and answer.choice and answer.choice.turns else "ride_yes")]


def _dangerous(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge, units
    answer, verdict = reply.answer, _verdict(reply.answer)
    if verdict in {*_BODY, _NOT_RIDDEN} and answer and answer.referral:
        return [_said("dangerous_yes", to=answer.referral.to)]
    mind = answer.cautions[0] if answer and answer.cautions else ""
    return [_said("dangerous_no"), _said("dangerous_mind", caution=mind) if mind else ""]


def _others(answer: Answer | None, wants: tuple[str, ...] = ()) -> list[Choice]:
    """Return the other changes that were weighed, those that a wish rules out left out."""
    if answer is None or answer.search is None:
        return []
    barred = {name for want in wants for name in about_talk().rules_out.get(want, ())}
    made = answer.choice.signature if answer.choice else ()
    weighed: Sequence[Choice] = answer.search.runners_up if answer.likely is None else _by_chance(answer)
    return [
        one
        for one in weighed
        if one.changes and one.signature != made and not barred & {change.adjustment for change in one.changes}
    ]


def _by_chance(answer: Answer) -> list[Choice]:
    """Return the other ways of the ladder, each with how often it does it as the reason."""
    from advisor.solve.chance.other_steps import other_choices

    assert answer.search is not None
    trees = answer.case.trees
    return [replace(choice, reason=done_by(rung, trees)) for choice, rung in other_choices(answer.search)]


def _step_by_chance(answer: Answer, name: Literal["less", "more"], units: UnitSystem) -> list[str]:
    """Return the next smaller or larger step of the ladder, and how often it does it."""
    from advisor.solve.chance.other_steps import other_step

    assert answer.search is not None
    search = other_step(answer.search, name)
    if search is None or search.best is None or search.likely is None:
        return [_said(f"{name}_none")]
    return [_said(name, words=_do(search.best, units)), f"{done_by(search.likely.today, answer.case.trees)}."]


def _another_way(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge
    others = _others(reply.answer, reply.wants)
    if not others:
        return [_said("another_none")]
    reason = in_units(others[0].reason, units).strip()
    price = _said("another_price", reason=f"{reason[:1].upper()}{reason[1:]}.") if reason else ""
    return [_said("another", words=_do(others[0], units)), price]


def _step(reply: AskedBack, way: int, units: UnitSystem, trees: Trees) -> list[str]:
    """Return the next smaller or larger step of the change, and what the measure aimed at comes to with it."""
    from advisor.solve.whatif import what_if

    answer = reply.answer
    choice = answer.choice if answer else None
    name: Literal["less", "more"] = "more" if way > 0 else "less"
    if answer is None or choice is None or not choice.changes:
        return [_said("step_no_change")]
    if answer.likely is not None:
        return _step_by_chance(answer, name, units)
    change = choice.changes[0]
    step = _one_step(answer, choice, trees)
    if step is None or not isinstance(change.before, int | float | str) or not isinstance(change.after, int | float):
        return [_said(f"{name}_none")]
    before = float(change.before) if isinstance(change.before, int | float) else 0.0
    after = change.after + way * (step if change.after > before else -step)
    if abs(after - before) < step / 2:
        return [_said(f"{name}_none")]
    try:
        tried = what_if(answer.case.sheet, {change.path: parse_value(change.path, after)})
    except AdvisorError:
        return [_said(f"{name}_none")]
    told = told_words(change.path, after, units)
    numbers = _aim_numbers(answer, tried.known_after, units, trees)
    return [_said(name, words=f"{told}."), _said("step_comes_to", **numbers) if numbers else ""]


def _aim_numbers(answer: Answer, after: Known, units: UnitSystem, trees: Trees) -> dict[str, str]:
    """Return the first measure aimed at, before and after a change, and what is good; empty without one."""
    if not answer.aims:
        return {}
    aim = answer.aims[0]
    value, unit = aimed_value(answer.case.known, aim.key)
    then, _ = aimed_value(after, aim.key)
    window = aim.interval(load_windows(trees).window(aim.key, answer.case.known.setup))
    words, side = named_at(aim.key)
    unit = shown_unit(aim.key, unit)
    measure = f"{words} ({side})" if side else words
    return {
        "measure": measure,
        "before": quantity(value, unit, units),
        "after": quantity(then, unit, units),
        "value": quantity(then, unit, units),
        "good": in_units(window_words(window, unit), units),
    }


def _one_step(answer: Answer, choice: Choice, trees: Trees) -> float | None:
    """Return one step of the first change in its field's unit; None where it has none."""
    from advisor.solve.adjustments import load_adjustments

    known = load_adjustments(trees).get(choice.changes[0].adjustment)
    step = getattr(known.ways[0], "step", None) if known and known.ways else None
    if isinstance(step, str):
        step = answer.case.sheet.value(step)
    return float(step) if isinstance(step, int | float) and step else None


def _less(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    return _step(reply, -1, units, knowledge.trees)


def _more(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    return _step(reply, 1, units, knowledge.trees)


def _spoils(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge
    choice = reply.answer.choice if reply.answer else None
    if choice is None:
        return [_said("step_no_change")]
    spoiled = [f"{named_at(one.key)[0]} goes from {one.before:g} to {one.after:g}" for one in choice.spoils]
    loses = [change.loses for change in choice.changes if change.loses]
    told = _said("spoils", words=", ".join(spoiled)) if spoiled else _said("spoils_none")
    return [in_units(told, units), _said("spoils_loses", words=loses[0]) if loses else ""]


def _why_size(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    answer = reply.answer
    if answer is None or answer.choice is None or not answer.aims:
        return [_said("why_size_none")]
    numbers = _aim_numbers(answer, answer.choice.what_if.known_after, units, knowledge.trees)
    return [_said("why_size", **numbers)]


def _what_if_not(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge, units
    answer = reply.answer
    if answer is None or answer.line is None:
        return [_said("if_not_last")]
    open_lines = [one for one in answer.walk.lines if one.status != "cleared" and one.suspect != answer.line.suspect]
    rest = sorted(open_lines, key=lambda one: -one.suspect.odds)
    return [
        _said("if_left"),
        _said("if_not", suspect=rest[0].suspect.words) if rest else _said("if_not_last"),
    ]


def _constraint(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge
    noted = _said("wants", words=", ".join(one.replace("_", " ") for one in reply.wants) or "that")
    answer = reply.answer
    if answer is None or answer.choice is None:
        return [noted]
    barred = {name for want in reply.wants for name in about_talk().rules_out.get(want, ())}
    if "no_tools" in reply.wants and answer.choice.turns:
        barred |= {change.adjustment for change in answer.choice.changes}
    if not barred & {change.adjustment for change in answer.choice.changes}:
        return [noted, _said("wants_kept")]
    others = _others(answer, reply.wants)
    if "no_tools" in reply.wants:
        others = [one for one in others if not one.turns]
    return [noted, _said("wants_broken", words=_do(others[0], units)) if others else _said("wants_none")]


def _slip(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del reply, knowledge, units
    return [_said("slip", alias="ALIAS")]


def _says(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del knowledge, units
    return list(reply.words)


def _did_you_mean(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    value = ", ".join(told_words(one.key, one.value, units) for one in reply.told)
    return [load_phrasebook(knowledge.trees).said["did_you_mean"].format(value=value)]


def _another_complaint(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del units
    return [load_phrasebook(knowledge.trees).said["another_complaint"].format(complaint=reply.words[0])]


def _other(reply: AskedBack, knowledge: Knowledge, units: UnitSystem) -> list[str]:
    del reply, knowledge, units
    return [_said("other")]


_WAYS: Mapping[str, Way] = {
    "how_measure": _how_measure, "why_ask": _why_ask, "what_is": _what_is, "meaning": _meaning, "thanks": _thanks,
    "how_likely": _how_likely, "how_long": _how_long, "which_tool": _which_tool, "myself": _myself,
    "ride_today": _ride_today, "dangerous": _dangerous, "another_way": _another_way, "not_that": _another_way,
    "less": _less, "more": _more, "spoils": _spoils, "why_size": _why_size, "what_if_not": _what_if_not,
    "constraint": _constraint, "slip": _slip, "print": _slip, "says_english": _says, "did_you_mean": _did_you_mean,
    "another_complaint": _another_complaint,
}  # fmt: skip
