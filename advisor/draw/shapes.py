"""Outlines in the board's frame, built from the geometry core's parts and places."""

from __future__ import annotations

from math import acos, cos, hypot, isfinite, pi, sin

from advisor.draw.scene import Point
from advisor.geometry.board import edge_arc, half_width_mm
from advisor.geometry.maths import toes_direction
from advisor.geometry.overhang import overhang_mm
from advisor.geometry.parts import Edge, boot_tip
from advisor.geometry.placing import binding_x_mm, binding_y_mm
from advisor.sheet.setup import FootSetup, Setup

_STEP_RAD = pi / 45  # the polygon stays within 0.04 mm of a 60 mm circle
_MOST_STEPS = 400  # bounds the work on a board of absurd length
_MOST_ROWS = 40  # and on one of absurdly many rows
HOLES_ACROSS_MM = 40.0  # both patterns, 4x4 and 2x4, have their holes 4 cm apart across the board


def hull_of_two_circles(heel_mm: float, heel_radius_mm: float, toe_mm: float, toe_radius_mm: float) -> list[Point]:
    """Return the convex hull of two circles on a line, as points (along, beside).

    The outer tangent touches both circles at the angle q off the line where cos q = (r_heel - r_toe) / distance.

    Parameters
    ----------
    heel_mm, toe_mm
        The circles' centres along the line [mm].
    heel_radius_mm, toe_radius_mm
        Their radii [mm].

    Returns
    -------
    list of Point
        Points in order round the outline [mm].

    Examples
    --------
    >>> points = hull_of_two_circles(-50, 40, 50, 40)
    >>> round(max(along for along, _ in points), 6), round(max(beside for _, beside in points), 6)
    (90.0, 40.0)

    """
    apart = toe_mm - heel_mm
    ratio = (heel_radius_mm - toe_radius_mm) / apart if apart > 0 else 2.0
    if not -1 < ratio < 1:
        along, radius = max((toe_mm, toe_radius_mm), (heel_mm, heel_radius_mm), key=lambda circle: circle[1])
        return _arc(along, radius, -pi, pi)
    turn = acos(ratio)
    return _arc(toe_mm, toe_radius_mm, -turn, turn) + _arc(heel_mm, heel_radius_mm, turn, 2 * pi - turn)


def _arc(along_mm: float, radius_mm: float, start: float, end: float) -> list[Point]:
    steps = 2 * max(2, round((end - start) / _STEP_RAD / 2))
    angles = (start + (end - start) * step / steps for step in range(steps + 1))
    return [(along_mm + radius_mm * cos(angle), radius_mm * sin(angle)) for angle in angles]


def on_the_foot(s: Setup, f: FootSetup, along_mm: float, beside_mm: float = 0.0) -> Point:
    """Return the point of the board's frame at a place on a foot [mm].

    `along` runs from the disc's centre to the toes. `beside` runs to the nose on a foot that stands square across.
    """
    ux, uy = toes_direction(f.angle_deg)
    return (binding_x_mm(s, f) + along_mm * ux + beside_mm * uy, binding_y_mm(s, f) + along_mm * uy - beside_mm * ux)


def boot_outline(s: Setup, f: FootSetup) -> tuple[Point, ...]:
    """Return the outsole's outline on the board: the hull of heel and forefoot circle, turned by the stance angle."""
    heel, toe = boot_tip(s, f, "heel"), boot_tip(s, f, "toe")
    hull = hull_of_two_circles(heel.along_mm, heel.radius_mm, toe.along_mm, toe.radius_mm)
    return tuple(on_the_foot(s, f, along, beside) for along, beside in hull)


def edge_curve(s: Setup, edge: Edge, low_mm: float, high_mm: float) -> tuple[Point, ...]:
    """Return an edge's arc from one x to another [mm], a point about every 10 mm."""
    steps = max(2, min(_MOST_STEPS, round((high_mm - low_mm) / 10)))
    sign = 1.0 if edge == "toe" else -1.0
    places = (low_mm + (high_mm - low_mm) * step / steps for step in range(steps + 1))
    return tuple((x, sign * half_width_mm(s.board, x)) for x in places)


def overhang_ends(s: Setup, f: FootSetup, edge: Edge) -> tuple[Point, Point]:
    """Return the edge's point and the boot's furthest point, between which the overhang is measured.

    Both lie on the line from the circle at the boot's end to the centre of the edge's arc.
    """
    tip = boot_tip(s, f, edge)
    sign = 1.0 if edge == "toe" else -1.0
    x, y = on_the_foot(s, f, tip.along_mm)
    arc = edge_arc(s.board)
    toward_x = arc.x_mm - x
    toward_y = sign * (arc.half_mm + arc.radius_mm) - y
    away = hypot(toward_x, toward_y)
    nx, ny = toward_x / away, toward_y / away
    boot = (x + tip.radius_mm * nx, y + tip.radius_mm * ny)
    over = overhang_mm(s, f, edge)
    return (boot[0] - over * nx, boot[1] - over * ny), boot


def row_places(s: Setup) -> tuple[Point, ...]:
    """Return the inserts' holes: both packs, two holes a row; empty where the rows are not known or there are none."""
    board = s.board
    if not (isfinite(board.row_pitch_mm) and board.rows_each_way > 0):
        return ()
    each_way = int(min(board.rows_each_way, _MOST_ROWS))
    return tuple(
        (-board.reference_setback_mm + outward * (board.reference_width_mm / 2 + row * board.row_pitch_mm), across)
        for outward in (1, -1)
        for row in range(-each_way, each_way + 1)
        for across in (-HOLES_ACROSS_MM / 2, HOLES_ACROSS_MM / 2)
    )
