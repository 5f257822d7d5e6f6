"""Answers that change nothing, and aims with their own adjustments and their own last word."""

from __future__ import annotations

import re
from typing import Any

import pytest

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.replies import Level, WhyAsked
from advisor.dialogue.walk import walk
from advisor.explain.account import answer_text
from advisor.explain.reasoning import why_text
from advisor.explain.text import Drawing, Heading, Points, Table, Text
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet
from tests.conftest import ROOT
from tests.small_world import aim, ask, check, entry, knowledge, sheet

SCREWS = sheet(mount__screw_torque_nm=(4.0, 0.0))
BEVELS = sheet(board__base_bevel_deg=(1.0, 0.0), board__side_bevel_deg=(1.0, 0.0))
TOLD = {"told": {"tell": "Do it step by step.", "feel": "Tip it on the carpet."}}
OUT_OF_REACH = {"start": aim("edge_corner_deg", "board", "told", 80, 81), **TOLD}


def answered(nodes: dict[str, Any], of: Sheet, kind: str = "question") -> Answer:
    known = knowledge({"slides": entry(nodes, ("start", 1.0), cautions=("easy",)) | {"kind": kind}})
    return answer_case(known, Case("slides", of))


def said(text: Text) -> str:
    told = [
        block.items if isinstance(block, Points) else (block.words,)
        for block in text
        if not isinstance(block, Table | Drawing)
    ]
    return " ".join(words for one in told for words in one)


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


def test_where_all_is_left_as_it_is_the_entrys_cautions_are_said_all_the_same() -> None:
    assert answered({"start": aim("screw_torque_nm", "board", "told"), **TOLD}, SCREWS).cautions == (
        "Easy ground first.",
    )


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
    case = Case("slides", BEVELS)
    done = walk(known, case)
    assert done.question is not None
    told = said(why_text(WhyAsked(done.question, done, case), known, "metric"))
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


DEMO = read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
ON_THE_FLOOR = read_sheet(ROOT / "transcripts_demo" / "larchfall_screws.yaml")
FLOOR = load_phrasebook().always_told["screw_gap_mm"]


def heel(of: Sheet) -> Answer:
    return answer_case(load_knowledge(), Case("heel_washout", of, {"snow": "hard", "binding_play": "no"}))


@pytest.mark.parametrize("level", ["counter", "bench", "training"])
def test_screws_on_the_inserts_floor_are_told_whatever_was_asked(level: Level) -> None:
    """16 mm screw, 6 mm disc, 1 mm washer: 9 mm into an insert 8 mm deep."""
    assert FLOOR in said(answer_text(heel(ON_THE_FLOOR), level=level))
    assert FLOOR not in said(answer_text(heel(DEMO), level=level))


def test_screws_on_the_floor_are_not_told_where_the_advice_changes_them_or_they_are_only_assumed() -> None:
    moved = answer_case(load_knowledge(), Case("binding_moves", ON_THE_FLOOR))
    assert moved.choice is not None
    assert FLOOR not in moved.cautions
    assert FLOOR not in heel(ON_THE_FLOOR.without("board.insert_depth_mm")).cautions


def test_what_lies_right_already_is_told_for_both_feet_at_once_and_in_whole_millimetres() -> None:
    told = said(answer_text(answer_case(load_knowledge(), Case("ask_back_angle", DEMO, {"back_foot_for": "one_way"}))))
    window = re.search(r"Stance angle is 0° behind \(good: (-?\d+ to \d+)°\)\.", told)
    assert window and f"from {window[1]} is good" in told.partition("Stance angle is")[0]
    width = said(answer_text(answer_case(load_knowledge(), Case("ask_stance_width", DEMO))))
    assert re.search(r"\b\d+ to \d+ mm suits (legs like )?these", width)
    assert not re.search(r"\d\.\d+ mm", width)


def test_a_long_list_of_small_changes_is_cut_short() -> None:
    flat = read_sheet(ROOT / "transcripts_demo" / "larchfall_knee.yaml").with_value("mount.back.angle_deg", 24)
    case = Case("sore_back_knee", flat, {"knee_signs": "no"})
    line = next(one for one in said(answer_text(answer_case(load_knowledge(), case))).split(". ") if "Too small" in one)
    assert re.search(r"(\w[\w ]*, ){4}\d+ more \('numbers' shows all\)", line)


def test_what_lacks_is_named_by_what_a_tech_can_measure() -> None:
    """Height gives thigh and shank; nobody measures a thigh at the counter."""
    unsure = frozenset({"rider.height_cm", "rider.inseam_cm", "board.reference_width_mm", "mount.front.angle_deg"})
    told = said(answer_text(answer_case(load_knowledge(), Case("feels_stretched", Sheet("", {}), {}, unsure))))
    assert "(missing: reference width, height)" in told
    assert "thigh" not in told
