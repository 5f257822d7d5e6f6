"""The board's outline: the sidecut as one circular arc on each edge.

The toe edge is y = +b(x) and the heel edge y = -b(x) with b(x) = w/2 + R - sqrt(R² - (x - xw)²).
The arc's centre lies off the board, so a point beyond an edge is closer to that centre than R.
"""

from __future__ import annotations

from math import atan, degrees, hypot, nan, sqrt
from typing import NamedTuple

from advisor.sheet.setup import Board


def sagitta_mm(chord_mm: float, radius_mm: float) -> float:
    """Compute the depth of a circular arc under its chord, s = R - sqrt(R² - L²/4).

    Parameters
    ----------
    chord_mm
        Chord L [mm], at most 2 R.
    radius_mm
        Radius R [mm].

    Returns
    -------
    float
        Sagitta of the minor arc [mm].

    Examples
    --------
    >>> sagitta_mm(12, 10)
    2.0

    """
    return radius_mm - sqrt(radius_mm * radius_mm - chord_mm * chord_mm / 4)


def radius_from_sagitta_mm(chord_mm: float, depth_mm: float) -> float:
    """Compute the radius of a circular arc from chord and depth, R = L²/(8 s) + s/2.

    Parameters
    ----------
    chord_mm
        Chord L [mm].
    depth_mm
        Sagitta s [mm], over 0.

    Returns
    -------
    float
        Radius [mm].

    Examples
    --------
    >>> round(radius_from_sagitta_mm(1180, 22.5), 1)
    7746.8

    """
    return chord_mm * chord_mm / (8 * depth_mm) + depth_mm / 2


def radius_through_mm(first: tuple[float, float], second: tuple[float, float], third: tuple[float, float]) -> float:
    """Compute the radius of the circle through three points (R = abc / (4 x area)).

    Parameters
    ----------
    first, second, third
        Points (x, y) [mm], not on one line.

    Returns
    -------
    float
        Radius [mm].

    Examples
    --------
    >>> round(radius_through_mm((-6, 2), (0, 0), (6, 2)), 6)
    10.0

    """
    (x1, y1), (x2, y2), (x3, y3) = first, second, third
    sides = hypot(x2 - x1, y2 - y1) * hypot(x3 - x2, y3 - y2) * hypot(x1 - x3, y1 - y3)
    twice_area = abs((x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1))
    return sides / (2 * twice_area)


class Arc(NamedTuple):
    """One edge's arc: radius, x of its lowest place, half the width there [mm]."""

    radius_mm: float
    x_mm: float
    half_mm: float


_UNKNOWN = Arc(nan, nan, nan)


def edge_arc(board: Board) -> Arc:
    """Return the arc of the board's edges, `nan` where neither the radius nor the widths are known.

    A printed radius has its lowest place at the waist's place as told, else at the reference stance centre. Without one
    the arc goes through the nose, waist and tail widths: with the waist's place told through those three points, else
    its radius is R = C²/(8 s) + s/2 with the sagitta s = (nose + tail)/4 - waist/2 over the contact length C, and it
    goes through nose and tail, so that it is as wide as the waist half way between.

    Examples
    --------
    >>> board = Board(waist_width_mm=254, nose_width_mm=298, tail_width_mm=296, contact_length_mm=1160)
    >>> arc = edge_arc(board)
    >>> round(arc.radius_mm), round(arc.x_mm, 1), round(arc.half_mm, 1)
    (7834, -6.7, 127.0)

    """
    printed, place = board.sidecut_radius_mm, board.waist_place_mm
    waist = board.waist_width_mm / 2
    if printed == printed:
        return Arc(printed, place if place == place else -board.reference_setback_mm, waist)
    half = board.contact_length_mm / 2
    nose, tail = board.nose_width_mm / 2 - waist, board.tail_width_mm / 2 - waist
    if place == place:
        return _through_waist(half, nose, tail, place, waist)
    return _by_sagitta(half, nose, tail, waist)


def _through_waist(half: float, nose: float, tail: float, place: float, waist: float) -> Arc:
    if not (nose > 0 and tail > 0 and abs(place) < half):
        return _UNKNOWN
    # Circle through (-half, tail), (place, 0), (half, nose), heights over the waist: its centre by two bisectors.
    a1, b1, c1 = place + half, -tail, (place * place - half * half - tail * tail) / 2
    a2, b2, c2 = half - place, nose, (half * half + nose * nose - place * place) / 2
    size = a1 * b2 - a2 * b1
    if size == 0:
        return _UNKNOWN
    x, y = (c1 * b2 - c2 * b1) / size, (a1 * c2 - a2 * c1) / size
    radius = hypot(x - place, y)
    return Arc(radius, x, waist + y - radius) if y > 0 else _UNKNOWN


def _by_sagitta(half: float, nose: float, tail: float, waist: float) -> Arc:
    """Return the arc of the sagitta's radius through nose and tail, heights over the waist; at mid chord the waist."""
    depth = (nose + tail) / 2
    if not (nose > 0 and tail > 0):
        return _UNKNOWN
    radius = radius_from_sagitta_mm(2 * half, depth)
    chord = hypot(2 * half, nose - tail)
    under = radius * radius - chord * chord / 4
    if under < 0:
        return _UNKNOWN
    away = sqrt(under)
    return Arc(radius, -away * (nose - tail) / chord, waist + depth + away * 2 * half / chord - radius)


def waist_place_mm(board: Board) -> float:
    """Return the x of the edge arc's narrowest place [mm], nose positive."""
    return edge_arc(board).x_mm


def sidecut_radius_mm(board: Board) -> float:
    """Return the sidecut radius [mm]: printed on the board, else of the arc through its widths.

    Returns
    -------
    float
        Radius [mm]; `nan` where neither the radius nor the widths are known, or where the waist is not the narrowest.

    """
    return edge_arc(board).radius_mm


def _to_centre_mm(arc: Arc, x_mm: float) -> float:
    """Return the way across from the arc's centre to the arc at x [mm]; `nan` beyond the circle."""
    away = x_mm - arc.x_mm
    return sqrt(arc.radius_mm * arc.radius_mm - away * away) if abs(away) < arc.radius_mm else nan


def half_width_mm(board: Board, x_mm: float) -> float:
    """Compute half the board's width at x, b(x) = w/2 + R - sqrt(R² - (x - xw)²).

    Parameters
    ----------
    board
        The board.
    x_mm
        Place along the board from the middle of the effective edge [mm], nose positive.

    Returns
    -------
    float
        Half width [mm]; `nan` beyond the ends of the sidecut's circle.

    Examples
    --------
    Through what was measured: the nose is 298 wide at half the contact length.

    >>> board = Board(waist_width_mm=254, nose_width_mm=298, tail_width_mm=296, contact_length_mm=1160)
    >>> round(2 * half_width_mm(board, 580), 6), round(2 * half_width_mm(board, -580), 6)
    (298.0, 296.0)

    """
    arc = edge_arc(board)
    return arc.half_mm + arc.radius_mm - _to_centre_mm(arc, x_mm)


def edge_slope_deg(board: Board, x_mm: float) -> float:
    """Compute how far the edge turns away from the board's axis at x [deg].

    Positive on the nose side of the waist, where the board widens toward the nose.

    Examples
    --------
    >>> board = Board(sidecut_radius_mm=8000, waist_width_mm=254, waist_place_mm=0)
    >>> round(edge_slope_deg(board, 280), 2)
    2.01

    """
    arc = edge_arc(board)
    return degrees(atan((x_mm - arc.x_mm) / _to_centre_mm(arc, x_mm)))
