"""What every tech knows, seen in the numbers. Each is common practice, no source, unless its docstring names one."""

from __future__ import annotations

from typing import Literal

import pytest
from hypothesis import given

from advisor.geometry.measuring import Measurements, measure_all
from advisor.sheet.setup import Setup
from tests.external.values import FOOT_PROGRESSION
from tests.make_setup import example_setup, known
from tests.strategies import setups

SIDES: tuple[Literal["front"], Literal["back"]] = ("front", "back")


def _all(s: Setup) -> Measurements:
    return measure_all(known(s))


def test_the_disc_turned_half_round_moves_the_binding_away_from_the_holes_by_twice_their_offset() -> None:
    """People at the bench disagree on the way; geometry decides: the inserts stay. Common practice, no source.

    The example's holes sit 3 mm toward the toe edge of the disc's centre, so the binding sits 3 mm toward the heel
    edge; turned half round the holes sit toward the heel edge and the binding 3 mm toward the toe edge: 6 mm in all.
    """
    s, turned = example_setup(), example_setup()
    turned.back.disc_flipped = True
    before, after = _all(s)["boot_offset_mm.back"].value, _all(turned)["boot_offset_mm.back"].value
    assert (before, after) == (-3, 3)
    turned.bindings.hole_offset_mm = 0
    assert _all(turned)["boot_offset_mm.back"].value == 0


@given(setups())
def test_a_half_turn_moves_the_boot_by_twice_the_offset_and_nothing_along_the_board(s: Setup) -> None:
    """Common practice, no source. With the slots along the board it moves along the board instead."""
    s.front.slots = "across"
    turned = s.copy()
    turned.front.disc_flipped = not s.front.disc_flipped
    before, after = _all(s), _all(turned)
    toward_toes = 2 * s.bindings.hole_offset_mm * (-1 if s.front.disc_flipped else 1)
    moved = after["boot_offset_mm.front"].value - before["boot_offset_mm.front"].value
    assert moved == pytest.approx(toward_toes)
    assert after["stance_width_mm"].value == before["stance_width_mm"].value


def test_slots_across_centre_the_boot_and_slots_along_set_the_width() -> None:
    """About 5 mm each way from the middle, 1 cm in all, for toe and heel; none along. Common practice, no source."""
    offsets, widths = {}, {}
    for slots in ("across", "along"):
        for slide in (-5, 0, 5):
            s = example_setup()
            s.front.slots, s.front.slot_mm = slots, slide
            offsets[slots, slide] = _all(s)["boot_offset_mm.front"].value
            widths[slots, slide] = _all(s)["stance_width_mm"].value
    assert offsets["across", 5] - offsets["across", -5] == 10
    assert widths["across", 5] == widths["across", -5] == 540
    assert widths["along", 5] - widths["along", -5] == 10
    assert offsets["along", 5] == offsets["along", -5]


def test_one_row_a_foot_moves_the_stance_width_twice_the_rows_pitch() -> None:
    """Common practice, no source."""
    s = example_setup()
    s.front.row = s.back.row = 1
    assert _all(s)["stance_width_mm"].value == 540 + 2 * 20
    assert _all(s)["setback_mm"].value == 20


def test_both_feet_back_by_one_row_set_the_stance_back_and_leave_its_width() -> None:
    """Common practice, no source."""
    s = example_setup()
    s.front.row, s.back.row = -1, 1
    after = _all(s)
    assert after["stance_width_mm"].value == 540
    assert after["setback_mm"].value == 20 + 20
    assert after["front_load_share"].value < _all(example_setup())["front_load_share"].value < 0.5


def test_one_notch_of_three_degrees_of_the_back_foot() -> None:
    """Disc teeth of 3 degrees: the hips turn along, so each leg feels half of it. Common practice, no source."""
    before = _all(example_setup())
    for notch in (1, -1):
        s = example_setup()
        s.back.angle_deg += notch * s.bindings.notch_deg
        after = _all(s)
        assert after["splay_deg"].value - before["splay_deg"].value == -3 * notch
        for foot in ("front", "back"):
            assert after[f"turnout_gap_deg.{foot}"].value - before[f"turnout_gap_deg.{foot}"].value == -1.5 * notch


@pytest.mark.parametrize(
    ("front", "back", "style", "sound"),
    [
        (24, 9, "all_mountain", True), (36, 30, "carving", True), (15, -12, "all_mountain", True),
        (15, -12, "freestyle", True), (15, 0, "all_mountain", True), (15, 0, "first_season", True),
        (0, 0, "all_mountain", False), (0, 9, "all_mountain", False), (3, 6, "freestyle", False),
    ],
)  # fmt: skip
@pytest.mark.parametrize("turnout", [10, 11, 12])
def test_legs_feel_the_angle_between_the_feet(front: int, back: int, style: str, sound: bool, turnout: int) -> None:
    """Forward and duck stances that riders stand on are no fault of a leg; no angle and pigeon toes are. No source."""
    s = example_setup(style)
    s.front.angle_deg, s.back.angle_deg, s.front.turnout_deg, s.back.turnout_deg = front, back, turnout, turnout
    gaps = [_all(s)[f"turnout_gap_deg.{foot}"].value for foot in SIDES]
    assert all(-10 < gap <= 8 for gap in gaps) is sound


def test_one_legs_odd_turnout_is_shared_by_both() -> None:
    """By hand: 15 and 0, turnouts 20 and 10: hips (15 + 0 - 20 + 10) / 2 = 2.5, gap 15 - 2.5 - 20. No source."""
    s = example_setup()
    s.front.turnout_deg, s.back.turnout_deg = 20, 10
    taken = _all(s)
    assert taken["hips_turn_deg"].value == 2.5
    assert taken["turnout_gap_deg.front"].value == taken["turnout_gap_deg.back"].value == -7.5


def test_more_angle_takes_overhang_from_both_edges() -> None:
    """Why a small board asks for more angle. Common practice, no source."""
    overhangs = []
    for angle in (0, 6, 12, 18, 24):
        s = example_setup()
        s.front.angle_deg, s.board.reference_width_mm = angle, 1
        taken = _all(s)
        overhangs.append(taken["toe_overhang_mm.front"].value + taken["heel_overhang_mm.front"].value)
    assert overhangs == sorted(overhangs, reverse=True)


def test_a_toe_ramp_that_ends_on_the_edge_has_no_way_left() -> None:
    """The ramp ends where the edge's bevel begins; the boot's toe comes to its end or a hair past. No source."""
    s = example_setup()
    way = _all(s)["ramp_to_edge_mm.back"].value
    s.bindings.toe_ramp_mm += way
    after = _all(s)
    assert after["ramp_to_edge_mm.back"].value == pytest.approx(0, abs=1e-6)
    assert after["toe_past_ramp_mm.back"].value == pytest.approx(151 - 128 - way)


def test_a_heelcup_step_moves_the_boot_and_a_ramp_step_moves_the_ramp() -> None:
    """Common practice, no source."""
    s = example_setup()
    s.back.heelcup, s.back.toe_ramp = 1, 1
    before, after = _all(example_setup()), _all(s)
    assert after["boot_offset_mm.back"].value - before["boot_offset_mm.back"].value == 5
    assert after["toe_past_ramp_mm.back"].value == before["toe_past_ramp_mm.back"].value
    assert after["ramp_to_edge_mm.back"].value < before["ramp_to_edge_mm.back"].value


def test_more_forward_lean_acts_sooner() -> None:
    """More lean acts more directly on the heel edge: the shank has less way before the highback. No source."""
    s = example_setup()
    s.back.lean_deg = 5
    assert _all(example_setup())["lean_reserve_deg.back"].value - _all(s)["lean_reserve_deg.back"].value == (
        pytest.approx(5)
    )


def test_moving_the_boot_toward_the_heel_edge_makes_that_edge_more_direct() -> None:
    """Common practice, no source."""
    s = example_setup()
    s.back.slot_mm = -5
    before, after = _all(example_setup()), _all(s)
    assert after["heel_lever_mm.back"].value == pytest.approx(before["heel_lever_mm.back"].value - 5, abs=0.01)
    assert after["edge_power_balance.back"].value > before["edge_power_balance.back"].value


def test_the_sound_start_of_fifteen_and_nought_lies_near_a_usual_riders_own_turnout() -> None:
    """+15 / 0 is a sound start (common practice, no source).

    Feet progress at about +10 with a normal range of -3 to +20 (Staheli et al. 1985), outward on both sides.
    """
    s = example_setup()
    s.front.turnout_deg = s.back.turnout_deg = FOOT_PROGRESSION[0]
    taken = _all(s)
    assert taken["hips_turn_deg"].value == 7.5
    assert taken["turnout_gap_deg.front"].value == taken["turnout_gap_deg.back"].value == -2.5
    assert FOOT_PROGRESSION[1] <= s.front.angle_deg <= FOOT_PROGRESSION[2]
