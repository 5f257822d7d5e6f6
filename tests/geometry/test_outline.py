"""Overhang, levers and contact tilt against brute force over the outline's own points (shapely, numpy).

The outline and the edge are drawn here from the frame's definitions alone; nothing of the core's formulas is used.
"""

from __future__ import annotations

from math import cos, isnan, nan, radians, sin
from typing import Literal

import numpy as np
import pytest
import shapely
from hypothesis import given
from numpy.typing import NDArray
from scipy.optimize import brentq

from advisor.geometry.contact import contact_deg
from advisor.geometry.overhang import (
    boot_offset_mm,
    local_width_mm,
    overhang_mm,
    overhang_split_mm,
    press_lever_mm,
    ramp_to_edge_mm,
)
from advisor.sheet.setup import FootSetup, Setup
from tests.make_setup import example_setup
from tests.strategies import setups

EdgeName = Literal["toe", "heel"]
EDGES: tuple[EdgeName, EdgeName] = ("toe", "heel")
Points = NDArray[np.float64]


def _arc(s: Setup) -> tuple[float, float, float]:
    """Radius, x of the lowest place and half width there: printed, or through the three measured widths."""
    board = s.board
    if not isnan(board.sidecut_radius_mm):
        at = -board.reference_setback_mm if isnan(board.waist_place_mm) else board.waist_place_mm
        return board.sidecut_radius_mm, at, board.waist_width_mm / 2
    half = board.contact_length_mm / 2
    if not isnan(board.waist_place_mm):
        at = np.array([-half, board.waist_place_mm, half])
        widths = np.array([board.tail_width_mm, board.waist_width_mm, board.nose_width_mm]) / 2
        system = np.column_stack([2 * at, 2 * widths, np.ones(3)])
        a, b, c = np.linalg.solve(system, at**2 + widths**2)
        radius = float(np.sqrt(c + a * a + b * b))
        return radius, float(a), float(b) - radius
    nose, tail = ((width - board.waist_width_mm) / 2 for width in (board.nose_width_mm, board.tail_width_mm))

    depth = (nose + tail) / 2
    radius = float(brentq(lambda r: r - np.sqrt(r * r - half * half) - depth, half * 1.0001, 1e6))

    def rise(x: float, place: float) -> float:
        return float(radius - np.sqrt(radius * radius - (place - x) ** 2))

    x = float(brentq(lambda x: rise(x, half) - rise(x, -half) - (nose - tail), -half / 2, half / 2))
    return radius, x, board.nose_width_mm / 2 - rise(x, half)


def _edge(s: Setup, edge: EdgeName) -> tuple[shapely.LineString, Points, Points]:
    x = np.linspace(-750, 750, 501)
    r, lowest, half = _arc(s)
    y = half + r - np.sqrt(r * r - (x - lowest) ** 2)
    if edge == "heel":
        y = -y
    return shapely.LineString(np.column_stack([x, y])), x, y


def _centre(s: Setup, f: FootSetup) -> Points:
    """Binding centre: rows outward from the reference stance, slide, and away from the holes' side."""
    x = -s.board.reference_setback_mm + f.outward * (
        s.board.reference_width_mm / 2 + f.row * s.board.row_pitch_mm + f.track_mm
    )
    holes = s.bindings.hole_offset_mm * (-1 if f.disc_flipped else 1)
    slide = f.slot_mm - holes  # the inserts stay; a disc with its slots along the board is turned a quarter
    return np.array([x + slide, 0.0]) if f.slots == "along" else np.array([x, slide])


def _toward_toes(f: FootSetup) -> Points:
    """Heel to toe: straight over the toe edge at 0, turned toward the nose by a positive angle."""
    turn = radians(-f.angle_deg)
    return np.array([[cos(turn), -sin(turn)], [sin(turn), cos(turn)]]) @ np.array([0.0, 1.0])


def _capsule(s: Setup, f: FootSetup, back_end: tuple[float, float], front_end: tuple[float, float]) -> shapely.Geometry:
    """Return the hull of two circles, each (tip's place along the foot, radius)."""
    centre, u = _centre(s, f), _toward_toes(f)
    circles = [
        shapely.Point(*(centre + (tip + inward * r) * u)).buffer(r, quad_segs=64)
        for (tip, r), inward in ((back_end, 1), (front_end, -1))
    ]
    return shapely.unary_union(circles).convex_hull


def _sole(s: Setup, f: FootSetup) -> shapely.Geometry:
    middle = f.seat_mm + f.heelcup * s.bindings.heelcup_step_mm
    half = s.boots.outsole_length_mm / 2
    return _capsule(s, f, (middle - half, s.boots.heel_width_mm / 2), (middle + half, s.boots.ball_width_mm / 2))


def _beyond(s: Setup, edge: EdgeName, shape: shapely.Geometry) -> float:
    """Return how far the shape's furthest point lies beyond the edge, over all of its points."""
    line, x, y = _edge(s, edge)
    points = shapely.get_coordinates(shape)
    side = points[:, 1] - np.interp(points[:, 0], x, y)
    outside = side > 0 if edge == "toe" else side < 0
    away = shapely.distance(shapely.points(points), line)
    return float(np.max(np.where(outside, away, -away)))


@given(setups())
def test_overhang_is_that_of_the_outline_point_furthest_beyond_the_edge(s: Setup) -> None:
    for f in (s.front, s.back):
        sole = _sole(s, f)
        brute = {edge: _beyond(s, edge, sole) for edge in EDGES}
        for edge in EDGES:
            assert overhang_mm(s, f, edge) == pytest.approx(brute[edge], abs=0.01)
        assert overhang_split_mm(s, f) == pytest.approx(brute["toe"] - brute["heel"], abs=0.02)


@given(setups())
def test_local_width_is_the_drawn_edges_distance_at_the_binding(s: Setup) -> None:
    for f in (s.front, s.back):
        _line, x, y = _edge(s, "toe")
        assert local_width_mm(s, f) == pytest.approx(2 * float(np.interp(_centre(s, f)[0], x, y)), abs=0.001)


@given(setups())
def test_levers_are_the_distances_from_ball_and_heel_to_their_edges(s: Setup) -> None:
    for f in (s.front, s.back):
        middle = f.seat_mm + f.heelcup * s.bindings.heelcup_step_mm
        for edge, share in (("toe", s.practice.ball_place_share), ("heel", s.practice.heel_place_share)):
            heel_end = middle - f.foot_length_mm / 2
            spot = _centre(s, f) + (heel_end + share * f.foot_length_mm) * _toward_toes(f)
            assert press_lever_mm(s, f, edge) == pytest.approx(-_beyond(s, edge, shapely.Point(spot)), abs=0.001)


@given(setups())
def test_boot_offset_is_the_sole_axis_middle_across_the_board(s: Setup) -> None:
    for f in (s.front, s.back):
        middle = f.seat_mm + f.heelcup * s.bindings.heelcup_step_mm
        half = s.boots.outsole_length_mm / 2
        ends = [_centre(s, f) + (middle + end) * _toward_toes(f) for end in (-half, half)]
        assert boot_offset_mm(s, f) == pytest.approx((ends[0][1] + ends[1][1]) / 2, abs=1e-9)


@given(setups())
def test_ramp_end_meets_the_edge_after_the_way_named(s: Setup) -> None:
    """Root of the signed distance across the board between the foot's line and the drawn edge."""
    for f in (s.front, s.back):
        _line, x, y = _edge(s, "toe")
        end = s.bindings.toe_ramp_mm + f.toe_ramp * s.bindings.toe_ramp_step_mm
        start, u = _centre(s, f) + end * _toward_toes(f), _toward_toes(f)

        def inside(way: float, start: Points = start, u: Points = u, x: Points = x, y: Points = y) -> float:
            place = start + way * u
            return float(np.interp(place[0], x, y) - place[1])

        assert ramp_to_edge_mm(s, f) == pytest.approx(brentq(inside, -250, 400), abs=0.001)


def _plate(s: Setup, f: FootSetup) -> shapely.Geometry:
    """Return the baseplate: a rectangle about the disc's centre, out to the ramp's end where that is further."""
    half, wide = s.bindings.base_length_mm / 2, s.bindings.base_width_mm / 2
    toe_end = max(half, s.bindings.toe_ramp_mm + f.toe_ramp * s.bindings.toe_ramp_step_mm)
    centre, u = _centre(s, f), _toward_toes(f)
    side = np.array([u[1], -u[0]])
    corners = ((-half, -wide), (-half, wide), (toe_end, wide), (toe_end, -wide))
    return shapely.Polygon([centre + along * u + beside * side for along, beside in corners])


def _sampled(shape: shapely.Geometry, every: float = 8.0) -> Points:
    """Return points all over a flat shape: a grid inside it, and its outline closely."""
    low_x, low_y, high_x, high_y = shape.bounds
    grid = np.stack(np.meshgrid(np.arange(low_x, high_x, every), np.arange(low_y, high_y, every)), -1).reshape(-1, 2)
    inside = grid[shapely.contains_xy(shape, grid[:, 0], grid[:, 1])]
    rim = shapely.get_coordinates(shapely.segmentize(shape.exterior, 0.5))
    return np.concatenate([inside, rim])


def _underside(s: Setup, f: FootSetup, edge: EdgeName) -> tuple[Points, Points]:
    """Return points of boot and binding as (x, y) and their heights, from what the frame says of their undersides.

    The sole is flat at the floor's height and rises straight over the last millimetres before its tip, measured along
    the foot. Nothing here says which of its points comes first.
    """
    boots, bindings = s.boots, s.bindings
    board = s.board.thickness_mm + f.riser_mm
    thick = abs(np.tan(radians(f.cant_deg))) * s.practice.wedge_width_mm
    sole, u = _sole(s, f), _toward_toes(f)
    way = 1 if edge == "toe" else -1
    rise, length, floor = (
        (boots.toe_rise_mm, boots.toe_rise_length_mm, board + bindings.base_height_toe_mm)
        if edge == "toe"
        else (boots.heel_rise_mm, boots.heel_rise_length_mm, board + bindings.base_height_heel_mm)
    )
    middle = f.seat_mm + f.heelcup * bindings.heelcup_step_mm
    tip = middle + way * boots.outsole_length_mm / 2
    across = np.array([u[1], -u[0]]) * 200
    start = _centre(s, f) + (tip - way * length) * u
    cut = shapely.LineString([start - across, start + across]).intersection(sole)
    points = np.concatenate([_sampled(sole), shapely.get_coordinates(cut)])
    short_of_tip = way * (tip - (points - _centre(s, f)) @ u)
    risen = np.clip(1 - short_of_tip / length, 0, 1) if length > 1e-6 else np.zeros(len(points))
    places, heights = [points], [floor + rise * risen]
    if not isnan(bindings.base_length_mm):
        places.append(_sampled(_plate(s, f)))
        heights.append(np.full(len(places[-1]), board))
    for reach, height in (
        (bindings.heelcup_reach_mm, bindings.heelcup_height_mm),
        (bindings.highback_reach_mm, bindings.highback_height_mm),
    ):
        if edge == "heel" and not isnan(reach) and not isnan(height):
            centre = _centre(s, f) + (tip - reach + boots.heel_width_mm / 2) * u
            places.append(_sampled(shapely.Point(centre).buffer(boots.heel_width_mm / 2, quad_segs=64)))
            heights.append(np.full(len(places[-1]), board + height))
    where, height = np.concatenate(places), np.concatenate(heights)
    # A wedge is thick on the outer side where it tips the foot inward, and nothing at its other side.
    outward = np.array([u[1], -u[0]]) * f.outward * (1 if f.cant_deg >= 0 else -1)
    share = 0.5 + ((where - _centre(s, f)) @ outward) / s.practice.wedge_width_mm
    return where, height + thick * share


def _contact_by_sampling(s: Setup, f: FootSetup, edge: EdgeName) -> float:
    """Turn every sampled point about the edge, in the plane square to it, until one is on the snow."""
    line, x, y = _edge(s, edge)
    points, heights = _underside(s, f, edge)
    side = points[:, 1] - np.interp(points[:, 0], x, y)
    outside = side > 0 if edge == "toe" else side < 0
    away = shapely.distance(shapely.points(points), line)
    beyond = np.where(outside, away, -away)
    sink = s.ride.edge_sink_mm
    near = beyond > -sink
    if not near.any():
        return 90.0
    beyond, heights = beyond[near], heights[near]

    def clearance(tilt: float) -> float:
        return float(np.min(heights * cos(radians(tilt)) - beyond * sin(radians(tilt)))) - sink

    if clearance(0) <= 0:
        return 0.0
    return float(brentq(clearance, 0, 90)) if clearance(90) < 0 else 90.0


@given(setups())
def test_contact_tilt_is_where_the_first_point_of_boot_or_binding_turned_about_the_edge_meets_snow(
    s: Setup,
) -> None:
    # No deeper than the lowest part's height: below that it lies in the snow before the board tilts.
    s.ride.edge_sink_mm = min(s.ride.edge_sink_mm, s.board.thickness_mm - 1)
    for f in (s.front, s.back):
        for edge in EDGES:
            assert contact_deg(s, f, edge) == pytest.approx(_contact_by_sampling(s, f, edge), abs=0.15)


@pytest.mark.parametrize("slide", [-0.02, -0.001, 0.0, 0.001, 0.02])
def test_with_the_edge_sunk_a_tip_just_inside_meets_the_snow_as_one_just_outside(slide: float) -> None:
    """By hand: a point at height z over an edge sunk by p meets the snow at acos(p / z) where it ends at the edge."""
    s = example_setup()
    s.ride.edge_sink_mm, s.bindings.base_length_mm, s.boots.toe_rise_mm = 12.0, nan, 0.0
    s.back.angle_deg, s.back.slots = 0, "across"
    s.back.slot_mm -= overhang_mm(s, s.back, "toe") - slide
    height = 9 + 14
    assert contact_deg(s, s.back, "toe") == pytest.approx(np.degrees(np.arccos(12 / height)), abs=0.1)


def test_an_angled_boots_corner_touches_at_full_floor_height_where_its_sole_begins_to_rise() -> None:
    """Drawn by hand: at 30 degrees the outline 25 mm before the tip, at the sole's own height."""
    s = example_setup("carving")
    s.bindings.base_length_mm = nan
    s.front.angle_deg, s.board.sidecut_radius_mm = 30, 1e7
    corner = _centre(s, s.front) + (151 - 25) * _toward_toes(s.front)
    wide = np.sqrt(54**2 - (54 - 25) ** 2)
    beyond = corner[1] + wide * sin(radians(30)) - 127
    assert beyond > 0
    assert contact_deg(s, s.front, "toe") <= np.degrees(np.arctan2(9 + 14, beyond)) + 0.02


def test_a_baseplate_touches_at_the_top_sheets_height() -> None:
    """By hand, foot straight across: plate's end 8 mm beyond a straight edge, 9 mm up: atan(9 / 8)."""
    s = example_setup()
    s.board.sidecut_radius_mm, s.bindings.hole_offset_mm, s.bindings.toe_ramp_mm = 1e9, 0, 135
    s.back.angle_deg = 0
    assert contact_deg(s, s.back, "toe") == pytest.approx(np.degrees(np.arctan2(9, 135 - 127)), abs=0.01)


def test_a_toe_ramp_run_out_over_the_edge_takes_the_contact_tilt() -> None:
    s = example_setup()
    still = contact_deg(s, s.front, "toe")
    s.front.toe_ramp = 3
    assert contact_deg(s, s.front, "toe") < still


def test_a_narrower_baseplate_hangs_over_less_on_an_angled_foot() -> None:
    s = example_setup()
    s.front.toe_ramp = 3
    wide = contact_deg(s, s.front, "toe")
    s.bindings.base_width_mm = 85
    assert contact_deg(s, s.front, "toe") > wide


def test_sole_with_square_tips_meets_the_snow_sooner_than_a_risen_one() -> None:
    s = example_setup()
    risen = contact_deg(s, s.front, "toe")
    s.boots.toe_rise_mm = 0
    assert contact_deg(s, s.front, "toe") < risen
