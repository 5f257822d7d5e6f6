"""Carved turns and contact tilts against published and independently computed rows (`values.py`)."""

from __future__ import annotations

from math import cos, isnan, radians

import pytest

from advisor.geometry.carve import carve_limit_kmh, carve_radius_m, carve_speed_kmh, carve_tilt_deg
from advisor.geometry.contact import contact_of_point_deg, room_beyond_edge_mm
from tests.external import values


@pytest.mark.parametrize(("tilt", "radius"), values.CARVED_RADIUS_17.items())
def test_carved_radius_is_the_published_table(tilt: float, radius: float) -> None:
    assert carve_radius_m(17, tilt) == pytest.approx(radius, abs=0.051)


@pytest.mark.parametrize(("tilt", "radius"), values.CARVED_RADIUS_8.items())
def test_carved_radius_of_an_eight_metre_sidecut(tilt: float, radius: float) -> None:
    assert carve_radius_m(8, tilt) == pytest.approx(radius, abs=0.0005)


@pytest.mark.parametrize(("sidecut_m", "speed_m_s", "tilt"), values.CARVED_TILT)
def test_carved_tilt_on_the_flat(sidecut_m: float, speed_m_s: float, tilt: float) -> None:
    assert carve_tilt_deg(3.6 * speed_m_s, sidecut_m) == pytest.approx(tilt, abs=0.005)
    assert carve_speed_kmh(tilt, sidecut_m) == pytest.approx(3.6 * speed_m_s, abs=0.005)


@pytest.mark.parametrize(("sidecut_m", "limit"), values.CARVE_LIMIT_KMH.items())
def test_no_carved_turn_exists_at_the_limit_or_above(sidecut_m: float, limit: float) -> None:
    assert carve_limit_kmh(sidecut_m) == pytest.approx(limit, abs=0.005)
    assert 87 < carve_tilt_deg(limit - 0.01, sidecut_m) < 90
    assert isnan(carve_tilt_deg(limit + 0.01, sidecut_m))
    assert isnan(carve_tilt_deg(2 * limit, sidecut_m))


@pytest.mark.parametrize(("speed_m_s", "turn_m", "lean"), values.BALANCE)
def test_a_carved_turn_of_that_radius_is_in_balance(speed_m_s: float, turn_m: float, lean: float) -> None:
    """A sidecut that carves the row's turn radius at the row's lean must ask for just that lean."""
    sidecut_m = turn_m / cos(radians(lean))
    assert carve_tilt_deg(3.6 * speed_m_s, sidecut_m) == pytest.approx(lean, abs=0.02)


@pytest.mark.parametrize(("height", "beyond", "tilt"), values.CONTACT)
def test_contact_tilt_of_a_point_on_hard_snow(height: float, beyond: float, tilt: float) -> None:
    assert contact_of_point_deg(beyond, height) == pytest.approx(tilt, abs=0.005)
    assert room_beyond_edge_mm(tilt, height) == pytest.approx(beyond, abs=0.01)
