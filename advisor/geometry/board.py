"""The board's outline: the sidecut as one circular arc on each edge.

The toe edge is y = +b(x) and the heel edge y = -b(x) with b(x) = w/2 + R - sqrt(R² - (x - xw)²).
The arc's centre lies off the board, so a point beyond an edge is closer to that centre than R.
"""

from __future__ import annotations

from math import atan, degrees, hypot, sqrt

from advisor.sheet.setup import Board

__all__ = [
    "edge_slope_deg",
    "half_width_mm",
    "radius_from_sagitta_mm",
    "radius_through_mm",
    "sagitta_mm",
    "sidecut_radius_mm",
    "waist_place_mm",
]


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


def waist_place_mm(board: Board) -> float:
    """Return the x of the board's narrowest place [mm]: as given, else the reference stance centre."""
    place = board.waist_place_mm
    return place if place == place else -board.reference_setback_mm


def sidecut_radius_mm(board: Board) -> float:
    """Return the sidecut radius [mm]: printed on the board, else from its widths.

    With a measured waist place the circle goes through nose, waist and tail; without one the mean of the nose and
    tail widths gives the sagitta s = (nose + tail)/4 - waist/2 over the contact length.

    Returns
    -------
    float
        Radius [mm]; `nan` where neither the radius nor the widths are known, or where the waist is not the narrowest.

    """
    printed = board.sidecut_radius_mm
    if printed == printed:
        return printed
    half_chord = board.contact_length_mm / 2
    depth = (board.nose_width_mm + board.tail_width_mm) / 4 - board.waist_width_mm / 2
    if not depth > 0:
        return float("nan")
    if board.waist_place_mm == board.waist_place_mm:
        if not board.waist_width_mm < min(board.nose_width_mm, board.tail_width_mm):
            return float("nan")
        return radius_through_mm(
            (-half_chord, board.tail_width_mm / 2),
            (board.waist_place_mm, board.waist_width_mm / 2),
            (half_chord, board.nose_width_mm / 2),
        )
    return radius_from_sagitta_mm(board.contact_length_mm, depth)


def _to_arc_mm(board: Board, radius_mm: float, x_mm: float) -> float:
    """Return the way across from the arc's centre to the arc at x [mm]; `nan` beyond the circle."""
    away = x_mm - waist_place_mm(board)
    return sqrt(radius_mm * radius_mm - away * away) if abs(away) < radius_mm else float("nan")


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

    """
    radius = sidecut_radius_mm(board)
    return board.waist_width_mm / 2 + radius - _to_arc_mm(board, radius, x_mm)


def edge_slope_deg(board: Board, x_mm: float) -> float:
    """Compute how far the edge turns away from the board's axis at x [deg].

    Positive on the nose side of the waist, where the board widens toward the nose.
    """
    radius = sidecut_radius_mm(board)
    return degrees(atan((x_mm - waist_place_mm(board)) / _to_arc_mm(board, radius, x_mm)))
