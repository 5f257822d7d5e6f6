"""The two-link leg against drawn chains and brute force over the knee's circle (numpy)."""

from __future__ import annotations

from math import atan2, cos, degrees, isnan, radians, sin

import numpy as np
import pytest
from hypothesis import assume, given
from numpy.typing import NDArray

from advisor.geometry.leg import (
    ankle_point_mm,
    hip_separation_mm,
    knee_offset_mm,
    lean_reserve_deg,
    leg_chain,
    leg_lean_deg,
    leg_length_mm,
    shank_lean_deg,
)
from advisor.geometry.stance import setback_mm, stance_width_goal_mm
from advisor.sheet.setup import FootSetup, Setup
from tests.make_setup import example_setup
from tests.strategies import setups

Vector = NDArray[np.float64]


def _sole_normal(f: FootSetup) -> Vector:
    """Return the outward normal of the foot's upright plane, its top leaned inward by the cant: by rotations."""
    turn = radians(-f.angle_deg)
    spin = np.array([[cos(turn), -sin(turn), 0], [sin(turn), cos(turn), 0], [0, 0, 1]])
    cant = radians(-f.outward * f.cant_deg)
    roll = np.array([[cos(cant), 0, sin(cant)], [0, 1, 0], [-sin(cant), 0, cos(cant)]])
    return spin @ roll @ np.array([f.outward, 0, 0])


def _knee_circle(s: Setup, f: FootSetup, n: int = 7200) -> tuple[Vector, Vector]:
    """Return n points at thigh's length from the hip and shank's length from the ankle, and the forward direction."""
    leg = leg_chain(s, f)
    hip, ankle = np.array(leg.hip), np.array(leg.ankle)
    line = hip - ankle
    reach = np.linalg.norm(line)
    thigh, shank = s.rider.thigh_mm, s.rider.shank_mm
    up = (reach**2 + shank**2 - thigh**2) / (2 * reach)
    around = np.linalg.svd(line.reshape(1, 3))[2][1:]
    t = np.linspace(0, 2 * np.pi, n)
    size = np.sqrt(shank**2 - up**2)
    ring = ankle + up * line / reach + size * (np.outer(np.cos(t), around[0]) + np.outer(np.sin(t), around[1]))
    turn = radians(-f.angle_deg)
    return ring, np.array([-sin(turn), cos(turn), 0])


def _reaches(s: Setup, f: FootSetup) -> bool:
    """Whether the leg is bent enough for its knee to have a side: a straight one passes through the line."""
    leg = leg_chain(s, f)
    return not isnan(leg.hip[2]) and np.linalg.norm(np.subtract(leg.hip, leg.ankle)) < 0.99 * (
        s.rider.thigh_mm + s.rider.shank_mm
    )


@given(setups())
def test_thigh_and_shank_keep_their_lengths(s: Setup) -> None:
    for f in (s.front, s.back):
        assume(_reaches(s, f))
        leg = leg_chain(s, f)
        assert np.linalg.norm(np.subtract(leg.hip, leg.knee)) == pytest.approx(s.rider.thigh_mm, abs=1e-6)
        assert np.linalg.norm(np.subtract(leg.knee, leg.ankle)) == pytest.approx(s.rider.shank_mm, abs=1e-6)


@given(setups())
def test_leg_length_is_that_of_a_chain_bent_at_the_knee(s: Setup) -> None:
    bend = radians(s.practice.riding_knee_flex_deg)
    hip = s.rider.shank_mm + s.rider.thigh_mm * complex(cos(bend), sin(bend))
    assert leg_length_mm(s) == pytest.approx(abs(hip), abs=1e-6)


@given(setups())
def test_hips_stand_level_over_the_stance_at_the_mean_height_of_two_bent_legs(s: Setup) -> None:
    assume(_reaches(s, s.front) and _reaches(s, s.back))
    front, back = leg_chain(s, s.front), leg_chain(s, s.back)
    assert front.hip[1:] == pytest.approx(back.hip[1:])
    assert front.hip[0] - back.hip[0] == pytest.approx(hip_separation_mm(s))
    assert (front.hip[0] + back.hip[0]) / 2 == pytest.approx(-setback_mm(s))
    heights = []
    for f, leg in ((s.front, front), (s.back, back)):
        ankle = np.array(ankle_point_mm(s, f))
        level = np.array([*(np.array(leg.hip) - ankle)[:2], 0])
        heights.append(ankle[2] + np.sqrt(leg_length_mm(s) ** 2 - level @ level))
    assert front.hip[2] == pytest.approx(np.mean(heights))


@given(setups())
def test_without_twist_or_give_the_knee_stands_in_the_soles_plane_facing_the_toes(s: Setup) -> None:
    """Brute force: of the circle's points nearest to the sole's plane, the one further toward the toes.

    Where the circle passes through the plane it does so at two points; where it does not reach it there is one nearest,
    which may stand exactly sideways of the leg.
    """
    s.practice.knee_twist_share = s.practice.cuff_give_share = 0
    s.practice.hip_opening_limit_deg = 180
    for f in (s.front, s.back):
        assume(_reaches(s, f))
        ring, forward = _knee_circle(s, f)
        leg = leg_chain(s, f)
        offsets = (ring - np.array(leg.ankle)) @ _sole_normal(f)
        step = np.linalg.norm(ring[1] - ring[0])
        passes = np.flatnonzero(np.diff(np.sign(offsets)))
        assert abs(knee_offset_mm(s, f)) <= np.min(np.abs(offsets)) + step
        if passes.size:
            assert np.array(leg.knee) @ forward >= np.max(ring[passes] @ forward) - 2 * step


@given(setups())
def test_knee_offset_is_the_knees_distance_from_the_soles_plane(s: Setup) -> None:
    for f in (s.front, s.back):
        assume(_reaches(s, f))
        leg = leg_chain(s, f)
        expected = np.subtract(leg.knee, leg.ankle) @ _sole_normal(f)
        assert knee_offset_mm(s, f) == pytest.approx(expected, abs=1e-6)


@given(setups())
def test_leg_lean_and_shank_lean_are_the_chains_own_angles(s: Setup) -> None:
    for f in (s.front, s.back):
        assume(_reaches(s, f))
        leg = leg_chain(s, f)
        out, up = f.outward * (leg.ankle[0] - leg.hip[0]), leg.hip[2] - leg.ankle[2]
        assert leg_lean_deg(s, f) == pytest.approx(degrees(atan2(out, up)))
        _ring, forward = _knee_circle(s, f, 4)
        shank = np.subtract(leg.knee, leg.ankle)
        assert shank_lean_deg(s, f) == pytest.approx(degrees(atan2(shank @ forward, shank[2])), abs=1e-6)
        assert lean_reserve_deg(s, f) == pytest.approx(shank_lean_deg(s, f) - f.lean_deg)


@given(setups())
def test_a_foot_turned_out_past_the_riders_turnout_takes_the_knee_inside(s: Setup) -> None:
    """Up to the widest stance that the trade calls sound: far wider, the knee's circle no longer reaches the plane."""
    for f in (s.front, s.back):
        assume(_reaches(s, f) and leg_lean_deg(s, f) <= s.practice.width_lean_high_deg)
        wider = s.copy()
        other = wider.foot(f.side)
        other.turnout_deg -= 5
        assert knee_offset_mm(wider, other) < knee_offset_mm(s, f)


@given(setups())
def test_legs_out_of_reach_of_the_stance_give_no_number_and_no_fault(s: Setup) -> None:
    s.rider.thigh_mm = s.rider.shank_mm = 100
    s.board.reference_width_mm = 1200
    for f in (s.front, s.back):
        assert isnan(leg_lean_deg(s, f))
        assert isnan(knee_offset_mm(s, f))
        assert isnan(lean_reserve_deg(s, f))


def test_a_square_symmetric_stance_leans_both_legs_alike() -> None:
    """Worked by hand: hips 172.8 apart, feet 540 apart, hip joint 807.6 from the ankle at 45 degrees of knee bend."""
    s = example_setup()
    s.front.angle_deg = s.back.angle_deg = 0
    s.back.foot_length_mm = s.front.foot_length_mm
    out = (540 - 0.72 * 240) / 2
    level_and_up = np.sqrt(436**2 + 438**2 + 2 * 436 * 438 * np.sqrt(0.5))
    expected = degrees(np.arcsin(out / level_and_up))
    for f in (s.front, s.back):
        assert leg_lean_deg(s, f) == pytest.approx(expected, abs=1e-6)


@given(setups())
def test_the_width_window_lies_within_the_legs_window(s: Setup) -> None:
    """The window's ends, put back as stances over level hips, lean the legs within the trade's limits."""
    low, high = stance_width_goal_mm(s)
    assert low <= high
    for end in (low, high):
        lean = degrees(np.arcsin((end - hip_separation_mm(s)) / 2 / leg_length_mm(s)))
        assert s.practice.width_lean_low_deg - 1e-9 <= lean <= s.practice.width_lean_high_deg + 1e-9
