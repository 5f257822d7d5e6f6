"""Knowledge texts with numbers of measures, of the set-up, of windows and of boot sizes put in."""

from __future__ import annotations

import pytest

from advisor.explain.filling import fill
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import parse_sheet
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve


def known(text: str) -> Known:
    return resolve(parse_sheet(f"schema: 1\n{text}\n".encode(), "s.yaml"), load_practice())


ANGLES = known(
    "rider: {style: carving}\nmount: {front: {angle_deg: 27, lean_deg: 10}, back: {angle_deg: 6, lean_deg: 15}}"
)
BARE = known("")


@pytest.mark.parametrize(
    ("text", "feet", "told"),
    [
        ("{front.angle_deg} and {back.angle_deg}", (), "27° and 6°"),
        ("{foot.lean_deg}", ("back",), "15°"),
        ("{foot.lean_deg}", ("front", "back"), "10° (front) and 15° (back)"),
        ("{splay_deg}", ("front", "back"), "21°"),
        ("{rider.style}", (), "carved turns on the piste"),
    ],
)
def test_numbers_and_words_of_the_set_up_stand_in_texts(text: str, feet: tuple, told: str) -> None:
    assert fill(text, ANGLES, feet) == told


def test_the_same_number_at_both_feet_is_said_once() -> None:
    same = known("mount: {front: {lean_deg: 5}, back: {lean_deg: 5}}")
    assert fill("Lean is {foot.lean_deg}.", same, ("front", "back")) == "Lean is 5°."


@pytest.mark.parametrize(
    ("feet", "told"),
    [
        (("back",), "The back leg leans."),
        (("front", "back"), "The front and back legs lean, both."),
        ((), "The front leg leans."),
    ],
)
def test_words_agree_with_one_foot_or_with_both(feet: tuple, told: str) -> None:
    assert fill("The {foot} {leg leans|legs lean}{|, both}.", BARE, feet) == told


def test_a_size_has_no_sign() -> None:
    turned = known("mount: {front: {angle_deg: 15}, back: {angle_deg: -6}}")
    assert fill("{back.angle_deg}, {size:back.angle_deg}", turned) == "-6°, 6°"


def test_a_share_of_the_weight_is_told_in_per_cent() -> None:
    """20 mm behind the middle of a 1200 mm edge: one half less 20 / 1200."""
    set_back = known("board: {effective_edge_mm: 1200, reference_width_mm: 540, reference_setback_mm: 20}")
    even = known("board: {effective_edge_mm: 1200, reference_width_mm: 540, reference_setback_mm: 0}")
    assert fill("{front_load_share}", set_back) == "48.3 %"
    assert fill("{front_load_share}", even) == "50 %"
    assert fill("{good:front_load_share}", even) == "48 to 52 %"


def test_a_window_is_told_for_this_riders_style() -> None:
    """trees/windows.yaml: a carver's front foot 15 to 33 degrees, an all-mountain rider's 9 to 21."""
    assert fill("Good is {good:front.angle_deg}.", ANGLES) == "Good is 15 to 33°."
    assert fill("Good is {good:front.angle_deg}.", BARE) == "Good is 9 to 21°."
    assert fill("Good is {good:overhang_split_mm}.", BARE, units="imperial") == "Good is -0.16 in to 0.16 in."


def test_a_small_end_of_a_window_keeps_its_decimal() -> None:
    assert fill("Good is {good:screw_gap_mm}.", BARE) == "Good is 0.5 mm and more."
    assert fill("Good is {good:screw_torque_nm}.", BARE) == "Good is 3.5 to 5 N·m."


def test_a_sentence_whose_number_is_not_known_is_left_out() -> None:
    text = "Stand as you like. The width is {stance_width_mm}, at 3.5 turns. Then ride."
    assert fill(text, BARE) == "Stand as you like. Then ride."


def test_where_no_sentence_would_be_left_the_gap_is_named() -> None:
    assert fill("The width is {stance_width_mm}.", BARE) == "The width is not known."


def test_a_window_that_needs_a_missing_number_leaves_its_sentence_out() -> None:
    assert fill("Good is {good:stance_width_mm}. Feel it.", BARE) == "Feel it."


def test_a_label_is_told_with_its_foot_and_its_sizes_in_every_system() -> None:
    """ISO 9407 and JIS S 5037: Mondopoint and the Japanese size are the foot itself, in cm."""
    told = fill("{sizes_of_boot}.", known('boots: {size: "mondo 27"}'))
    assert told.startswith("mondo 27.0 stands for a foot of 270 mm: mondo 27.0, JP 27.0, EU 42.5 (other tables ")
    wide = fill("{sizes_of_boot}.", known('boots: {size: "EU 42"}'))
    assert wide.startswith("EU 42 stands for a foot of about 267 mm (2")
    assert "mondo 26.5" in wide


def test_a_childs_foot_has_a_childs_label() -> None:
    """US sizes start anew: a foot of 20 cm is a child's 13.5 or so, and no size for a grown-up woman."""
    told = fill("{sizes_of_boot}.", known('boots: {size: "mondo 20"}'))
    assert "US child 13.5" in told
    assert "US W" not in told
    assert "US youth 3" in fill("{sizes_of_boot}.", known('boots: {size: "mondo 22"}'))


def test_the_longer_foot_gives_the_size() -> None:
    told = fill("{sizes_of_foot}.", known("rider: {foot_length_mm: {left: 262, right: 268}}"))
    assert told.startswith("the longer foot, 268 mm, is mondo 26.8, JP 26.8, EU ")


def test_sizes_without_a_label_or_a_measured_foot_are_left_out() -> None:
    assert fill("{sizes_of_boot}. Measure both feet.", BARE) == "Measure both feet."
    assert fill("{sizes_of_foot}. Measure both feet.", known('boots: {size: "EU 42"}')) == "Measure both feet."
