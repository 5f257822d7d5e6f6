"""The leg as a two-link chain in space: hip joint, knee, ankle.

Assumptions, all stated to the user: the hip joints are level and stand over the stance's middle along the board
and over the mean of both ankles across it; the riding knee bend sets their height; thigh and shank are rigid;
the ankle stands on the foot's line. The knee lies on the circle about the hip-ankle line. A boot holds the shank in the
sole's own plane (tilted by a cant), as far as the hip opens; beyond that the knee passes inside. A small share of the
leg's lean, and the knee's share of a turnout mismatch, let the kneecap pass inside or outside too.
"""

from __future__ import annotations

from math import acos, atan2, cos, degrees, hypot, nan, radians, sin, sqrt
from typing import NamedTuple

from advisor.geometry.hips import hips_turn_deg
from advisor.geometry.maths import cos_deg, isnan, toes_direction
from advisor.geometry.parts import floor_mm
from advisor.geometry.placing import binding_x_mm, binding_y_mm, boot_middle_along_mm
from advisor.sheet.setup import FootSetup, Setup

Vector = tuple[float, float, float]

UNKNOWN_POINT: Vector = (nan, nan, nan)
_BELL_MEDIAL_SHARE = 0.14


class Leg(NamedTuple):
    """One leg in riding flex, points [mm] in the board's frame."""

    hip: Vector
    knee: Vector
    ankle: Vector


def hip_separation_mm(s: Setup) -> float:
    """Compute the distance between the hip joint centres [mm].

    Each lies 14 % of the inter-ASIS distance medial of the front hip bone (Bell, Brand & Pedersen 1989), which leaves
    0.72 of it between them; the joint lies within 33 mm of there for nineteen riders in twenty, which
    `practice.hip_joint_mm` carries as a ± about 0.
    """
    return (1 - 2 * _BELL_MEDIAL_SHARE) * s.rider.pelvis_width_mm + s.practice.hip_joint_mm


def leg_length_mm(s: Setup) -> float:
    """Compute the straight line from hip joint to ankle at the riding knee bend [mm] (law of cosines)."""
    thigh, shank = s.rider.thigh_mm, s.rider.shank_mm
    return sqrt(thigh * thigh + shank * shank + 2 * thigh * shank * cos_deg(s.practice.riding_knee_flex_deg))


def ankle_point_mm(s: Setup, f: FootSetup) -> Vector:
    """Compute the ankle's place over the foot's line, in the board's frame [mm]."""
    ux, uy = toes_direction(f.angle_deg)
    along = boot_middle_along_mm(s, f) + (s.practice.ankle_place_share - 0.5) * f.foot_length_mm
    height = floor_mm(s, f) + s.bindings.base_height_heel_mm + s.rider.ankle_height_mm
    return binding_x_mm(s, f) + along * ux, binding_y_mm(s, f) + along * uy, height


def _hip_and_ankle(s: Setup, f: FootSetup) -> tuple[Vector, Vector]:
    ankles = [ankle_point_mm(s, foot) for foot in (s.front, s.back)]
    middle = (binding_x_mm(s, s.front) + binding_x_mm(s, s.back)) / 2
    apart = hip_separation_mm(s) / 2
    across = (ankles[0][1] + ankles[1][1]) / 2
    leg = leg_length_mm(s)
    height = 0.0
    for foot, (x, y, z) in zip((s.front, s.back), ankles, strict=True):
        level = hypot(x - middle - foot.outward * apart, y - across)
        if level >= leg:
            return UNKNOWN_POINT, ankles[0]
        height += (z + sqrt(leg * leg - level * level)) / 2
    ankle = ankles[0] if f.side == "front" else ankles[1]
    return (middle + f.outward * apart, across, height), ankle


def leg_chain(s: Setup, f: FootSetup, *, always_limited: bool = False) -> Leg:
    """Compute hip, knee and ankle of one leg in riding flex.

    Parameters
    ----------
    s, f
        The set-up and the foot.
    always_limited
        Take the hip as opened half way between what the foot asks and its limit: no flat stretch, for learning which
        way each input pushes.

    Returns
    -------
    Leg
        Points [mm]; `nan` where a segment is not known or the stance is out of the leg's reach.

    """
    hip, ankle = _hip_and_ankle(s, f)
    thigh, shank = s.rider.thigh_mm, s.rider.shank_mm
    dx, dy, dz = (h - a for h, a in zip(hip, ankle, strict=True))
    reach = sqrt(dx * dx + dy * dy + dz * dz)
    if isnan(reach) or isnan(f.angle_deg):
        return Leg(hip, UNKNOWN_POINT, ankle)
    stretch = min(1.0, (thigh + shank) / reach)
    wx, wy, wz = dx / reach, dy / reach, dz / reach
    along = (reach * reach * stretch * stretch + shank * shank - thigh * thigh) / (2 * reach * stretch)
    radius = sqrt(max(0.0, shank * shank - along * along))
    ux, uy = toes_direction(f.angle_deg)
    lean = ux * wx + uy * wy
    e1x, e1y, e1z = ux - lean * wx, uy - lean * wy, -lean * wz
    size = sqrt(e1x * e1x + e1y * e1y + e1z * e1z)
    e1x, e1y, e1z = e1x / size, e1y / size, e1z / size
    # w x e1 points to +x from a heel-to-toe bend, so it is outward on the front foot only.
    e2x, e2y, e2z = wy * e1z - wz * e1y, wz * e1x - wx * e1z, wx * e1y - wy * e1x
    nx, ny, nz = _sole_side(f)
    if e2x * nx + e2y * ny < 0:
        e2x, e2y, e2z = -e2x, -e2y, -e2z
    a = radius * (e1x * nx + e1y * ny + e1z * nz)
    b = radius * (e2x * nx + e2y * ny + e2z * nz)
    c = along * (wx * nx + wy * ny + wz * nz)
    in_plane = _turn_into_plane(a, b, c)
    gap = radians(f.outward * (f.angle_deg - hips_turn_deg(s)) - f.turnout_deg)
    p = s.practice
    limit = radians(p.hip_opening_limit_deg)
    opened = (in_plane + limit) / 2 if always_limited else max(-limit, min(limit, in_plane))
    turn = opened * (1 - p.cuff_give_share) - p.knee_twist_share * gap
    k1, k2 = radius * cos(turn), radius * sin(turn)
    knee = (
        ankle[0] + along * wx + k1 * e1x + k2 * e2x,
        ankle[1] + along * wy + k1 * e1y + k2 * e2y,
        ankle[2] + along * wz + k1 * e1z + k2 * e2z,
    )
    return Leg(hip, knee, ankle)


def _sole_side(f: FootSetup) -> Vector:
    """Return the normal of the sole's own upright plane, outward; a cant tilts the plane's top inward."""
    ux, uy = toes_direction(f.angle_deg)
    cant = radians(f.cant_deg)
    return f.outward * uy * cos(cant), -f.outward * ux * cos(cant), sin(cant)


def _turn_into_plane(a: float, b: float, c: float) -> float:
    """Return the turn t nearest to 0 with a cos t + b sin t + c = 0, or the closest approach to it [rad]."""
    size = hypot(a, b)
    if size == 0:
        return 0.0
    half = acos(max(-1.0, min(1.0, -c / size)))
    toward = atan2(b, a)
    first, second = toward - half, toward + half
    return first if abs(first) < abs(second) else second


def leg_lean_deg(s: Setup, f: FootSetup) -> float:
    """Compute the leg's lean in the frontal plane, hip joint to ankle [deg]; outward at the foot is positive."""
    hip, ankle = _hip_and_ankle(s, f)
    return degrees(atan2(f.outward * (ankle[0] - hip[0]), hip[2] - ankle[2]))


def knee_offset_mm(s: Setup, f: FootSetup) -> float:
    """Compute where the kneecap passes beside the foot's upright plane [mm].

    Positive = outside, away from the other foot; negative = inside. The plane goes through the ankle along the foot and
    leans with the sole where a cant is fitted.
    """
    return _beside_mm(leg_chain(s, f), f)


def knee_offset_push_mm(s: Setup, f: FootSetup) -> float:
    """Compute an offset that moves with the same inputs as `knee_offset_mm`, also within the hip's limit [mm]."""
    return _beside_mm(leg_chain(s, f, always_limited=True), f)


def _beside_mm(leg: Leg, f: FootSetup) -> float:
    nx, ny, nz = _sole_side(f)
    return (leg.knee[0] - leg.ankle[0]) * nx + (leg.knee[1] - leg.ankle[1]) * ny + (leg.knee[2] - leg.ankle[2]) * nz


def shank_lean_deg(s: Setup, f: FootSetup) -> float:
    """Compute how far the shank leans forward over the foot in riding flex [deg]."""
    return _forward_deg(leg_chain(s, f), f)


def lean_reserve_push_deg(s: Setup, f: FootSetup) -> float:
    """Compute a reserve that rises and falls with the same inputs as `lean_reserve_deg` [deg]."""
    return _forward_deg(leg_chain(s, f, always_limited=True), f) - least_lean_deg(s, f)


def _forward_deg(leg: Leg, f: FootSetup) -> float:
    ux, uy = toes_direction(f.angle_deg)
    forward = (leg.knee[0] - leg.ankle[0]) * ux + (leg.knee[1] - leg.ankle[1]) * uy
    return degrees(atan2(forward, leg.knee[2] - leg.ankle[2]))


def least_lean_deg(s: Setup, f: FootSetup) -> float:
    """Compute the lean at which something stops the shank [deg]: the highback, or the boot's own shaft.

    A boot leans by itself, and its shaft stops the shank before a more upright highback does.
    """
    boot = s.boots.lean_deg
    return boot if boot > f.lean_deg else f.lean_deg


def lean_reserve_deg(s: Setup, f: FootSetup) -> float:
    """Compute how far the shank can rock back before highback or boot takes its load [deg]: shank lean - their lean."""
    return shank_lean_deg(s, f) - least_lean_deg(s, f)
