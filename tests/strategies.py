"""Plausible whole set-ups for property tests: any rider, boot, board and mount that could stand at the counter."""

from __future__ import annotations

from math import nan

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from advisor.sheet.readings import Known
from advisor.sheet.setup import Bindings, Board, Boots, FootSetup, Ride, Rider, Setup
from tests.make_setup import known, practice

STYLES = ("first_season", "freestyle", "powder", "all_mountain", "carving")

# Half the width of the range by the field's ending or full path; a share of it is drawn.
_WIDEST_PLUS_MINUS = {
    "rider.height_mm": 30.0, "rider.thigh_mm": 15.0, "rider.shank_mm": 15.0, "rider.ankle_height_mm": 8.0,
    "rider.pelvis_width_mm": 25.0, "rider.speed_kmh": 5.0, "rider.tilt_deg": 6.0,
    "boots.outsole_length_mm": 6.0, "boots.ball_width_mm": 4.0, "boots.heel_width_mm": 4.0,
    "boots.toe_rise_mm": 4.0, "boots.toe_rise_length_mm": 5.0, "boots.heel_rise_mm": 4.0,
    "boots.heel_rise_length_mm": 4.0, "board.waist_width_mm": 2.0, "board.sidecut_radius_mm": 300.0,
    "board.thickness_mm": 1.0, "board.effective_edge_mm": 10.0, "board.reference_width_mm": 10.0,
    "board.reference_setback_mm": 5.0, "board.base_bevel_deg": 0.3, "board.side_bevel_deg": 0.3,
    "bindings.hole_offset_mm": 1.0, "bindings.base_height_toe_mm": 2.0, "bindings.base_height_heel_mm": 2.0,
    "bindings.base_length_mm": 5.0, "bindings.base_width_mm": 5.0, "bindings.toe_ramp_mm": 3.0,
    "bindings.heelcup_reach_mm": 5.0,
    "bindings.heelcup_height_mm": 5.0, "front.angle_deg": 1.5, "back.angle_deg": 1.5, "front.slot_mm": 1.0,
    "back.slot_mm": 1.0, "front.seat_mm": 2.0, "back.seat_mm": 2.0, "front.foot_length_mm": 4.0,
    "back.foot_length_mm": 4.0, "front.turnout_deg": 5.0, "back.turnout_deg": 5.0, "front.lean_deg": 2.0,
    "practice.style_tilt_deg": 5.0, "practice.riding_knee_flex_deg": 10.0, "practice.knee_twist_share": 0.1,
    "practice.cuff_give_share": 0.05, "practice.hip_opening_limit_deg": 6.0, "practice.ball_place_share": 0.02,
    "practice.heel_place_share": 0.02, "practice.ankle_place_share": 0.04, "practice.nut_factor": 0.05,
    "screw_torque_nm": 0.5, "ride.edge_sink_mm": 2.0, "ride.slope_deg": 3.0,
}  # fmt: skip


def _between(low: float, high: float) -> SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


def _maybe(low: float, high: float) -> SearchStrategy[float]:
    return st.one_of(st.just(nan), _between(low, high))


@st.composite
def riders(draw: DrawFn) -> Rider:
    """Draw a rider from a child to a tall adult; segments stay near their usual shares of the height."""
    height = draw(_between(1200, 2000))
    return Rider(
        height_mm=height, inseam_mm=0.47 * height, weight_kg=draw(_between(25, 110)),
        thigh_mm=height * draw(_between(0.225, 0.265)), shank_mm=height * draw(_between(0.225, 0.265)),
        ankle_height_mm=0.04 * height, pelvis_width_mm=height * draw(_between(0.11, 0.16)),
        speed_kmh=draw(_maybe(6, 60)), tilt_deg=draw(_maybe(10, 75)), style=draw(st.sampled_from(STYLES)),
    )  # fmt: skip


@st.composite
def boots(draw: DrawFn) -> Boots:
    """Draw a boot whose forefoot is wider than its heel."""
    length = draw(_between(220, 345))
    ball = length * draw(_between(0.33, 0.38))
    return Boots(
        outsole_length_mm=length, ball_width_mm=ball, heel_width_mm=ball * draw(_between(0.72, 0.95)),
        toe_rise_mm=draw(_between(0, 25)), toe_rise_length_mm=draw(_between(0, 40)),
        heel_rise_mm=draw(_between(0, 15)), heel_rise_length_mm=draw(_between(0, 25)),
        for_foot_mm=length * 0.9,
    )  # fmt: skip


@st.composite
def boards(draw: DrawFn) -> Board:
    """Draw a board; its sidecut radius is printed, or follows from its widths, with or without the waist's place."""
    waist, contact = draw(_between(215, 290)), draw(_between(900, 1300))
    depth_each_side = draw(_between(14, 28))
    taper = draw(_between(-3, 8))
    return Board(
        effective_edge_mm=contact + draw(_between(0, 60)), waist_width_mm=waist,
        nose_width_mm=waist + 2 * depth_each_side + taper, tail_width_mm=waist + 2 * depth_each_side - taper,
        contact_length_mm=contact, sidecut_radius_mm=draw(_maybe(5000, 14000)), waist_place_mm=draw(_maybe(-60, 40)),
        thickness_mm=draw(_between(6, 13)), reference_width_mm=draw(_between(400, 600)),
        reference_setback_mm=draw(_between(0, 40)), row_pitch_mm=draw(st.sampled_from((20.0, 40.0))), rows_each_way=3,
        insert_depth_mm=draw(_between(6, 10)), base_bevel_deg=draw(_between(0, 2)), side_bevel_deg=draw(_between(0, 3)),
    )  # fmt: skip


@st.composite
def bindings(draw: DrawFn) -> Bindings:
    """Draw bindings; the sizes of baseplate, heelcup and highback are known or not."""
    heelcup, highback = draw(st.booleans()), draw(st.booleans())
    return Bindings(
        notch_deg=3, slot_travel_mm=5, hole_offset_mm=draw(_between(-6, 6)),
        base_height_toe_mm=draw(_between(8, 22)), base_height_heel_mm=draw(_between(8, 22)),
        base_length_mm=draw(_maybe(200, 270)), base_width_mm=draw(_between(85, 118)),
        toe_ramp_mm=draw(_between(100, 150)), toe_ramp_step_mm=5,
        heelcup_step_mm=5,
        heelcup_reach_mm=draw(_between(-10, 25)) if heelcup else nan,
        heelcup_height_mm=draw(_between(5, 60)) if heelcup else nan,
        highback_reach_mm=draw(_between(-5, 50)) if highback else nan,
        highback_height_mm=draw(_between(60, 200)) if highback else nan,
        screw_length_mm=draw(_between(13, 18)), disc_thickness_mm=draw(_between(4, 7)), washer_mm=1, ladder_teeth=14,
    )  # fmt: skip


@st.composite
def feet(draw: DrawFn, side: str) -> FootSetup:
    """Draw one foot as mounted, with the rider's own foot."""
    front = side == "front"
    return FootSetup(
        side="front" if front else "back", outward=1.0 if front else -1.0,
        angle_deg=draw(_between(0, 40) if front else _between(-30, 30)), row=draw(st.integers(-2, 2)),
        slots=draw(st.sampled_from(("across", "along"))), slot_mm=draw(_between(-5, 5)),
        track_mm=draw(st.sampled_from((0.0, 0.0, 7.0))), disc_flipped=draw(st.booleans()),
        heelcup=draw(st.integers(-2, 2)), lean_deg=draw(_between(0, 25)), highback_turn_deg=draw(_between(0, 15)),
        cant_deg=draw(st.sampled_from((0.0, 0.0, 2.5))), riser_mm=draw(st.sampled_from((0.0, 0.0, 4.0))),
        seat_mm=draw(_between(-10, 10)), toe_ramp=draw(st.integers(0, 3)), strap_left_mm=draw(_between(20, 60)),
        strap_right_mm=draw(_between(20, 60)), ladder_at=draw(st.integers(1, 14)),
        foot_length_mm=draw(_between(200, 310)), turnout_deg=draw(_between(-5, 30)),
    )  # fmt: skip


@st.composite
def setups(draw: DrawFn) -> Setup:
    """Draw a complete set-up: every number that a formula needs is there."""
    rider = draw(riders())
    ride = Ride(draw(st.sampled_from((0.0, 0.0, 8.0, 20.0))), draw(st.sampled_from((0.0, 0.0, 12.0))))
    s = Setup(
        rider=rider, boots=draw(boots()), board=draw(boards()), bindings=draw(bindings()), front=draw(feet("front")),
        back=draw(feet("back")), ride=ride,
        practice=practice(rider.style), screw_torque_nm=draw(_between(2, 6)),
    )  # fmt: skip
    for f in (s.front, s.back):
        f.foot_length_mm = min(f.foot_length_mm, s.boots.outsole_length_mm - 5)
    return s


@st.composite
def knowns(draw: DrawFn) -> Known:
    """Draw a complete set-up with a ± on some of its numbers."""
    s = draw(setups())
    paths = draw(st.lists(st.sampled_from(sorted(_WIDEST_PLUS_MINUS)), min_size=1, unique=True))
    share = draw(_between(0.1, 1.0))
    return known(s, {p: share * _WIDEST_PLUS_MINUS[p] for p in paths if s.get(p) == s.get(p)})
