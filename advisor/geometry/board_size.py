"""The board widths that a boot at its angles suits."""

from __future__ import annotations

from math import nan, sqrt

from advisor.geometry.board import edge_arc, sidecut_radius_mm
from advisor.geometry.carve import needed_tilt_deg
from advisor.geometry.contact import room_beyond_edge_mm
from advisor.geometry.maths import isnan, toes_direction
from advisor.geometry.parts import Edge, Part, boot_tip, parts_at
from advisor.geometry.placing import binding_x_mm, binding_y_mm, boot_middle_along_mm
from advisor.sheet.setup import FootSetup, Setup


def _half_waist_mm(s: Setup, f: FootSetup, edge: Edge, part: Part, beyond_mm: float) -> float:
    """Return the half waist width at which a part hangs over an edge by a given amount, all else as it is.

    Minus infinity where no width is so narrow that the part would hang over that far.
    """
    ux, uy = toes_direction(f.angle_deg)
    arc = edge_arc(s.board)
    x = binding_x_mm(s, f) + part.along_mm * ux + part.beside_mm * uy - arc.x_mm
    y = binding_y_mm(s, f) + part.along_mm * uy - part.beside_mm * ux
    radius = arc.radius_mm
    away = radius + part.radius_mm - beyond_mm
    if away <= abs(x):
        return float("-inf")
    lowest = (y if edge == "toe" else -y) - radius + sqrt(away * away - x * x)
    return lowest + s.board.waist_width_mm / 2 - arc.half_mm


def min_waist_mm(s: Setup) -> float:
    """Compute the narrowest waist that suits boots, angles and tilt [mm], boots centred between the edges.

    On it neither edge's contact tilt falls below the needed tilt, and no boot end hangs over further than the trade
    looks at, whatever the tilt. On the present sidecut and stance.
    """
    if isnan(sidecut_radius_mm(s.board)):
        return nan
    tilt = needed_tilt_deg(s)
    widest = max(waists_for_overhang_mm(s, s.practice.most_overhang_mm))
    for f in (s.front, s.back):
        waist = 0.0
        for edge in ("toe", "heel"):
            waist += max(
                _half_waist_mm(s, f, edge, part, room_beyond_edge_mm(tilt, part.height_mm, s.ride.edge_sink_mm))
                for part in parts_at(s, f, edge, tilt)
            )
        widest = max(widest, waist)
    return widest


def waist_spare_mm(s: Setup) -> float:
    """Compute the board's waist less `min_waist_mm` [mm]; minus 4 means that the board is 4 mm too narrow."""
    return s.board.waist_width_mm - min_waist_mm(s)


def waists_for_overhang_mm(s: Setup, beyond_mm: float) -> tuple[float, float]:
    """Compute, for each foot, the waist on which both boot ends hang over by a given amount, boots centred [mm].

    On the present sidecut, stance and angles; minus 10 means that both ends lie 10 mm inside.
    """
    front, back = (
        sum(_half_waist_mm(s, f, edge, boot_tip(s, f, edge), beyond_mm) for edge in ("toe", "heel"))
        for f in (s.front, s.back)
    )
    return front, back


def _bare_foot(s: Setup, f: FootSetup, edge: Edge) -> Part:
    """Return the end of the foot itself, in the middle of its boot: half its width round, at its own length."""
    length, share = f.foot_length_mm, s.practice
    radius = length * (share.foot_width_share if edge == "toe" else share.foot_heel_width_share) / 2
    way = 1.0 if edge == "toe" else -1.0
    return Part("foot", boot_middle_along_mm(s, f) + way * (length / 2 - radius), radius, 0.0)


def max_waist_mm(s: Setup) -> float:
    """Compute the widest waist on which the bare feet still reach the edges [mm], boots centred between them.

    On it the foot, its own length and outline at its angle, ends as far inside each edge as the trade allows. On the
    present sidecut and stance; the foot that reaches less decides.
    """
    inside = -s.practice.foot_inside_edge_mm
    return min(
        sum(_half_waist_mm(s, f, edge, _bare_foot(s, f, edge), inside) for edge in ("toe", "heel"))
        for f in (s.front, s.back)
    )


def waist_over_mm(s: Setup) -> float:
    """Compute the board's waist less `max_waist_mm` [mm]; plus 4 means that the board is 4 mm too wide."""
    return s.board.waist_width_mm - max_waist_mm(s)
