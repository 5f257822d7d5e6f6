"""How the rider turns the pelvis, so that both legs share what the stance asks of them."""

from __future__ import annotations

from advisor.geometry.maths import isnan
from advisor.sheet.setup import Setup


def hips_turn_deg(s: Setup) -> float:
    """Compute how far the rider turns the pelvis toward the nose [deg], tail negative.

    Nobody nails the pelvis to the board: it turns until both legs are equally far from their own turnout, within what
    the style allows. With angles A and turnouts T both gaps are alike at (A_front + A_back - T_front + T_back) / 2.

    Examples
    --------
    A stance of 24 and 9 on legs that turn out by 12 each is ridden with the hips 16.5 degrees toward the nose.

    >>> s = Setup()
    >>> s.front.angle_deg, s.back.angle_deg, s.front.turnout_deg, s.back.turnout_deg = 24, 9, 12, 12
    >>> s.practice.hips_turn_deg_low, s.practice.hips_turn_deg_high = 0, 20
    >>> hips_turn_deg(s)
    16.5

    """
    front, back, p = s.front, s.back, s.practice
    alike = (front.angle_deg + back.angle_deg - front.turnout_deg + back.turnout_deg) / 2
    if isnan(alike):
        return alike
    return max(p.hips_turn_deg_low, min(p.hips_turn_deg_high, alike))
