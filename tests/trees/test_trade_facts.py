"""What the trade takes for granted, as the knowledge files say it. Each is common practice, no source."""

from __future__ import annotations

from typing import Any

import pytest

from advisor.knowledge.tables import load_table
from advisor.solve.adjustments import load_adjustments
from advisor.solve.windows import load_windows
from tests.make_setup import example_setup


@pytest.fixture(scope="module")
def windows_table() -> dict[str, Any]:
    return load_table("windows.yaml")


@pytest.mark.parametrize(
    ("style", "angles"),
    [
        ("first_season", [(12, -6), (15, -9)]),
        ("all_mountain", [(15, -6), (15, -9), (15, 0)]),
        ("freestyle", [(12, -12), (15, -15)]),
        ("powder", [(18, -3), (18, 0)]),
        ("carving", [(24, 9), (30, 15), (18, 3), (21, -6)]),
    ],
)
def test_the_angles_that_a_style_is_mounted_with_are_good_for_it(style: str, angles: list[tuple[int, int]]) -> None:
    """Common practice, no source."""
    setup = example_setup()
    setup.rider.style = style
    windows = load_windows()
    for front_deg, back_deg in angles:
        front, back = (windows.window(f"{side}.angle_deg", setup) for side in ("front", "back"))
        assert front and front.good.has(front_deg)
        assert back and back.good.has(back_deg)


def test_fifteen_and_nought_is_a_sound_start() -> None:
    """Common practice, no source: both angles and the angle between them lie in their windows."""
    setup = example_setup()
    setup.rider.style = "all_mountain"
    windows = load_windows()
    for name, value in (("front.angle_deg", 15), ("back.angle_deg", 0), ("splay_deg", 15)):
        window = windows.window(name, setup)
        assert window and window.good.has(value), name


def test_no_adjustment_sets_the_front_foot_negative() -> None:
    """Common practice, no source."""
    (way,) = load_adjustments()["angle_front"].ways
    assert way.bounds[0] == 0


def test_freestyle_riders_stand_wider_and_powder_riders_narrower() -> None:
    """Common practice, no source."""
    styles = load_table("practice.yaml")["width_style"]
    narrow, wide = styles["all_mountain"]
    assert styles["freestyle"][0] > narrow and styles["freestyle"][1] == wide
    assert styles["powder"][0] == narrow and styles["powder"][1] < wide


def test_a_disc_is_held_by_four_screws() -> None:
    """Common practice, no source."""
    works = load_table("adjustments.yaml")["work"]
    assert {work["screws"] for work in works.values() if work["part"] == "disc"} == {4}


def test_the_boots_tip_ends_with_the_ramp_or_a_hair_past_it_and_the_ramp_at_the_bevel(
    windows_table: dict[str, Any],
) -> None:
    """Common practice, no source: a tip exactly at the ramp's end and 5 mm past it are good, a ramp at the edge too."""
    windows = load_windows()
    past = windows.window("toe_past_ramp_mm.front", example_setup())
    ramp = windows.window("ramp_to_edge_mm.front", example_setup())
    assert past and past.good.has(0) and past.good.has(5)
    assert ramp and ramp.good.low == 0
    assert windows_table["ramp_to_edge_mm"]["source"] == "common_practice"


def test_a_strap_sits_in_the_middle_and_closes_before_the_ladders_end() -> None:
    """Common practice, no source."""
    windows = load_windows()
    strap = windows.window("strap_offset_mm.front", example_setup())
    ladder = windows.window("ladder_spare_teeth.front", example_setup())
    assert strap and strap.good.low == -strap.good.high
    assert ladder and not ladder.good.has(0)


def test_all_screws_are_threaded_with_washers_before_any_is_tightened_with_the_right_bit() -> None:
    """Common practice, no source; the recess of an M6 pan head is a No. 3 by ISO 7045."""
    words = (
        load_table("cautions.yaml")["screws"]["words"]
        if isinstance(load_table("cautions.yaml")["screws"], dict)
        else load_table("cautions.yaml")["screws"]
    )
    for part in ("all the screws", "washer", "before you tighten any", "crosswise", "No. 3 bit"):
        assert part in words
