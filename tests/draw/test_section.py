"""The section: the snow lines stand at the core's tilts and go through the part that touches first."""

from __future__ import annotations

from math import atan2, cos, degrees, nan, sin

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.draw import in_section
from advisor.geometry.measuring import measure_all
from advisor.geometry.register import EDGES, SIDES
from advisor.sheet.readings import Known

few = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def line(scene, kind):
    return next(li.points for li in scene.panel("section").lines if li.kind == kind)


def tilt(points):
    (x1, y1), (x2, y2) = points
    return degrees(atan2(y2 - y1, x2 - x1))


@given(angle=st.floats(-30, 30), sink=st.floats(0, 12), side=st.sampled_from(SIDES), edge=st.sampled_from(EDGES))
@few
def test_both_snow_lines_stand_at_the_measured_tilts(setup, angle, sink, side, edge):
    setup.foot(side).angle_deg, setup.ride.edge_sink_mm = angle, sink
    measured = measure_all(Known(setup, {}))
    scene = in_section(setup, side, edge)
    assert tilt(line(scene, "needed")) == pytest.approx(measured["needed_tilt_deg"].value, abs=1e-6)
    if measured[f"{edge}_contact_deg.{side}"].value < 90:
        assert tilt(line(scene, "contact")) == pytest.approx(measured[f"{edge}_contact_deg.{side}"].value, abs=1e-6)


@given(angle=st.floats(-25, 25), sink=st.floats(0, 8), edge=st.sampled_from(EDGES))
@few
def test_the_contact_line_touches_one_part_and_cuts_none_with_the_edge_as_deep_as_told(setup, angle, sink, edge):
    """Signed distance of each drawn point from the drawn line: none under the snow, the first one on it."""
    setup.front.angle_deg, setup.ride.edge_sink_mm = angle, sink
    scene = in_section(setup, "front", edge)
    (x1, y1), (x2, y2) = line(scene, "contact")
    turn = atan2(y2 - y1, x2 - x1)

    def over_snow(x, y):
        return (y - y1) * cos(turn) - (x - x1) * sin(turn)

    drawn = [at for o in scene.panel("section").outlines if o.kind in {"sole", "part"} for at in o.points]
    first = next(m.at for m in scene.panel("section").marks if m.kind == "first")
    assert over_snow(*first) == pytest.approx(0, abs=1e-6)
    assert min(over_snow(x, y) for x, y in drawn) == pytest.approx(0, abs=1e-4)
    assert over_snow(0, 0) == pytest.approx(-sink, abs=1e-6)


def test_by_hand_a_tip_24_mm_out_and_41_mm_up_touches_at_59_7_degrees(square):
    """Board 9 + baseplate 14 + rise 18 = 41 mm up; 151 - 127 = 24 mm out; atan(41 / 24) = 59.66."""
    scene = in_section(square, "front", "toe")
    tip = next(m.at for m in scene.panel("section").marks if m.kind == "first")
    assert tip == (pytest.approx(24, abs=1e-3), pytest.approx(41, abs=1e-3))
    assert tilt(line(scene, "contact")) == pytest.approx(59.66, abs=0.01)


def test_a_boot_inside_the_edge_has_no_contact_line(setup):
    setup.board.waist_width_mm = 320
    scene = in_section(setup, "back", "heel")
    assert not [li for li in scene.panel("section").lines if li.kind == "contact"]
    assert scene.fall.sentences()[0] == "Contact: never; nothing hangs over this edge."


def test_a_contact_tilt_below_the_needed_one_is_said_to_drag(setup):
    """Back heel touches at 57.3; a rider at 62 is 4.7 short."""
    setup.rider.tilt_deg = 62
    assert "4.7° short: it drags first" in in_section(setup, "back", "heel").fall.sentences()[1]


def test_a_measured_heelcup_that_touches_first_is_the_one_marked(setup):
    setup.bindings.heelcup_reach_mm, setup.bindings.heelcup_height_mm = 15, 20
    scene = in_section(setup, "back", "heel")
    assert scene.fall.part == "heelcup"
    (first,) = (m for m in scene.panel("section").marks if m.name == "heelcup")
    assert first.kind == "first" and first.at[1] == 29  # 9 mm of board and 20 mm of binding


@pytest.mark.parametrize("edge", EDGES)
def test_the_toe_edge_faces_right_and_the_heel_edge_left(setup, edge):
    assert in_section(setup, "front", edge).panel("section").view.page((1, 0)) == (1 if edge == "toe" else -1, 0)


def test_every_point_lies_inside_the_box(setup):
    setup.bindings.highback_reach_mm, setup.bindings.highback_height_mm = 40, 150
    for side in SIDES:
        for edge in EDGES:
            panel = in_section(setup, side, edge).panel("section")
            low_x, low_y, high_x, high_y = panel.box
            for x, y in panel.points():
                assert low_x - 1e-6 <= x <= high_x + 1e-6 and low_y - 1e-6 <= y <= high_y + 1e-6


def test_an_unknown_rise_gives_a_sentence_that_names_the_field(setup):
    setup.boots.toe_rise_mm = nan
    assert in_section(setup, "front", "toe").not_drawn == (
        "In section: front foot at the toe edge: not drawn: needs boots.toe_rise_mm."
    )
    assert in_section(setup, "front", "heel").needs == ()
