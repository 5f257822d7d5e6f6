"""Which way contact tilt and margin move when a size moves."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from advisor.geometry.carve import margin_deg
from advisor.geometry.contact import contact_deg, contact_of_point_deg, room_beyond_edge_mm
from advisor.geometry.overhang import overhang_mm
from advisor.sheet.setup import Setup
from tests.make_setup import example_setup
from tests.strategies import setups

beyond = st.floats(-50, 80)
height = st.floats(5, 200)
sink = st.floats(0, 40)
more = st.floats(0, 40)


@given(beyond, height, sink, more)
def test_more_overhang_never_raises_the_contact_tilt(d: float, z: float, p: float, extra: float) -> None:
    assert contact_of_point_deg(d + extra, z, p) <= contact_of_point_deg(d, z, p) + 1e-9


@given(beyond, height, sink, more)
def test_deeper_sink_never_raises_the_contact_tilt(d: float, z: float, p: float, extra: float) -> None:
    assert contact_of_point_deg(d, z, p + extra) <= contact_of_point_deg(d, z, p) + 1e-9


@given(beyond, height, sink, more)
def test_a_higher_part_never_meets_the_snow_sooner(d: float, z: float, p: float, extra: float) -> None:
    assert contact_of_point_deg(d, z + extra, p) >= contact_of_point_deg(d, z, p) - 1e-9


@given(st.floats(1, 89), height, sink)
def test_the_room_at_a_tilt_is_the_overhang_that_meets_the_snow_there(tilt: float, z: float, p: float) -> None:
    d = room_beyond_edge_mm(tilt, z, p)
    if d > 0:
        assert abs(contact_of_point_deg(d, z, p) - tilt) < 1e-6


@given(setups(), more)
def test_of_whole_setups_sink_lowers_and_a_riser_raises_the_contact_tilt(s: Setup, extra: float) -> None:
    deeper, higher = s.copy(), s.copy()
    deeper.ride.edge_sink_mm += extra
    higher.front.riser_mm += extra
    for edge in ("toe", "heel"):
        before = contact_deg(s, s.front, edge)
        assert contact_deg(deeper, deeper.front, edge) <= before + 1e-9
        assert contact_deg(higher, higher.front, edge) >= before - 1e-9


@given(setups(), more)
def test_sliding_toward_an_edge_adds_overhang_there_and_takes_it_from_the_other(s: Setup, extra: float) -> None:
    s.front.slots = "across"
    moved = s.copy()
    moved.front.slot_mm += extra
    assert overhang_mm(moved, moved.front, "toe") >= overhang_mm(s, s.front, "toe") - 1e-9
    assert overhang_mm(moved, moved.front, "heel") <= overhang_mm(s, s.front, "heel") + 1e-9
    assert contact_deg(moved, moved.front, "heel") >= contact_deg(s, s.front, "heel") - 1e-9


@given(setups(), st.floats(0, 20))
def test_a_longer_sole_never_raises_a_contact_tilt(s: Setup, extra: float) -> None:
    """The heelcup, when its reach behind the heel is known, moves out with the heel tip too."""
    longer = s.copy()
    longer.boots.outsole_length_mm += extra
    for f, other in ((s.front, longer.front), (s.back, longer.back)):
        for edge in ("toe", "heel"):
            assert contact_deg(longer, other, edge) <= contact_deg(s, f, edge) + 1e-9


def test_a_boot_heel_over_the_heel_edge_takes_the_heel_margin() -> None:
    """A boot heel that hangs over the heel edge very likely washes out: common practice, no source."""
    s = example_setup("carving")
    margins = []
    for slide in (5, 0, -5, -15):
        s.front.slot_mm = slide
        margins.append(margin_deg(s, s.front, "heel"))
    assert margins == sorted(margins, reverse=True)
    assert margins[-1] < 0 < margins[0]
