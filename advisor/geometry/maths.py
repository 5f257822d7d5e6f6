"""Trigonometry in degrees."""

from __future__ import annotations

from math import cos, radians, sin

GRAVITY_M_S2 = 9.81


def sin_deg(angle_deg: float) -> float:
    """Return the sine of an angle in degrees."""
    return sin(radians(angle_deg))


def cos_deg(angle_deg: float) -> float:
    """Return the cosine of an angle in degrees."""
    return cos(radians(angle_deg))


def toes_direction(angle_deg: float) -> tuple[float, float]:
    """Return the unit vector from heel to toe (x, y) of a foot at a stance angle.

    At 0 the toes point straight over the toe edge, (0, 1); at +90 they point to the nose, (1, 0).
    """
    turn = radians(angle_deg)
    return sin(turn), cos(turn)


def isnan(value: float) -> bool:
    """Return whether a number is unknown."""
    return value != value
