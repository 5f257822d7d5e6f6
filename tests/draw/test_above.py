"""The scene from above lies where the geometry core says; shapely and hand sums are the outside witnesses."""

from __future__ import annotations

from math import hypot, isclose, nan

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon
from shapely.ops import unary_union

from advisor.draw import from_above
from advisor.geometry.board import half_width_mm
from advisor.geometry.measuring import measure_all
from advisor.geometry.parts import beyond_edge_mm, boot_tip
from advisor.geometry.placing import binding_x_mm, binding_y_mm
from advisor.geometry.register import EDGES, SIDES
from advisor.sheet.readings import Known

angles = st.floats(-60, 60)
few = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def outline(panel, side, earlier=False):
    return next(o.points for o in panel.outlines if o.kind == "boot" and o.name == side and o.earlier == earlier)


def beyond(board, point, edge):
    """How far a point lies beyond an edge's circle, from the circle's equation alone."""
    x, y = point
    y = y if edge == "toe" else -y
    waist_at = -board.reference_setback_mm
    return board.sidecut_radius_mm - hypot(x - waist_at, board.waist_width_mm / 2 + board.sidecut_radius_mm - y)


@given(front=angles, back=angles, slot=st.floats(-5, 5), seat=st.floats(-15, 15), row=st.integers(-2, 2))
@few
def test_the_drawn_boot_reaches_as_far_beyond_each_edge_as_the_core_says(setup, front, back, slot, seat, row):
    """Every drawn point against the edge's circle; the polygon's steps stay within 0.05 mm of the true curve."""
    setup.front.angle_deg, setup.back.angle_deg = front, back
    setup.front.slot_mm, setup.back.seat_mm, setup.front.row = slot, seat, row
    scene = from_above(setup)
    for panel in (scene.panel("whole"), scene.panel("front"), scene.panel("back")):
        for side in SIDES:
            if panel.name in {"whole", side}:
                for edge in EDGES:
                    tip = boot_tip(setup, setup.foot(side), edge)
                    told = beyond_edge_mm(setup, setup.foot(side), edge, tip.along_mm, tip.radius_mm)
                    drawn = max(beyond(setup.board, p, edge) for p in outline(panel, side))
                    assert drawn == pytest.approx(told, abs=0.05)


@given(angle=angles, seat=st.floats(-15, 15))
@few
def test_the_drawn_boot_is_the_hull_of_heel_and_forefoot_circle(setup, angle, seat):
    """Against shapely's convex hull of two buffered points."""
    f = setup.front
    f.angle_deg, f.seat_mm = angle, seat
    line = next(li for li in from_above(setup).panel("whole").lines if li.kind == "foot" and li.name == "front")
    (hx, hy), (tx, ty) = line.points
    ux, uy = (tx - hx) / 302, (ty - hy) / 302
    circles = [
        Spot(hx + 44 * ux, hy + 44 * uy).buffer(44, quad_segs=90),
        Spot(tx - 54 * ux, ty - 54 * uy).buffer(54, quad_segs=90),
    ]
    hull = unary_union(circles).convex_hull
    drawn = Polygon(outline(from_above(setup).panel("whole"), "front"))
    assert drawn.is_valid
    assert drawn.symmetric_difference(hull).area < 0.002 * hull.area


def test_by_hand_a_302_mm_boot_square_across_a_254_mm_board_hangs_over_24_mm_at_each_edge(square):
    scene = from_above(square)
    assert [round(gap.now_mm, 3) for gap in scene.gaps] == [24, 24, 24, 24]
    ys = [y for _, y in outline(scene.panel("whole"), "front")]
    assert max(ys) == pytest.approx(151) and min(ys) == pytest.approx(-151)


@given(front=angles, back=angles)
@few
def test_each_overhang_line_runs_from_the_edge_to_the_boot_and_is_as_long_as_the_register_says(setup, front, back):
    setup.front.angle_deg, setup.back.angle_deg = front, back
    measured = measure_all(Known(setup, {}))
    lines = [li for li in from_above(setup).panel("whole").lines if li.kind == "overhang"]
    assert len(lines) == 4
    for line in lines:
        side, edge = line.name.split(".")
        at_edge, at_boot = line.points
        told = measured[f"{edge}_overhang_mm.{side}"].value
        assert hypot(at_boot[0] - at_edge[0], at_boot[1] - at_edge[1]) == pytest.approx(abs(told), abs=1e-6)
        assert abs(at_edge[1]) == pytest.approx(half_width_mm(setup.board, at_edge[0]), abs=1e-6)
        assert beyond(setup.board, at_boot, edge) == pytest.approx(told, abs=1e-6)


def test_the_numbers_beside_the_picture_are_the_registers(setup):
    after = setup.copy()
    after.front.slot_mm = 4
    old, new = measure_all(Known(setup, {})), measure_all(Known(after, {}))
    scene = from_above(setup, after)
    for gap in scene.gaps:
        key = f"{gap.edge}_overhang_mm.{gap.side}"
        assert (gap.before_mm, gap.now_mm) == (old[key].value, new[key].value)
    assert [s.width_mm for s in scene.stances] == [old["stance_width_mm"].value, new["stance_width_mm"].value]


def test_edges_and_binding_centres_are_drawn_where_they_are(setup):
    panel = from_above(setup).panel("whole")
    for line in panel.lines:
        if line.kind == "edge":
            assert all(isclose(abs(y), half_width_mm(setup.board, x)) for x, y in line.points)
            assert all((y > 0) == (line.name == "toe") for _, y in line.points)
    centres = {m.name: m.at for m in panel.marks if m.kind == "centre"}
    assert centres == {f.side: (binding_x_mm(setup, f), binding_y_mm(setup, f)) for f in (setup.front, setup.back)}


def test_insert_rows_stand_at_the_reference_stance_and_a_pitch_apart(setup):
    """Reference 540 mm wide, 20 mm back, pitch 20: the front pack runs from 250 - 60 to 250 + 60."""
    xs = sorted({x for x, y in (m.at for m in from_above(setup).panel("whole").marks if m.kind == "hole") if x > 0})
    assert xs == [190, 210, 230, 250, 270, 290, 310]


def test_a_board_without_rows_gets_no_holes(setup):
    setup.board.rows_each_way = 0
    assert not [m for m in from_above(setup).panel("whole").marks if m.kind == "hole"]


@given(angle=angles)
@few
def test_a_mirrored_stance_draws_a_mirrored_picture(setup, angle):
    """Nose and tail alike: front at +a and back at -a are each other's mirror image about the middle."""
    setup.board.reference_setback_mm = 0
    setup.front.angle_deg, setup.back.angle_deg = angle, -angle
    panel = from_above(setup).panel("whole")
    front, back = Polygon(outline(panel, "front")), Polygon([(-x, y) for x, y in outline(panel, "back")])
    assert front.symmetric_difference(back).area < 1e-6 * front.area


@pytest.mark.parametrize(("leading", "nose_goes"), [("left", -1), ("right", 1)])
def test_seen_from_above_with_the_toes_up_a_regular_riders_nose_is_on_the_left(setup, leading, nose_goes):
    """Stand on the board and look down past your toes: the leading foot is on its own side."""
    scene = from_above(setup, leading=leading)
    whole, front = scene.panel("whole").view, scene.panel("front").view
    assert whole.page((1, 0)) == (nose_goes, 0) and whole.page((0, 1)) == (0, 1)
    assert front.page((1, 0)) == (0, 1) and front.page((0, 1)) == (-nose_goes, 0)


def test_a_picture_of_nothing_changed_says_that_nothing_moved(setup):
    scene = from_above(setup, setup.copy())
    assert scene.compared and scene.moves == ()
    assert all(gap.before_mm == gap.now_mm for gap in scene.gaps)
    whole = scene.panel("whole")
    assert outline(whole, "front", earlier=True) == outline(whole, "front")


def test_what_moved_is_named_with_its_size_and_way(setup):
    after = setup.copy()
    after.front.slot_mm, after.front.row, after.back.heelcup, after.back.angle_deg = -4, 1, 1, -6
    assert [(m.side, m.words) for m in from_above(setup, after).moves] == [
        ("front", "binding 20 mm toward the nose"),
        ("front", "binding 4 mm toward the heel edge"),
        ("back", "boot 5 mm toward its toes on the baseplate"),
        ("back", "angle 0° → -6°"),
    ]


def test_every_point_lies_inside_its_panels_box(setup):
    after = setup.copy()
    after.front.angle_deg, after.back.angle_deg, after.back.row = 40, -35, 2
    for panel in from_above(setup, after).panels:
        low_x, low_y, high_x, high_y = panel.box
        assert all(low_x <= x <= high_x and low_y <= y <= high_y for x, y in panel.points() if panel.name == "whole")
        edges = [p for line in panel.lines if line.kind == "edge" for p in line.points]
        assert all(low_x <= x <= high_x and low_y <= y <= high_y for x, y in edges)


@pytest.mark.parametrize(
    ("path", "field"),
    [
        ("boots.outsole_length_mm", "boots.outsole_length_mm"),
        ("board.waist_width_mm", "board.waist_width_mm"),
        ("front.angle_deg", "mount.front.angle_deg"),
        ("back.seat_mm", "mount.back.seat_mm"),
        ("bindings.hole_offset_mm", "bindings.hole_offset_mm"),
    ],
)
def test_an_unknown_number_gives_a_plain_sentence_that_names_the_sheets_field(setup, path, field):
    after = setup.copy()
    after.put(path, nan)
    for scene in (from_above(after), from_above(setup, after)):
        assert scene.panels == ()
        assert scene.not_drawn.endswith(f"not drawn: needs {field}.")


def test_a_sidecut_that_no_board_has_is_refused_in_words(setup):
    """An arc of 100 mm radius does not reach the bindings, 270 mm from the waist."""
    setup.board.sidecut_radius_mm = 100
    assert "fit together" in from_above(setup).not_drawn
