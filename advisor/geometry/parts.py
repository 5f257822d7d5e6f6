"""The parts of boot and binding that can reach the snow, as circles on the foot's line.

The sole's outline is the convex hull of a heel circle and a forefoot circle. Beyond an edge, which is nearly straight
over a boot's width, only the circle at that end can be the furthest point.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot
from typing import Literal, NamedTuple

from advisor.geometry.board import sidecut_radius_mm, waist_place_mm
from advisor.geometry.maths import isnan, toes_direction
from advisor.geometry.placing import binding_x_mm, binding_y_mm, boot_middle_along_mm
from advisor.sheet.setup import FootSetup, Setup

__all__ = ["Edge", "Part", "beyond_edge_mm", "boot_tip", "parts_at"]

Edge = Literal["toe", "heel"]


class Part(NamedTuple):
    """A rounded end on the foot's line.

    `along_mm` is the circle's centre from the disc's centre, toe positive; `height_mm` the underside's height over the
    board's base.
    """

    name: str
    along_mm: float
    radius_mm: float
    height_mm: float


def boot_tip(s: Setup, f: FootSetup, edge: Edge) -> Part:
    """Return the boot's own end at an edge, with the height to which its sole has risen there."""
    boots, bindings = s.boots, s.bindings
    middle = boot_middle_along_mm(s, f)
    floor = s.board.thickness_mm + f.riser_mm
    if edge == "toe":
        radius = boots.ball_width_mm / 2
        along = middle + boots.outsole_length_mm / 2 - radius
        return Part("boot tip", along, radius, floor + bindings.base_height_toe_mm + boots.toe_rise_mm)
    radius = boots.heel_width_mm / 2
    along = middle - boots.outsole_length_mm / 2 + radius
    return Part("boot heel", along, radius, floor + bindings.base_height_heel_mm + boots.heel_rise_mm)


def parts_at(s: Setup, f: FootSetup, edge: Edge) -> Iterator[Part]:
    """Yield every part that could meet the snow first at an edge.

    The boot's tip, the place where its sole starts to rise, the baseplate's end, and on the heel side the heelcup and
    the highback. Binding parts whose size is not on the sheet are left out.
    """
    boots, bindings = s.boots, s.bindings
    tip = boot_tip(s, f, edge)
    floor = s.board.thickness_mm + f.riser_mm
    back = 1.0 if edge == "toe" else -1.0
    rise, length = (
        (boots.toe_rise_mm, boots.toe_rise_length_mm)
        if edge == "toe"
        else (boots.heel_rise_mm, boots.heel_rise_length_mm)
    )
    yield tip
    yield Part("start of the sole's rise", tip.along_mm - back * length, tip.radius_mm, tip.height_mm - rise)
    if not isnan(bindings.base_length_mm):
        end = bindings.base_length_mm / 2 - tip.radius_mm
        yield Part("baseplate", back * end, tip.radius_mm, floor)
    if edge == "heel":
        for name, reach, height in (
            ("heelcup", bindings.heelcup_reach_mm, bindings.heelcup_height_mm),
            ("highback", bindings.highback_reach_mm, bindings.highback_height_mm),
        ):
            if not isnan(reach) and not isnan(height):
                yield Part(name, tip.along_mm - reach, tip.radius_mm, floor + height)


def beyond_edge_mm(s: Setup, f: FootSetup, edge: Edge, along_mm: float, radius_mm: float = 0.0) -> float:
    """Compute how far a circle on the foot's line reaches beyond an edge, square to the edge's curve [mm].

    The edge is an arc of radius R about a centre off the board, so the furthest point of the circle lies on the line
    between both centres: reach = R - distance + r. Positive = hangs over, negative = inside.

    Parameters
    ----------
    s, f
        The set-up and the foot.
    edge
        `toe` or `heel`.
    along_mm
        The circle's centre from the disc's centre along the foot [mm], toe positive.
    radius_mm
        The circle's radius [mm]; 0 for a point.

    Returns
    -------
    float
        Reach beyond the edge [mm].

    """
    ux, uy = toes_direction(f.angle_deg)
    x = binding_x_mm(s, f) + along_mm * ux
    y = binding_y_mm(s, f) + along_mm * uy
    if edge == "heel":
        y = -y
    radius = sidecut_radius_mm(s.board)
    away = hypot(x - waist_place_mm(s.board), s.board.waist_width_mm / 2 + radius - y)
    return radius - away + radius_mm
