"""Screws, highback and straps: by vectors, by counting, and at the ends of their ranges."""

from __future__ import annotations

from math import atan2, cos, degrees, isnan, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.geometry.board import half_width_mm
from advisor.geometry.contact import contact_deg
from advisor.geometry.fixings import (
    clamp_load_n,
    highback_gap_deg,
    screw_engagement_mm,
    screw_gap_mm,
    screw_turns,
    strap_offset_mm,
)
from advisor.geometry.placing import binding_x_mm
from advisor.sheet.setup import Setup
from tests.make_setup import example_setup
from tests.strategies import setups


@given(setups())
def test_highback_gap_is_the_angle_between_highback_and_heel_edge(s: Setup) -> None:
    """The highback's line is square to the foot before it is turned; the heel edge's by a small step along it."""
    for f in (s.front, s.back):
        f.highback_turn_deg = 0
        x = binding_x_mm(s, f)
        edge = (0.02, -half_width_mm(s.board, x + 0.01) + half_width_mm(s.board, x - 0.01))
        toes = (sin(radians(f.angle_deg)), cos(radians(f.angle_deg)))
        highback = (toes[1], -toes[0])
        across, along = edge[0] * highback[1] - edge[1] * highback[0], edge[0] * highback[0] + edge[1] * highback[1]
        turned = degrees(atan2(across, along))
        toes_out = -turned if f.side == "front" else turned
        assert highback_gap_deg(s, f) == pytest.approx(toes_out, abs=0.01)
        f.highback_turn_deg = 7
        assert highback_gap_deg(s, f) == pytest.approx(toes_out - 7, abs=0.01)


@pytest.mark.parametrize(("angle", "turn", "gap"), [(9, 9, 0), (-9, 9, -18), (-9, -9, 0), (0, 5, -5), (15, 5, 10)])
def test_a_foot_that_crosses_zero_leaves_its_highback_turned_the_wrong_way(angle: int, turn: int, gap: int) -> None:
    """By hand, on a straight edge; both feet alike, counted outward."""
    s = example_setup()
    s.board.sidecut_radius_mm = 1e9
    s.front.angle_deg, s.back.angle_deg = angle, -angle
    s.front.highback_turn_deg = s.back.highback_turn_deg = turn
    assert highback_gap_deg(s, s.front) == pytest.approx(gap, abs=1e-3)
    assert highback_gap_deg(s, s.back) == pytest.approx(gap, abs=1e-3)


def test_a_wedge_of_three_degrees_under_100_mm_takes_screw_and_gives_gap() -> None:
    """By hand: 0 to 5.24 mm thick; 20 mm either side of its middle 1.57 and 3.67 mm, on a foot straight across."""
    s = example_setup()
    s.front.angle_deg = s.back.angle_deg = 0
    s.front.cant_deg = s.back.cant_deg = 3
    assert screw_engagement_mm(s) == pytest.approx(14 - 6 - 1 - 3.669, abs=1e-3)
    assert screw_gap_mm(s) == pytest.approx(8 - (14 - 6 - 1 - 1.572), abs=1e-3)
    s.front.cant_deg = s.back.cant_deg = -3
    assert screw_engagement_mm(s) == pytest.approx(14 - 6 - 1 - 3.669, abs=1e-3)


def test_a_wedge_lifts_the_boot_so_that_it_meets_the_snow_later() -> None:
    s = example_setup()
    flat = contact_deg(s, s.back, "heel")
    s.back.cant_deg = 3
    assert flat < contact_deg(s, s.back, "heel") < flat + 5


def test_a_highback_square_to_a_foot_straight_across_lies_along_the_edge_at_the_waist() -> None:
    s = example_setup()
    s.board.waist_place_mm = binding_x_mm(s, s.back)
    assert highback_gap_deg(s, s.back) == 0


@given(setups())
def test_screw_thread_and_gap_add_up_to_the_inserts_depth(s: Setup) -> None:
    """Screw under the head = clamped parts + thread in the insert + what stands proud of its floor, foot by foot."""
    s.back.riser_mm = s.front.riser_mm
    s.front.cant_deg = s.back.cant_deg = 0
    below = s.bindings.screw_length_mm - s.bindings.disc_thickness_mm - s.bindings.washer_mm - s.front.riser_mm
    if 0 <= below <= s.board.insert_depth_mm:
        assert screw_engagement_mm(s) + screw_gap_mm(s) == pytest.approx(s.board.insert_depth_mm)
        assert screw_engagement_mm(s) == pytest.approx(below)


@given(setups(), st.sampled_from((0.0, 3.0, 12.0)))
def test_thread_is_counted_on_the_thicker_riser_and_the_gap_on_the_thinner(s: Setup, riser: float) -> None:
    s.front.riser_mm, s.back.riser_mm = riser, 0
    s.front.cant_deg = s.back.cant_deg = 0
    alone = s.copy()
    alone.front.riser_mm = alone.back.riser_mm = riser
    assert screw_engagement_mm(s) == screw_engagement_mm(alone)
    alone.front.riser_mm = alone.back.riser_mm = 0
    assert screw_gap_mm(s) == screw_gap_mm(alone)


def test_a_screw_that_does_not_reach_its_insert_holds_nothing() -> None:
    s = example_setup()
    s.front.riser_mm = 10
    assert screw_engagement_mm(s) == 0
    assert screw_turns(s) == 0
    assert clamp_load_n(s) == 0


def test_a_screw_on_the_inserts_floor_clamps_nothing() -> None:
    s = example_setup()
    s.bindings.screw_length_mm = 15
    assert screw_gap_mm(s) == 0
    assert clamp_load_n(s) == 0
    s.bindings.screw_length_mm = 14.9
    assert clamp_load_n(s) == pytest.approx(4 / (0.2 * 0.006))


def test_a_strap_pulled_to_the_right_is_positive() -> None:
    s = example_setup()
    s.front.strap_left_mm, s.front.strap_right_mm = 30, 50
    assert strap_offset_mm(s, s.front) == 10


def test_a_foot_that_never_points_at_the_edge_gives_no_way_to_it() -> None:
    from advisor.geometry.overhang import ramp_to_edge_mm

    s = example_setup()
    s.board.sidecut_radius_mm, s.front.angle_deg = 4000, 75
    s.board.waist_place_mm = -300
    assert isnan(ramp_to_edge_mm(s, s.front)) or ramp_to_edge_mm(s, s.front) > 0
    s.front.angle_deg = 89
    assert isnan(ramp_to_edge_mm(s, s.front))


def test_a_binding_beyond_the_ends_of_a_tiny_sidecut_gives_no_number_and_no_fault() -> None:
    """Each width may be believed alone; together they would bend the edge round before it reaches the binding."""
    from advisor.geometry.overhang import local_width_mm

    s = example_setup()
    s.board.sidecut_radius_mm = float("nan")
    s.board.waist_width_mm, s.board.nose_width_mm, s.board.tail_width_mm = 180, 450, 450
    s.board.contact_length_mm, s.board.reference_width_mm = 500, 800
    assert isnan(local_width_mm(s, s.front))
    assert isnan(highback_gap_deg(s, s.front))


def test_three_points_on_one_line_give_no_sidecut_and_no_fault() -> None:
    from advisor.geometry.board import sidecut_radius_mm

    s = example_setup()
    s.board.sidecut_radius_mm = float("nan")
    s.board.tail_width_mm, s.board.nose_width_mm, s.board.contact_length_mm = 220, 300, 1160
    s.board.waist_width_mm, s.board.waist_place_mm = 240, -290
    assert isnan(sidecut_radius_mm(s.board))
