"""Cases with real answers, to make slips of. Larchfall, its shop and its riders are invented."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

from advisor.cases.of_answer import record_of
from advisor.cases.record import CaseRecord
from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import read_sheet
from tests.cases.making import HOSTILE
from tests.conftest import ROOT

__all__ = ["answers_of_every_entry", "heel_case", "hostile_case"]

_SHEET = Path(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
_MOST_QUESTIONS = 12


@cache
def heel_case() -> CaseRecord:
    """Return the case of a back binding that goes 7 mm toward the toe edge."""
    answer = answer_case(load_knowledge(), Case("heel_washout", read_sheet(_SHEET)))
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
            case = Case(entry, sheet)
            answer = answer_case(knowledge, case)
            for _ in range(_MOST_QUESTIONS):
                question = answer.walk.question
                if answer.outcome != "needs" or question is None:
                    break
                options = list(question.fact.options)
                fact = question.fact.id
                case = case.with_answer(fact, options[place]) if options else case.with_unsure(fact)
                answer = answer_case(knowledge, case)
            found.append((f"{entry}, {'first' if place == 0 else 'last'} options", answer))
    return tuple(found)
