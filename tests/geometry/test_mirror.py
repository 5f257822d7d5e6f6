"""A mirrored rider gets mirrored numbers, and a move of nothing changes nothing.

Swapping nose and tail turns the front foot into the back foot: both stance angles change sign, so do the places along
the board (setback, waist, slide and hole offset along the slots), and a strap's left and right change places. What lies
across the board stays. Nothing in the frame knows the rider's left from the right: a goofy rider is the same set-up
with the other foot's data in front.
"""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from pytest import approx

from advisor.geometry.register import MEASURES, Place, places
from advisor.sheet.setup import FootSetup, Setup
from tests.make_setup import example_setup
from tests.strategies import setups

# Board measures that change under the mirror; all others stay.
_MIRRORED_BOARD = {
    "hips_turn_deg": lambda value: -value,
    "setback_mm": lambda value: -value,
    "stance_centre_mm": lambda value: -value,
    "front_load_share": lambda value: 1 - value,
}
_MIRRORED_FOOT = {"strap_offset_mm": lambda value: -value}


def _mirrored_foot(f: FootSetup, onto: FootSetup) -> FootSetup:
    onto.angle_deg = -f.angle_deg
    for name in (
        "row", "slots", "track_mm", "heelcup", "lean_deg", "highback_turn_deg", "cant_deg", "riser_mm",
        "seat_mm", "toe_ramp", "ladder_at", "foot_length_mm", "turnout_deg",
    ):  # fmt: skip
        setattr(onto, name, getattr(f, name))
    onto.disc_flipped = f.disc_flipped != (f.slots == "along")
    onto.slot_mm = -f.slot_mm if f.slots == "along" else f.slot_mm
    onto.strap_left_mm, onto.strap_right_mm = f.strap_right_mm, f.strap_left_mm
    return onto


def _mirrored(s: Setup) -> Setup:
    """Swap nose and tail."""
    other = s.copy()
    other.front = _mirrored_foot(s.back, other.front)
    other.back = _mirrored_foot(s.front, other.back)
    other.board.nose_width_mm, other.board.tail_width_mm = s.board.tail_width_mm, s.board.nose_width_mm
    other.board.reference_setback_mm = -s.board.reference_setback_mm
    other.board.waist_place_mm = -s.board.waist_place_mm
    limits = s.practice.hips_turn_deg_low, s.practice.hips_turn_deg_high
    other.practice.hips_turn_deg_high, other.practice.hips_turn_deg_low = (-limit for limit in limits)
    return other


@given(setups())
def test_a_mirrored_rider_gets_mirrored_numbers(s: Setup) -> None:
    other = _mirrored(s)
    for measure in MEASURES.values():
        for place in places(measure):
            value = measure.at(s, place)
            if place.side is None:
                expected = _MIRRORED_BOARD.get(measure.id, float)(value)
                mirrored = measure.at(other, place)
            else:
                expected = _MIRRORED_FOOT.get(measure.id, float)(value)
                mirrored = measure.at(other, Place("back" if place.side == "front" else "front", place.edge))
            assert mirrored == approx(expected, abs=1e-6, nan_ok=True), (measure.id, str(place))


@given(setups())
def test_mirroring_twice_changes_nothing(s: Setup) -> None:
    twice = _mirrored(_mirrored(s))
    for measure in MEASURES.values():
        for place in places(measure):
            assert measure.at(twice, place) == approx(measure.at(s, place), abs=1e-9, nan_ok=True)


@given(setups(), st.sampled_from(["front", "back"]))
def test_turning_a_foot_by_nothing_and_back_again_changes_nothing(s: Setup, side: str) -> None:
    turned = s.copy()
    foot = turned.front if side == "front" else turned.back
    before = foot.angle_deg
    foot.angle_deg += 0
    for again in (foot.angle_deg, before):
        foot.angle_deg = again
        for measure in MEASURES.values():
            for place in places(measure):
                assert measure.at(turned, place) == approx(measure.at(s, place), abs=0, nan_ok=True)


@given(setups(), st.floats(-20, 20))
def test_turning_a_foot_never_moves_its_binding_nor_the_other_foots_overhang(s: Setup, turn: float) -> None:
    """The disc stays on the board; the baseplate turns round it."""
    turned = s.copy()
    turned.front.angle_deg += turn
    for name in ("stance_width_mm", "setback_mm", "stance_centre_mm", "front_load_share"):
        assert MEASURES[name].at(turned, Place()) == MEASURES[name].at(s, Place())
    assert MEASURES["local_width_mm"].at(turned, Place("front")) == MEASURES["local_width_mm"].at(s, Place("front"))
    for name in ("toe_overhang_mm", "heel_contact_deg", "boot_offset_mm"):
        assert MEASURES[name].at(turned, Place("back")) == MEASURES[name].at(s, Place("back"))


def test_a_square_twin_set_up_has_the_same_numbers_on_both_feet() -> None:
    s = example_setup()
    s.front.angle_deg, s.back.angle_deg = 12, -12
    s.board.reference_setback_mm = 0
    s.back.foot_length_mm, s.back.turnout_deg = s.front.foot_length_mm, s.front.turnout_deg
    for measure in MEASURES.values():
        for place in places(measure):
            if place.side == "front":
                twin = measure.at(s, Place("back", place.edge))
                assert twin == approx(measure.at(s, place), abs=1e-9), (measure.id, str(place))
