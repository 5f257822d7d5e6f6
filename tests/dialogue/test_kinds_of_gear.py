"""What a kind of binding has no part for is neither asked nor moved."""

from __future__ import annotations

from advisor.dialogue.answer import answer_case
from advisor.dialogue.case import Case
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import read_sheet
from tests.conftest import ROOT

STRAPS = {"straps_snug", "strap_seat", "strap_overtight", "ladder_worn", "buckles_outside", "buckle_iced"}


def asked_on_the_way(entry: str, kind: str) -> set[str]:
    sheet = read_sheet(ROOT / "trees" / "ordinary_sheet.yaml").with_value("bindings.kind", kind)
    case, asked = Case(entry, sheet), set()
    for _ in range(30):
        question = answer_case(load_knowledge(), case).walk.question
        if question is None:
            break
        asked.add(question.fact.id)
        case = case.with_unsure(question.fact.id)
    return asked


def test_a_step_in_is_asked_about_no_strap() -> None:
    """Common practice, no source: a step-in binding has no straps."""
    assert not asked_on_the_way("weak_toe_turn", "step_in") & STRAPS
    assert asked_on_the_way("weak_toe_turn", "strap") & STRAPS
