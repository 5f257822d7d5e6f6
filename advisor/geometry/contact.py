"""The board tilt at which something other than the edge meets the snow."""

from __future__ import annotations

from math import acos, atan2, cos, degrees, hypot, radians, sin

from advisor.geometry.maths import isnan
from advisor.geometry.parts import Edge, Part, beyond_edge_mm, parts_at
from advisor.sheet.setup import FootSetup, Setup

__all__ = [
    "NEVER_DEG",
    "contact_deg",
    "contact_of_point_deg",
    "contact_push_deg",
    "first_contact",
    "room_beyond_edge_mm",
]

NEVER_DEG = 90.0


def contact_of_point_deg(beyond_mm: float, height_mm: float, sink_mm: float = 0.0) -> float:
    """Compute the tilt at which a point beyond the edge meets the snow.

    z cos t - d sin t = p, so t = acos(p / hypot(z, d)) - atan2(d, z); with p = 0: t = atan(z / d).

    Parameters
    ----------
    beyond_mm
        How far the point hangs beyond the edge, d [mm]; at 0 and below it never meets the snow first.
    height_mm
        Its height over the base, z [mm], over 0.
    sink_mm
        How far the edge has sunk into the snow, p [mm].

    Returns
    -------
    float
        Tilt between 0 and 90 [deg]; 90 = never. Derived here, no published source.

    Examples
    --------
    >>> round(contact_of_point_deg(20, 40), 2)
    63.43

    """
    if isnan(beyond_mm) or isnan(height_mm):
        return beyond_mm + height_mm
    if beyond_mm <= 0:
        return NEVER_DEG
    reach = hypot(height_mm, beyond_mm)
    if sink_mm >= reach:
        return 0.0
    tilt = degrees(acos(sink_mm / reach) - atan2(beyond_mm, height_mm))
    return max(0.0, tilt)


def room_beyond_edge_mm(tilt_deg: float, height_mm: float, sink_mm: float = 0.0) -> float:
    """Compute how far a part may hang over before it meets the snow at a tilt, d = (z cos t - p) / sin t [mm].

    A flat board has endless room.
    """
    if tilt_deg <= 0:
        return float("inf")
    tilt = radians(tilt_deg)
    return (height_mm * cos(tilt) - sink_mm) / sin(tilt)


def first_contact(s: Setup, f: FootSetup, edge: Edge) -> tuple[Part, float, float]:
    """Find the part that meets the snow first at an edge.

    Returns
    -------
    tuple
        The part, how far it hangs beyond the edge [mm], and its contact tilt [deg].

    """
    best: tuple[Part, float, float] | None = None
    for part in parts_at(s, f, edge):
        beyond = beyond_edge_mm(s, f, edge, part.along_mm, part.radius_mm)
        tilt = contact_of_point_deg(beyond, part.height_mm, s.ride.edge_sink_mm)
        if best is None or tilt < best[2] or isnan(tilt):
            best = (part, beyond, tilt)
    assert best is not None
    return best


def contact_push_deg(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute the contact tilt as if a part inside the edge met the snow beyond 90 degrees [deg].

    It rises and falls with the same inputs as `contact_deg`, also where that stands still at 90.
    """
    return min(
        degrees(atan2(part.height_mm, beyond_edge_mm(s, f, edge, part.along_mm, part.radius_mm)))
        for part in parts_at(s, f, edge)
    )


def contact_deg(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute the tilt at which the first part of boot or binding meets the snow at an edge [deg]; 90 = never."""
    return first_contact(s, f, edge)[2]
