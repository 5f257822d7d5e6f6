"""The stance: its width, its place on the board, and its angles against the rider's own legs."""

from __future__ import annotations

from advisor.geometry.leg import hip_separation_mm, leg_length_mm
from advisor.geometry.maths import sin_deg
from advisor.geometry.placing import along_from_reference_mm, binding_x_mm
from advisor.sheet.setup import FootSetup, Setup

__all__ = [
    "boot_room_mm",
    "front_load_share",
    "setback_mm",
    "splay_deg",
    "stance_centre_mm",
    "stance_width_goal_mm",
    "stance_width_goal_push_mm",
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


def turnout_gap_deg(s: Setup, f: FootSetup) -> float:  # noqa: ARG001
    """Compute the foot's outward stance angle minus the rider's own relaxed turnout [deg].

    Outward is away from the other foot: +15 on the front foot and -15 on the back foot are both 15 outward.
    """
    return f.outward * f.angle_deg - f.turnout_deg


def stance_width_goal_push_mm(s: Setup) -> float:
    """Compute a width that rises and falls with the same inputs as the window's middle [mm]."""
    p = s.practice
    leg = leg_length_mm(s)
    by_leg = 2 * hip_separation_mm(s) + 2 * leg * (sin_deg(p.width_lean_low_deg) + sin_deg(p.width_lean_high_deg))
    by_height = s.rider.height_mm * (p.width_per_height_low + p.width_per_height_high)
    return by_leg + by_height + (p.width_style_low + p.width_style_high) * 100


def stance_width_goal_mm(s: Setup) -> tuple[float, float]:
    """Compute the window that suits this rider's legs and style [mm].

    Height share and leg lean each give a window; their overlap (or, where they do not meet, the leg's own window) is
    narrowed to the part that the style uses.

    Returns
    -------
    tuple of float
        Narrow end and wide end [mm].

    """
    p = s.practice
    leg = leg_length_mm(s)
    hips = hip_separation_mm(s)
    by_leg = [hips + 2 * leg * sin_deg(lean) for lean in (p.width_lean_low_deg, p.width_lean_high_deg)]
    by_height = [s.rider.height_mm * share for share in (p.width_per_height_low, p.width_per_height_high)]
    low, high = max(by_leg[0], by_height[0]), min(by_leg[1], by_height[1])
    if low > high:
        low, high = by_leg
    span = high - low
    return low + p.width_style_low * span, low + p.width_style_high * span
