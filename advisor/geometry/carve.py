"""How much tilt a turn needs, and the speed that a tilt allows.

A carved turn's radius is the sidecut radius times the cosine of the tilt, on hard snow with the board fully bent.
"""

from __future__ import annotations

from math import asin, cos, degrees, radians, sin, sqrt

from advisor.geometry.board import sidecut_radius_mm
from advisor.geometry.contact import contact_deg, contact_push_deg
from advisor.geometry.maths import GRAVITY_M_S2, isnan
from advisor.geometry.parts import Edge
from advisor.sheet.setup import FootSetup, Setup

_KMH_PER_M_S = 3.6


def carve_radius_m(sidecut_radius_m: float, tilt_deg: float) -> float:
    """Compute the radius of a carved turn, r = R cos t [m].

    Examples
    --------
    >>> round(carve_radius_m(17, 60), 1)
    8.5

    """
    return sidecut_radius_m * cos(radians(tilt_deg))


def carve_limit_kmh(sidecut_radius_m: float) -> float:
    """Compute the speed at and above which no fully carved, balanced turn exists on the flat, v = sqrt(g R) [km/h].

    Examples
    --------
    >>> round(carve_limit_kmh(8), 2)
    31.89

    """
    return sqrt(GRAVITY_M_S2 * sidecut_radius_m) * _KMH_PER_M_S


def carve_tilt_deg(speed_kmh: float, sidecut_radius_m: float, slope_deg: float = 0.0) -> float:
    """Compute the tilt of a fully carved, balanced turn without angulation.

    On the flat sin t = v²/(g R). At the end of a turn across a slope a, where gravity pulls outward most,
    tan t = v²/(r g cos a) + tan a with r = R cos t, which solves to t = a + asin(v²/(g R)).

    Parameters
    ----------
    speed_kmh
        Speed v [km/h].
    sidecut_radius_m
        Sidecut radius R [m].
    slope_deg
        Slope a [deg].

    Returns
    -------
    float
        Tilt [deg]; `nan` at and above the speed where no such turn exists.

    Examples
    --------
    >>> round(carve_tilt_deg(6 * 3.6, 8), 2)
    27.3

    """
    speed = speed_kmh / _KMH_PER_M_S
    ratio = speed * speed / (sidecut_radius_m * GRAVITY_M_S2)
    if not ratio < 1:
        return float("nan")
    tilt = slope_deg + degrees(asin(ratio))
    return tilt if tilt < 90 else float("nan")


def carve_speed_kmh(tilt_deg: float, sidecut_radius_m: float, slope_deg: float = 0.0) -> float:
    """Compute the speed whose carved turn needs a tilt, v = sqrt(g R sin(t - a)) on a slope a [km/h]."""
    pull = sin(radians(tilt_deg - slope_deg))
    return sqrt(max(0.0, GRAVITY_M_S2 * sidecut_radius_m * pull)) * _KMH_PER_M_S


def needed_tilt_deg(s: Setup) -> float:
    """Compute the board tilt that this rider needs [deg].

    A tilt told or read off a scuff mark beats all. Else the carved turn's tilt at the rider's speed, never more than
    the style rides; where no carved turn exists at that speed, or the speed is not known, the style's tilt alone.
    """
    told = s.rider.tilt_deg
    if not isnan(told):
        return told
    style = s.practice.style_tilt_deg
    carved = carve_tilt_deg(s.rider.speed_kmh, sidecut_radius_mm(s.board) / 1000, s.ride.slope_deg)
    return style if isnan(carved) else min(carved, style)


def needed_tilt_push_deg(s: Setup) -> float:
    """Compute a tilt that moves with the same inputs as `needed_tilt_deg`, also where the style caps it [deg]."""
    told = s.rider.tilt_deg
    if not isnan(told):
        return told
    speed, radius = s.rider.speed_kmh, sidecut_radius_mm(s.board) / 1000
    pull = speed * speed / radius if not isnan(speed * radius) else 0.0
    return s.practice.style_tilt_deg + pull + s.ride.slope_deg


def margin_push_deg(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute a margin that rises and falls with the same inputs as `margin_deg` [deg]."""
    return contact_push_deg(s, f, edge) - needed_tilt_push_deg(s)


def margin_deg(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute the contact tilt minus the needed tilt at an edge [deg]; below 0 something drags."""
    return contact_deg(s, f, edge) - needed_tilt_deg(s)


def speed_at_tilt_kmh(s: Setup, tilt_deg: float) -> float:
    """Compute the speed whose carved turn on this board and slope needs a tilt [km/h]."""
    return carve_speed_kmh(tilt_deg, sidecut_radius_mm(s.board) / 1000, s.ride.slope_deg)


def carve_speed_limit_kmh(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute the speed at which the carved turn's tilt equals the contact tilt at an edge [km/h]."""
    return speed_at_tilt_kmh(s, contact_deg(s, f, edge))
