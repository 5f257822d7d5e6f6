"""The undersides of boot and binding that can reach the snow.

The sole is one surface: its edge is the outline, the convex hull of a heel circle and a forefoot circle; its underside
is flat at the floor's height and rises straight over a length before each tip, measured along the foot. The baseplate
is a plate with square ends, the toe ramp, run out, part of it. Heelcup and highback are round behind the heel.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, hypot, radians, sin, sqrt
from typing import Literal, NamedTuple

from advisor.geometry.board import edge_arc, sidecut_radius_mm
from advisor.geometry.maths import isnan, toes_direction
from advisor.geometry.placing import (
    binding_x_mm,
    binding_y_mm,
    boot_middle_along_mm,
    ramp_end_along_mm,
    wedge_lift_mm,
    wedge_slope,
)
from advisor.sheet.setup import FootSetup, Setup

Edge = Literal["toe", "heel"]
_SAME_PLACE_MM = 1e-9
_UPRIGHT_DEG = 90.0
_RISE = "start of the sole's rise"
_TIPS: dict[Edge, str] = {"toe": "boot tip", "heel": "boot heel"}


class Part(NamedTuple):
    """A point, or a round end about it, of what stands over the board.

    `along_mm` is its place from the disc's centre along the foot, toe positive; `radius_mm` that of a round end;
    `height_mm` the underside's height over the board's base; `beside_mm` its place beside the foot's line, to the nose
    positive on a foot that stands square across.
    """

    name: str
    along_mm: float
    radius_mm: float
    height_mm: float
    beside_mm: float = 0.0


class Sole(NamedTuple):
    """One end of the sole as an edge sees it: lengths run from the disc's centre toward that end.

    Parameters
    ----------
    end_mm, end_radius_mm
        Centre and radius of the circle at that end.
    far_mm, far_radius_mm
        The same of the other end's circle.
    rise_from_mm, rise_mm, rise_length_mm
        Where the underside begins to rise, by how much up to the tip, and over which length.
    floor_mm
        The flat underside's height over the base.
    to_arc_mm, beside_mm
        The centre of the edge's arc from the disc's centre, toward that end and to the side on which it lies.
    side
        +1 or -1: on which side of the foot's line that centre lies.
    tip_slope
        How much the underside rises for each mm toward that side, by a cant wedge.

    """

    end_mm: float
    end_radius_mm: float
    far_mm: float
    far_radius_mm: float
    rise_from_mm: float
    rise_mm: float
    rise_length_mm: float
    floor_mm: float
    to_arc_mm: float
    beside_mm: float
    side: float
    tip_slope: float


def floor_mm(s: Setup, f: FootSetup) -> float:
    """Compute the baseplate's height over the base, under the foot's line [mm]: board, riser and wedge."""
    return s.board.thickness_mm + f.riser_mm + wedge_lift_mm(s, f, 0.0)


def boot_tip(s: Setup, f: FootSetup, edge: Edge) -> Part:
    """Return the boot's own end at an edge, with the height to which its sole has risen there."""
    boots, bindings = s.boots, s.bindings
    middle = boot_middle_along_mm(s, f)
    floor = floor_mm(s, f)
    if edge == "toe":
        radius = boots.ball_width_mm / 2
        along = middle + boots.outsole_length_mm / 2 - radius
        return Part("boot tip", along, radius, floor + bindings.base_height_toe_mm + boots.toe_rise_mm)
    radius = boots.heel_width_mm / 2
    along = middle - boots.outsole_length_mm / 2 + radius
    return Part("boot heel", along, radius, floor + bindings.base_height_heel_mm + boots.heel_rise_mm)


def _arc_centre(s: Setup, f: FootSetup, edge: Edge) -> tuple[float, float]:
    """Return the centre of an edge's arc seen from the disc's centre: toward the toes and beside the foot [mm]."""
    ux, uy = toes_direction(f.angle_deg)
    arc = edge_arc(s.board)
    away = arc.half_mm + arc.radius_mm
    x = arc.x_mm - binding_x_mm(s, f)
    y = (away if edge == "toe" else -away) - binding_y_mm(s, f)
    return x * ux + y * uy, x * uy - y * ux


def sole_at(s: Setup, f: FootSetup, edge: Edge) -> Sole:
    """Return the sole as an edge sees it."""
    boots, bindings = s.boots, s.bindings
    way = 1.0 if edge == "toe" else -1.0
    along, beside = _arc_centre(s, f, edge)
    middle, half = way * boot_middle_along_mm(s, f), boots.outsole_length_mm / 2
    ball, heel = boots.ball_width_mm / 2, boots.heel_width_mm / 2
    floor = floor_mm(s, f)
    if edge == "toe":
        radius, far, rise, length = ball, heel, boots.toe_rise_mm, boots.toe_rise_length_mm
        floor += bindings.base_height_toe_mm
    else:
        radius, far, rise, length = heel, ball, boots.heel_rise_mm, boots.heel_rise_length_mm
        floor += bindings.base_height_heel_mm
    side = -1.0 if beside < 0 else 1.0
    return Sole(
        middle + half - radius, radius, middle - half + far, far, middle + half - length, rise, length, floor,
        way * along, abs(beside), side, side * wedge_slope(f),
    )  # fmt: skip


def _half_width_mm(sole: Sole, place_mm: float) -> float:
    """Return half the outline's width at a place along the foot [mm]."""
    lean = (sole.far_radius_mm - sole.end_radius_mm) / (sole.end_mm - sole.far_mm)
    straight = sqrt(max(0.0, 1 - lean * lean))
    first, last = sole.far_mm + sole.far_radius_mm * lean, sole.end_mm + sole.end_radius_mm * lean
    if first < place_mm < last:
        share = (place_mm - first) / (last - first)
        return straight * (sole.far_radius_mm + share * (sole.end_radius_mm - sole.far_radius_mm))
    centre, radius = (sole.end_mm, sole.end_radius_mm) if place_mm >= last else (sole.far_mm, sole.far_radius_mm)
    return sqrt(max(0.0, radius * radius - (place_mm - centre) ** 2))


def _on_sole(name: str, edge: Edge, sole: Sole, place_mm: float, beside_mm: float) -> Part:
    """Return a point of the underside: at a place along the foot, and so far to the side of the edge's arc."""
    risen = place_mm - sole.rise_from_mm
    height = sole.floor_mm + sole.tip_slope * beside_mm
    if risen > _SAME_PLACE_MM:
        height += sole.rise_mm * risen / sole.rise_length_mm
    return Part(name, place_mm if edge == "toe" else -place_mm, 0.0, height, sole.side * beside_mm)


def _furthest_toward(sole: Sole, along: float, aside: float) -> tuple[float, float]:
    """Return the outline's furthest point in a direction: along the foot toward the end, and to the arc's side."""
    size = hypot(along, aside)
    if size == 0:
        return sole.end_mm + sole.end_radius_mm, 0.0
    along, aside = along / size, aside / size
    lean = (sole.far_radius_mm - sole.end_radius_mm) / (sole.end_mm - sole.far_mm)
    centre, radius = (sole.end_mm, sole.end_radius_mm) if along >= lean else (sole.far_mm, sole.far_radius_mm)
    return centre + radius * along, radius * aside


def lowest_on_sole(edge: Edge, sole: Sole, tilt_deg: float) -> list[Part]:
    """Return the lowest points of a sole over a board tilted so far: of its flat part, and of its risen end.

    At 90 degrees the lowest point is the one that hangs over furthest. Each part is flat, so its lowest point is the
    outline's furthest one in a direction, or lies where the rise begins; exact within 0.01 mm, as the edge's direction
    is taken at the end's own circle.
    """
    tilt = radians(tilt_deg)
    down, out = cos(tilt), sin(tilt)
    along = sole.to_arc_mm - sole.end_mm
    away = hypot(along, sole.beside_mm)
    ahead, aside = out * along / away, out * sole.beside_mm / away - down * sole.tip_slope
    place, beside = _furthest_toward(sole, ahead, aside)
    start = sole.rise_from_mm
    corner = _half_width_mm(sole, start)
    corner = corner if aside >= 0 else -corner
    if place <= start + _SAME_PLACE_MM:
        return [_on_sole(_RISE, edge, sole, place, beside)]
    found = [_on_sole(_RISE, edge, sole, start, corner)]
    place, beside = _furthest_toward(sole, ahead - down * sole.rise_mm / sole.rise_length_mm, aside)
    if place > start:
        found.append(_on_sole(_TIPS[edge], edge, sole, place, beside))
    return found


def sole_profile(edge: Edge, sole: Sole, tilt_deg: float, steps: int = 8) -> list[Part]:
    """Return the sole's underside as the edge sees it: where its flat part ends, then along the outline to its end.

    Parameters
    ----------
    edge, sole
        The edge, and the sole as it sees it.
    tilt_deg
        The tilt [deg] whose lowest point is among those returned.
    steps
        Pieces of the outline's risen part.

    Returns
    -------
    list
        Points from the flat part's furthest point to the outline's; one where the furthest point is flat.

    """
    flat, *risen = lowest_on_sole(edge, sole, _UPRIGHT_DEG)
    lowest = lowest_on_sole(edge, sole, tilt_deg)
    if not risen:
        return [flat, *lowest[1:]]
    way = 1.0 if edge == "toe" else -1.0
    first, last = sole.rise_from_mm, way * risen[0].along_mm
    side = 1.0 if sole.side * risen[0].beside_mm >= 0 else -1.0
    places = (first + (last - first) * step / steps for step in range(1, steps))
    between = [_on_sole(_TIPS[edge], edge, sole, at, side * _half_width_mm(sole, at)) for at in places]
    return [flat, *sorted((*between, *risen, *lowest[1:]), key=lambda part: way * part.along_mm)]


def plate_end_along_mm(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute the baseplate's end from the disc's centre along the foot [mm], toe positive.

    Half its length, at the toe end at least the toe ramp's end where that is run out further; `nan` where the plate's
    length is not known.
    """
    half = s.bindings.base_length_mm / 2
    if edge == "heel":
        return -half
    ramp = ramp_end_along_mm(s, f)
    return ramp if ramp > half else half


def fixed_parts(s: Setup, f: FootSetup, edge: Edge, sole: Sole) -> Iterator[Part]:
    """Yield the parts of the binding that could meet the snow first at an edge, whatever the tilt.

    The baseplate's corners at that end (on a flat plate only the one toward the edge), and on the heel side heelcup and
    highback. Parts whose size is not on the sheet are left out.
    """
    bindings = s.bindings
    floor = floor_mm(s, f)
    if not isnan(bindings.base_length_mm + bindings.base_width_mm):
        end, half = plate_end_along_mm(s, f, edge), bindings.base_width_mm / 2
        for side in (1.0,) if sole.tip_slope == 0 else (1.0, -1.0):
            yield Part("baseplate", end, 0.0, floor + sole.tip_slope * side * half, sole.side * side * half)
    if edge == "heel":
        tip = boot_tip(s, f, "heel")
        for name, reach, height in (
            ("heelcup", bindings.heelcup_reach_mm, bindings.heelcup_height_mm),
            ("highback", bindings.highback_reach_mm, bindings.highback_height_mm),
        ):
            if not isnan(reach) and not isnan(height):
                yield Part(name, tip.along_mm - reach, tip.radius_mm, floor + height)


def parts_at(s: Setup, f: FootSetup, edge: Edge, tilt_deg: float) -> list[Part]:
    """Return every part that could be the first on the snow at an edge of a board tilted by `tilt_deg`."""
    sole = sole_at(s, f, edge)
    return [*lowest_on_sole(edge, sole, tilt_deg), *fixed_parts(s, f, edge, sole)]


def beyond_edge_mm(
    s: Setup, f: FootSetup, edge: Edge, along_mm: float, radius_mm: float = 0.0, beside_mm: float = 0.0
) -> float:
    """Compute how far a point, or a circle about it, reaches beyond an edge, square to the edge's curve [mm].

    The edge is an arc of radius R about a centre off the board, so the furthest point of the circle lies on the line
    between both centres: reach = R - distance + r. Positive = hangs over, negative = inside.

    Parameters
    ----------
    s, f
        The set-up and the foot.
    edge
        `toe` or `heel`.
    along_mm
        The point from the disc's centre along the foot [mm], toe positive.
    radius_mm
        The circle's radius [mm]; 0 for a point.
    beside_mm
        The point beside the foot's line [mm], to the nose positive on a foot that stands square across.

    Returns
    -------
    float
        Reach beyond the edge [mm].

    """
    along, beside = _arc_centre(s, f, edge)
    return sidecut_radius_mm(s.board) - hypot(along - along_mm, beside - beside_mm) + radius_mm
