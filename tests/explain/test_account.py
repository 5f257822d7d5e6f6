"""Answers that change nothing, and aims with their own adjustments and their own last word."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.replies import WhyAsked
from advisor.dialogue.walk import walk
from advisor.explain.account import answer_text
from advisor.explain.reasoning import why_text
from advisor.explain.text import Heading, Say, Text
from advisor.sheet.sheet import Sheet
from tests.small_world import aim, ask, check, entry, knowledge, sheet

SCREWS = sheet(mount__screw_torque_nm=(4.0, 0.0))
BEVELS = sheet(board__base_bevel_deg=(1.0, 0.0), board__side_bevel_deg=(1.0, 0.0))
TOLD = {"told": {"tell": "Do it step by step.", "feel": "Tip it on the carpet."}}
OUT_OF_REACH = {"start": aim("edge_corner_deg", "board", "told", 80, 81), **TOLD}


def answered(nodes: dict[str, Any], of: Sheet, kind: str = "question") -> Answer:
    known = knowledge({"slides": entry(nodes, ("start", 1.0), cautions=("easy",)) | {"kind": kind}})
    return answer_case(known, Case("slides", of))


def said(text: Text) -> str:
    return " ".join(block.words for block in text if isinstance(block, Heading | Say))


def test_what_is_told_after_a_missed_aim_is_no_leave_it() -> None:
    answer = answered(OUT_OF_REACH, BEVELS)
    assert not answer.leave_it
    for level in ("bench", "counter"):
        assert "Leave it" not in said(answer_text(answer, level=level))  # type: ignore[arg-type]
    told = said(answer_text(answer))
    assert "Do it step by step." in told
    assert "How near it comes" in told
    assert "wanted: 80 to 81°" in told


def test_what_is_told_after_a_missed_aim_keeps_its_cautions() -> None:
    assert answered(OUT_OF_REACH, BEVELS).cautions == ("Easy ground first.",)


def test_a_field_is_told_in_words_with_its_unit() -> None:
    answer = answered({"start": aim("screw_torque_nm", "board", "told"), **TOLD}, SCREWS)
    assert answer.leave_it
    assert "Torque of the disc's screws is 4 N·m (good: 3.5 to 5 N·m)." in said(answer_text(answer))


def test_where_all_is_left_as_it_is_no_caution_about_work_is_said() -> None:
    assert answered({"start": aim("screw_torque_nm", "board", "told"), **TOLD}, SCREWS).cautions == ()


def test_an_aims_own_last_word_is_said() -> None:
    node = aim("screw_torque_nm", "board", "told") | {"feel": "Screws sit dead still."}
    assert answered({"start": node, **TOLD}, SCREWS).feel == "Screws sit dead still."


@pytest.mark.parametrize(("kind", "heading"), [("question", "What to feel for"), ("symptom", "On the next run")])
def test_only_a_change_sends_a_question_back_on_the_snow(kind: str, heading: str) -> None:
    told = answer_text(answered({"start": TOLD["told"]}, BEVELS, kind))
    assert heading in [block.words for block in told if isinstance(block, Heading)]


@pytest.mark.parametrize(("kind", "share"), [("question", False), ("symptom", True)])
def test_a_question_is_not_explained_by_how_often_such_complaints_come(kind: str, share: bool) -> None:
    nodes = {"start": ask("dull", {"yes": "told", "no": "cleared"}), **TOLD}
    known = knowledge({"slides": entry(nodes, ("start", 1.0)) | {"kind": kind}})
    done = walk(known, Case("slides", BEVELS))
    assert done.question is not None
    told = said(why_text(WhyAsked(done.question, done), known, "metric"))
    assert ("% of such complaints" in told) == share
    assert "about 1 minute" in told


@pytest.mark.parametrize(("allowed", "used"), [([], "shift_across"), (["heelcup_step"], "heelcup_step")])
def test_an_aim_uses_only_the_adjustments_that_it_names(allowed: list[str], used: str) -> None:
    of = sheet(
        mount__front__angle_deg=(0.0, 0.0), mount__front__seat_mm=(5.0, 0.0), mount__front__slots="across",
        bindings__slot_travel_mm=(8.0, 0.0), bindings__hole_offset_mm=(0.0, 0.0),
        bindings__heelcup_step_mm=(5.0, 0.0), mount__front__heelcup=(0.0, 0.0),
    )  # fmt: skip
    of = of.with_value("bindings.heelcup_steps", (-2, 2))
    answer = answered({"start": aim("boot_offset_mm", "front", "told", -1, 1) | {"with": allowed}, **TOLD}, of)
    assert answer.choice is not None
    assert [change.adjustment for change in answer.choice.changes] == [used]


def test_where_nothing_could_be_looked_at_the_numbers_that_lack_are_named() -> None:
    strap = check("strap_offset_mm", "back", (8, None, "told"), (None, 8, "cleared"))
    known = knowledge({"slides": entry({"start": strap, **TOLD}, ("start", 1.0))})
    case = Case("slides", BEVELS, unsure=frozenset({"mount.back.strap_left_mm"}))
    answer = answer_case(known, case)
    assert answer.referral is not None
    assert answer.referral.id == "not_enough_known"
    told = said(answer_text(answer))
    assert "suspect start (missing: back strap left, back strap right)" in told


def test_a_question_whose_check_lacks_a_number_keeps_its_own_last_word() -> None:
    strap = check("strap_offset_mm", "back", (8, None, "told"), (None, 8, "cleared"))
    raw = entry({"start": strap, **TOLD}, ("start", 1.0), nothing_left="told") | {"kind": "question"}
    case = Case("slides", BEVELS, unsure=frozenset({"mount.back.strap_left_mm"}))
    assert answer_case(knowledge({"slides": raw}), case).says == "Do it step by step."
