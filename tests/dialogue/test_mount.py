"""The whole first set-up as the end of a walk."""

from __future__ import annotations

import json
from typing import Any

import pytest

from advisor.cli.as_json import answer_json
from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.walk import walk
from advisor.explain.account import answer_text
from advisor.explain.text import Points, Say
from advisor.geometry.measuring import measure_all
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import parse_sheet, read_sheet
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.bench_order import load_bench_order
from tests.conftest import ROOT
from tests.small_world import ask, entry, knowledge

DEMO = read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
ALL = {"mount": "all", "otherwise": "narrow", "says": "Mount it so.", "feel": ""}
NODES = {"start": ALL, "narrow": {"refer": "tuner"}}


def answered(of: Sheet, nodes: dict[str, Any] = NODES) -> Answer:
    return answer_case(knowledge({"slides": entry(nodes, ("start", 1.0))}), Case("slides", of))


def test_the_sheet_after_is_the_whole_mount_read_back_by_another_program() -> None:
    answer = answered(DEMO)
    assert answer.choice is not None
    after = parse_sheet(json.dumps(answer.choice.sheet_after.to_dict()).encode(), "after.json")
    for change in answer.choice.changes:
        assert after.value(change.path) == change.after
        assert DEMO.value(change.path) != change.after
    taken = measure_all(resolve(after, load_practice()))
    assert taken["stance_width_mm"].value == pytest.approx(answer.choice.after["stance_width_mm"].value)


def test_changes_come_in_bench_order() -> None:
    answer = answered(DEMO)
    assert answer.choice is not None
    steps = list(load_bench_order().steps)
    places = [steps.index(change.adjustment) for change in answer.choice.changes]
    assert places
    assert places == sorted(places)


def test_every_step_is_told_in_order_with_whether_the_board_suits_first() -> None:
    answer = answered(DEMO)
    assert answer.mount is not None
    blocks = answer_text(answer)
    points = next(block for block in blocks if isinstance(block, Points))
    assert len(points.items) == len({step.id for step in answer.mount.setup.steps})
    before = [block.words for block in blocks[: blocks.index(points)] if isinstance(block, Say)]
    assert any("its waist is 254 mm" in words for words in before)
    assert answer.feel.startswith("Hand over")


def test_json_has_the_steps_and_each_adjustment_its_reason() -> None:
    told = answer_json(answered(DEMO))
    assert [step["step"] for step in told["bench_order"]][:3] == ["ramp", "ramp", "straps"]
    says = {step["says"] for step in told["bench_order"]}
    assert told["adjustments"]
    assert all(change["reason"] in says for change in told["adjustments"])


def test_a_board_on_which_no_setting_clears_leads_on() -> None:
    narrow = DEMO.with_value("board.waist_width_mm", 225.0)
    answer = answered(narrow)
    assert answer.outcome == "refer"
    assert answer.referral is not None
    assert answer.referral.id == "tuner"


def test_a_number_without_which_nothing_can_be_set_is_asked_for() -> None:
    answer = answer_case(load_knowledge(), Case("ask_first_setup", DEMO.without("board.waist_width_mm")))
    assert answer.outcome == "needs"
    assert answer.walk.question is not None
    assert answer.walk.question.fact.id == "board.waist_width_mm"


def test_what_nobody_can_tell_is_left_open_in_words_of_its_own() -> None:
    case = Case("ask_first_setup", DEMO.without("board.waist_width_mm")).with_unsure("board.waist_width_mm")
    answer = answer_case(load_knowledge(), case)
    assert answer.outcome == "advice"
    assert answer.choice is not None
    assert "mount.front.slot_mm" not in {change.path for change in answer.choice.changes}
    told = next(block for block in answer_text(answer) if isinstance(block, Points)).items
    assert any("A ruler from each edge to the boot's end" in words for words in told)
    assert not any("unknown" in words or "{" in words for words in told)


def test_boots_of_the_wrong_size_stop_it() -> None:
    """Common practice, no source: no mount makes sense in a boot that is three sizes short."""
    sheet = DEMO.with_value("boots.size", "mondo 23.0")
    answer = answer_case(load_knowledge(), Case("ask_first_setup", sheet))
    assert answer.referral is not None
    assert answer.referral.id == "boot_longer"


def test_height_weight_and_style_alone_are_answered_in_one_breath() -> None:
    sheet = parse_sheet(b"schema: 1\nrider: {height_cm: 175, weight_kg: 75, style: first_season}\n", "little.yaml")
    case = Case("ask_first_setup", sheet)
    for _ in range(8):
        answer = answer_case(load_knowledge(), case)
        if answer.outcome != "needs":
            break
        assert answer.walk.question is not None
        case = case.with_unsure(answer.walk.question.fact.id)
    said = "\n".join(block.words for block in answer_text(answer) if isinstance(block, Say))
    told = "\n".join(next(block for block in answer_text(answer) if isinstance(block, Points)).items)
    assert "a board with a waist of" in said
    assert "153 to 161 cm" in said
    assert "Front 15\u00b0, back -6\u00b0" in told
    assert "between the discs' centres" in told


def test_the_style_is_asked_although_both_answers_end_in_the_same_place() -> None:
    """Width and angles have other windows for another style."""
    nodes = {"start": ask("rider.style", {"all_mountain|carving": "all"}), "all": ALL, "narrow": {"refer": "tuner"}}
    known = knowledge({"slides": entry(nodes, ("start", 1.0))})
    done = walk(known, Case("slides", DEMO.without("rider.style")))
    assert done.question is not None
    assert done.question.fact.id == "rider.style"


@pytest.mark.parametrize("foot", ["left", "right"])
def test_the_project_s_own_entry_asks_for_foot_and_style_and_mounts(foot: str) -> None:
    bare = DEMO.without("rider.leading_foot").without("rider.style")
    case = Case("ask_first_setup", bare)
    asked = []
    for value in (foot, "freestyle"):
        question = walk(load_knowledge(), case).question
        assert question is not None
        asked.append(question.fact.id)
        case = case.with_told(question.fact.id, value)
    assert asked == ["rider.leading_foot", "rider.style"]
    answer = answer_case(load_knowledge(), case)
    assert answer.mount is not None
    assert answer.mount.setup.sheet_after.value("rider.leading_foot") == foot
