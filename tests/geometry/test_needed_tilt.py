"""How much tilt a rider needs: the balance by a numeric root, and which number wins."""

from __future__ import annotations

from math import cos, isnan, nan, radians, sin, tan

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq

from advisor.geometry.board import sidecut_radius_mm
from advisor.geometry.carve import (
    carve_limit_kmh,
    carve_speed_kmh,
    carve_speed_limit_kmh,
    carve_tilt_deg,
    margin_deg,
    needed_tilt_deg,
)
from advisor.geometry.contact import contact_deg
from advisor.geometry.measuring import measure_all
from advisor.sheet.setup import Setup
from tests.make_setup import example_setup, known
from tests.strategies import STYLES, setups


@given(st.floats(2, 60), st.floats(5, 15), st.floats(0, 25))
def test_carved_tilt_is_the_root_of_the_balance_across_the_slope(speed: float, radius: float, slope: float) -> None:
    """Pull square to the run is g cos a; outward, v²/r of the turn and g sin a of the slope at the turn's end."""

    def unbalance(tilt: float) -> float:
        outward = (speed / 3.6) ** 2 / (radius * cos(radians(tilt))) + 9.81 * sin(radians(slope))
        return outward * cos(radians(tilt)) - 9.81 * cos(radians(slope)) * sin(radians(tilt))

    carved = carve_tilt_deg(speed, radius, slope)
    if isnan(carved):
        assert unbalance(89.999) > 0
        assume(unbalance(slope) > 0)
        assert all(unbalance(slope + share * (89.999 - slope)) > 0 for share in (0.25, 0.5, 0.75))
    else:
        assert carved == pytest.approx(brentq(unbalance, 0, min(89.9999, carved + 0.5)), abs=1e-6)


@given(st.floats(2, 88), st.floats(5, 15), st.floats(0, 25))
def test_speed_and_tilt_are_each_others_inverse(tilt: float, radius: float, slope: float) -> None:
    assume(tilt > slope + 0.5)
    assert carve_tilt_deg(carve_speed_kmh(tilt, radius, slope), radius, slope) == pytest.approx(tilt, abs=1e-6)


@given(setups())
def test_a_told_tilt_beats_speed_and_style(s: Setup) -> None:
    s.rider.tilt_deg = 51.5
    assert needed_tilt_deg(s) == 51.5


@given(setups(), st.floats(6, 90))
def test_needed_tilt_is_the_carved_one_but_never_more_than_the_style_rides(s: Setup, speed: float) -> None:
    s.rider.tilt_deg, s.rider.speed_kmh, s.ride.slope_deg = nan, speed, 0
    limit = carve_limit_kmh(sidecut_radius_mm(s.board) / 1000)
    needed = needed_tilt_deg(s)
    assert 0 < needed <= s.practice.style_tilt_deg
    if speed >= limit:
        assert needed == s.practice.style_tilt_deg
    elif needed < s.practice.style_tilt_deg:
        assert sin(radians(needed)) == pytest.approx((speed / limit) ** 2)


@pytest.mark.parametrize("style", STYLES)
def test_at_and_above_the_carve_limit_the_styles_tilt_stands_alone_and_the_formula_says_why(style: str) -> None:
    s = example_setup(style)
    for speed in (carve_limit_kmh(8.0), carve_limit_kmh(8.0) + 0.1, 90.0):
        s.rider.speed_kmh = speed
        taken = measure_all(known(s))["needed_tilt_deg"]
        assert taken.value == s.practice.style_tilt_deg
        assert "no fully carved turn" in taken.formula
        assert "31.9" in taken.formula


def test_without_a_speed_the_styles_tilt_is_used() -> None:
    s = example_setup()
    s.rider.speed_kmh = nan
    assert needed_tilt_deg(s) == s.practice.style_tilt_deg


@given(setups())
def test_margin_is_zero_at_the_speed_limit_of_that_edge(s: Setup) -> None:
    """At the speed whose carved turn just reaches the contact tilt nothing is left over."""
    for f in (s.front, s.back):
        for edge in ("toe", "heel"):
            contact = contact_deg(s, f, edge)
            assume(s.ride.slope_deg + 1 < contact < 89)
            s.rider.tilt_deg, s.practice.style_tilt_deg = nan, 90
            s.rider.speed_kmh = carve_speed_limit_kmh(s, f, edge)
            assert margin_deg(s, f, edge) == pytest.approx(0, abs=1e-6)
            assert tan(radians(needed_tilt_deg(s))) > 0
