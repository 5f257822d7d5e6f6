"""The stance: its width, its place on the board, and its angles against the rider's own legs."""

from __future__ import annotations

from advisor.geometry.hips import hips_turn_deg
from advisor.geometry.leg import hip_separation_mm, leg_length_mm
from advisor.geometry.maths import sin_deg
from advisor.geometry.placing import along_from_reference_mm, binding_x_mm
from advisor.sheet.setup import FootSetup, Setup

__all__ = [
    "boot_room_mm",
    "front_load_share",
    "hips_turn_deg",
    "setback_mm",
    "splay_deg",
    "stance_centre_mm",
    "stance_width_goal_mm",
    "stance_width_mm",
    "turnout_gap_deg",
]


def stance_width_mm(s: Setup) -> float:
    """Compute the stance width, binding centre to binding centre along the board [mm]."""
    return along_from_reference_mm(s, s.front) - along_from_reference_mm(s, s.back)


def setback_mm(s: Setup) -> float:
    """Compute how far the stance's middle sits behind the middle of the effective edge [mm]."""
    return -(binding_x_mm(s, s.front) + binding_x_mm(s, s.back)) / 2


def stance_centre_mm(s: Setup) -> float:
    """Compute how far the stance's middle sits from the reference stance centre [mm], nose positive."""
    return s.board.reference_setback_mm - setback_mm(s)


def front_load_share(s: Setup) -> float:
    """Compute the share of the rider's weight on the front half of the effective edge.

    The rider stands over the stance's middle; the board is a beam on the two ends of its effective edge:
    share = 1/2 - setback / effective edge.
    """
    return 0.5 - setback_mm(s) / s.board.effective_edge_mm


def boot_room_mm(s: Setup, f: FootSetup) -> float:
    """Compute the foot length that the boot's label stands for, less this foot's length [mm].

    Plus 5 means that the boot is made for a foot 5 mm longer.
    """
    return s.boots.for_foot_mm - f.foot_length_mm


def splay_deg(s: Setup) -> float:
    """Compute the angle between the feet [deg], front stance angle minus back stance angle."""
    return s.front.angle_deg - s.back.angle_deg


def turnout_gap_deg(s: Setup, f: FootSetup) -> float:
    """Compute the foot's outward angle to the hips minus the rider's own relaxed turnout [deg], outward positive.

    Outward is away from the other foot. The hips turn with the stance (see `hips_turn_deg`), so the legs feel the angle
    between the feet, and a forward stance is no fault of a leg.

    Examples
    --------
    >>> s = Setup()
    >>> s.front.angle_deg, s.back.angle_deg, s.front.turnout_deg, s.back.turnout_deg = 24, 9, 12, 12
    >>> s.practice.hips_turn_deg_low, s.practice.hips_turn_deg_high = 0, 20
    >>> turnout_gap_deg(s, s.front), turnout_gap_deg(s, s.back)
    (-4.5, -4.5)

    """
    return f.outward * (f.angle_deg - hips_turn_deg(s)) - f.turnout_deg


def stance_width_goal_mm(s: Setup) -> tuple[float, float]:
    """Compute the window that suits this rider's legs and style [mm]: hips + 2 x leg x sin(lean) at two leans.

    The leans are those at which the mean adult of a large study stands at 0.29 and 0.33 of body height, the trade's
    habit; so the mean rider gets the habit, and longer or shorter legs under the same height another window.

    Returns
    -------
    tuple of float
        Narrow end and wide end [mm].

    """
    p = s.practice
    leg, hips = leg_length_mm(s), hip_separation_mm(s)
    leans = (p.width_lean_suits_low_deg, p.width_lean_suits_high_deg)
    low, high = (hips + 2 * leg * sin_deg(lean) for lean in leans)
    span = high - low
    return low + p.width_style_low * span, low + p.width_style_high * span
