"""What is not known is asked for: never taken as nothing, as the usual setting, or as what the other foot has."""

from __future__ import annotations

import pytest

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.verdict import verdict_of
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet
from advisor.solve.travel import load_travels, untold_travels, with_usual_travels
from tests.conftest import ROOT

KNOWN = load_knowledge()
DEMO = read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
LEAN = ("bindings.lean_deg.min", "bindings.lean_deg.max", "bindings.lean_deg.step")


def without(sheet: Sheet, *paths: str) -> Sheet:
    """Return a sheet with fields left out."""
    for path in paths:
        sheet = sheet.without(path)
    return sheet


def asked(case: Case, told: dict[str, object], most: int = 30) -> tuple[list[str], Answer]:
    """Answer every question from a table, "don't know" where it is silent; return what was asked, and the end."""
    questions = []
    answer = answer_case(KNOWN, case)
    while answer.walk.question and len(questions) < most:
        fact = answer.walk.question.fact
        questions.append(fact.id)
        value = told.get(fact.id)
        if value is None:
            case = case.with_unsure(fact.id)
        elif fact.kind == "number":
            case = case.with_number(fact.id, float(str(value)), fact.plus_minus)
        else:
            case = case.with_answer(fact.id, str(value))
        answer = answer_case(KNOWN, case)
    return questions, answer


def test_a_foot_without_numbers_is_asked_about_where_the_other_is_rough() -> None:
    told = {path: leaf.value for path, leaf in DEMO.leaves.items()} | {"binding_play": "no", "straps_snug": "yes"}
    questions, answer = asked(Case("heel_washout", Sheet("none", {})), told)
    assert {"mount.front.angle_deg", "mount.back.angle_deg"} <= set(questions)
    assert answer.cause is not None
    assert answer.cause.id in {"heel_side_parts_drag", "boot_toward_heel_edge"}
    assert answer.choice is not None
    assert answer.choice.changes[0].foot == "back"
    assert answer.choice.changes[0].by > 0


@pytest.mark.parametrize("told", [{}, {"bindings.lean_deg.min": 0}])
def test_lean_marks_that_nobody_has_read_are_asked_for_and_lean_comes_off(told: dict[str, object]) -> None:
    steep = without(DEMO, *LEAN).with_value("mount.front.lean_deg", 20.0).with_value("mount.back.lean_deg", 20.0)
    no = dict.fromkeys(("leg_signs", "side_slips", "calf_edge"), "no")
    _, answer = asked(Case("calf_pressure", steep), {**no, **told})
    assert verdict_of(answer) in {"adjust", "partial", "measure_first"}
    assert all(change.by < 0 for change in (answer.choice.changes if answer.choice else ()))


def test_a_travel_that_nobody_can_tell_is_no_end_of_travel() -> None:
    steep = without(DEMO, "board.insert_pattern", "board.rows_each_way", "mount.front.row", "mount.back.row")
    questions, answer = asked(Case("nose_dives", steep.with_value("rider.style", "powder")), {"snow": "powder"})
    assert "board.insert_pattern" in questions
    assert verdict_of(answer) != "other_board"


def test_what_is_moved_is_read_off_first() -> None:
    bare = without(DEMO, "mount.front.lean_deg", "mount.back.lean_deg")
    questions, answer = asked(Case("heel_drag", bare), {"heel_scuff": "highback", "mount.front.lean_deg": 5})
    moved = {change.path for change in answer.choice.changes} if answer.choice else set()
    assert {path for path in moved if path.endswith("lean_deg")} <= set(questions)


def test_travels_name_fields_and_are_told_by_a_sheet_that_has_them() -> None:
    full = set(DEMO.leaves)
    told = untold_travels(DEMO, {"heel_margin_deg", "lean_reserve_deg", "stance_width_mm"})
    assert {one.path for one in told}.isdisjoint(full)
    bare = Sheet("none", {})
    every = untold_travels(bare, {"lean_reserve_deg", "stance_width_mm"})
    assert {"bindings.lean_deg.min", "board.insert_pattern"} <= {one.path for one in every}
    usual = with_usual_travels(bare, every)
    assert {path for path, leaf in usual.leaves.items() if leaf.origin != "assumed"} == set()
    assert usual.value("board.insert_pattern") is None
    assert all(one.words for one in load_travels().values())
