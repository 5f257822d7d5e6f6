"""Cases with real answers, to make slips of. Larchfall, its shop and its riders are invented."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from advisor.cases.of_answer import record_of
from advisor.cases.record import CaseRecord, Done, Result
from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import read_sheet
from advisor.slip.content import Slip, slip_of
from tests.cases.making import HOSTILE
from tests.conftest import ROOT

_SHEET = Path(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
_MOST_QUESTIONS = 12


@cache
def heel_case() -> CaseRecord:
    """Return the case of a back binding that goes 7 mm toward the toe edge."""
    answer = answer_case(load_knowledge(), Case("heel_washout", read_sheet(_SHEET), {"binding_play": "no"}))
    return record_of(answer, "Kim 7", said=("my heel edge lets go on hard snow",))


def hostile_case(name: str) -> CaseRecord:
    """Return the same case with hostile text in every field that a slip shows."""
    text = HOSTILE[name]
    made = heel_case()
    changes = [{**change, "words": text, "needs": [text]} for change in made.advice["changes"]]
    advice = {
        **made.advice,
        "title": text,
        "because": text,
        "says": text,
        "feel": text,
        "costs": text,
        "changes": changes,
    }
    advice |= {"cautions": [text] * 3, "refer": {"id": text, "to": text, "says": text, "shortfall": text}}
    return replace(made, alias=text, complaint=text, board=text, note=text, knowledge=text, said=(text,), advice=advice)


@cache
def answers_of_every_entry() -> tuple[tuple[str, Answer], ...]:
    """Return, for every entry, the answers that taking always the first, and always the last option leads to."""
    knowledge, sheet = load_knowledge(), read_sheet(_SHEET)
    found = []
    for entry in knowledge.entry_ids:
        for place in (0, -1):
            answer = _answered(Case(entry, sheet), place)
            found.append((f"{entry}, {'first' if place == 0 else 'last'} options", answer))
    return tuple(found)


def case_told(entry: str, sheet: str, place: int | None = -1) -> CaseRecord:
    """Return the case of an entry on a demo sheet; each question takes the option at a place, None leaves it open."""
    knowledge = load_knowledge()
    case = Case(entry, read_sheet(ROOT / "transcripts_demo" / f"larchfall_{sheet}.yaml"))
    answer = answer_case(knowledge, case) if place is None else _answered(case, place)
    return record_of(answer, "Kim 7", said=(f"{answer.walk.entry.title}, and it will not go away",))


def _answered(case: Case, place: int) -> Answer:
    knowledge = load_knowledge()
    answer = answer_case(knowledge, case)
    for _ in range(_MOST_QUESTIONS):
        question = answer.walk.question
        if answer.outcome != "needs" or question is None:
            break
        options = list(question.fact.options)
        fact = question.fact.id
        case = case.with_answer(fact, options[place]) if options else case.with_unsure(fact)
        answer = answer_case(knowledge, case)
    return answer


def followed_case(how: str) -> tuple[CaseRecord, CaseRecord]:
    """Return the heel case, done as advised and come back as told, and the case that follows it."""
    from advisor.cases.of_answer import visit_of
    from advisor.dialogue.follow_up import Returning
    from advisor.match import load_matcher

    before = heel_case()
    talk = Returning(load_knowledge(), load_matcher, visit_of(before, "Heel edge lets go"))
    state, _ = talk.begin(read_sheet(_SHEET))
    for line in ("as advised", how):
        state, _ = talk.hear(state, line)
    assert state.answer
    before = before.with_done(Done("as_advised")).with_result(Result("worse" if how == "worse" else "same"))
    return before, record_of(state.answer, "Kim 7", said=("the heel edge still lets go",), follows=before.id)


@cache
def varied_slips() -> tuple[tuple[str, Slip], ...]:
    """Return a slip of every kind that a shop hands out, by name."""
    heel = heel_case()
    long_words = replace(
        heel, alias="Maximiliana-Alexandra of the Upper Larchfall Valley the Third", complaint="heeledgeletsgo" * 20
    )
    one = (
        ("a change", slip_of(heel)),
        ("a change, in inches", slip_of(heel, "imperial")),
        ("a goofy rider, two changes", slip_of(case_told("heel_washout", "box"))),
        ("two changes far along the board", slip_of(case_told("feels_cramped", "grown"), "imperial")),
        ("a change that no picture shows", slip_of(case_told("sore_ankle", "aches"))),
        ("other screws", slip_of(case_told("binding_moves", "screws"))),
        ("a whole mount", slip_of(case_told("ask_first_setup", "hire"))),
        ("a whole mount, in inches", slip_of(case_told("ask_first_setup", "hire"), "imperial")),
        ("left as it is", slip_of(case_told("ask_screw_tightness", "heel"))),
        ("a doctor's matter", slip_of(case_told("sore_back_knee", "knee", 0))),
        ("a question still open", slip_of(case_told("sore_back_knee", "knee", None))),
        ("words far too long", slip_of(long_words)),
    )
    followed = {how: followed_case(how) for how in ("worse", "the same")}
    two = tuple((f"back, and {how}", slip_of(now, "metric", before)) for how, (before, now) in followed.items())
    return (*one, *two, *((f"hostile: {name}", slip_of(hostile_case(name))) for name in HOSTILE))
