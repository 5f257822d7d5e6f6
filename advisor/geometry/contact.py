"""The board tilt at which something other than the edge meets the snow."""

from __future__ import annotations

from math import acos, atan2, cos, degrees, hypot, radians, sin

from advisor.geometry.board import sidecut_radius_mm
from advisor.geometry.maths import isnan
from advisor.geometry.parts import Edge, Part, fixed_parts, lowest_on_sole, sole_at
from advisor.sheet.setup import FootSetup, Setup

NEVER_DEG = 90.0
_ROUNDS = 8
_SAME_TILT_DEG = 1e-9


def contact_of_point_deg(beyond_mm: float, height_mm: float, sink_mm: float = 0.0) -> float:
    """Compute the tilt at which a point beyond the edge meets the snow.

    z cos t - d sin t = p, so t = acos(p / hypot(z, d)) - atan2(d, z); with p = 0: t = atan(z / d).

    Parameters
    ----------
    beyond_mm
        How far the point hangs beyond the edge, d [mm]; where it ends as far inside as the edge has sunk, or further,
        it never meets the snow first.
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
    if beyond_mm <= -sink_mm:
        return NEVER_DEG
    reach = hypot(height_mm, beyond_mm)
    if sink_mm >= reach:
        return 0.0
    tilt = degrees(acos(sink_mm / reach) - atan2(beyond_mm, height_mm))
    return max(0.0, min(NEVER_DEG, tilt))


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

    The sole's surface has no first point of its own: which one is lowest hangs on the tilt. The tilt is taken from the
    point found so far, and the search goes on until no point lies lower; that settles in two or three rounds.

    Returns
    -------
    tuple
        The part, how far it hangs beyond the edge [mm], and its contact tilt [deg].

    """
    sole, sink = sole_at(s, f, edge), s.ride.edge_sink_mm
    radius = sidecut_radius_mm(s.board)
    way = 1.0 if edge == "toe" else -1.0
    arc, aside = way * sole.to_arc_mm, sole.side * sole.beside_mm

    def of(part: Part) -> tuple[Part, float, float]:
        beyond = radius - hypot(arc - part.along_mm, aside - part.beside_mm) + part.radius_mm
        return part, beyond, contact_of_point_deg(beyond, part.height_mm, sink)

    best = min((of(part) for part in lowest_on_sole(edge, sole, NEVER_DEG)), key=_by_tilt)
    if isnan(best[2]):
        return best
    for _ in range(_ROUNDS):
        lower = min((of(part) for part in lowest_on_sole(edge, sole, best[2])), key=_by_tilt)
        if lower[2] >= best[2] - _SAME_TILT_DEG:
            break
        best = lower
    return min((best, *(of(part) for part in fixed_parts(s, f, edge, sole))), key=_by_tilt)


def _by_tilt(found: tuple[Part, float, float]) -> tuple[float, float]:
    """Order by tilt, an unknown one first; of those that never touch, the furthest out."""
    return (found[2] if not isnan(found[2]) else -1.0, -found[1])


def contact_push_deg(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute the contact tilt as if a part inside the edge met the snow beyond 90 degrees [deg].

    It rises and falls with the same inputs as `contact_deg`, also where that stands still at 90.
    """
    part, beyond, _tilt = first_contact(s, f, edge)
    return degrees(atan2(part.height_mm, beyond))


def contact_deg(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute the tilt at which the first part of boot or binding meets the snow at an edge [deg]; 90 = never."""
    return first_contact(s, f, edge)[2]
