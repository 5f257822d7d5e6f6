"""The plain typed values that the geometry core works on.

Lengths in mm, angles in degrees, masses in kg, speeds in km/h, torques in N·m; a field's name carries its unit.
A number that is not known is `nan`: it spreads through every formula that needs it, so nothing is computed from a gap.

Frame: origin in the middle of the effective edge, on the centre line, on the base; x to the nose, y to the toe edge,
z up from the base. A stance angle of +15 on either foot means that the toes point 15 degrees toward the nose.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass, field, fields
from functools import cache
from math import nan
from typing import Literal

FootSide = Literal["front", "back"]


@cache
def _split(path: str) -> tuple[str, str]:
    part, _, name = path.rpartition(".")
    return part, name


@dataclass(slots=True)
class Rider:
    """The rider's body and ways of riding."""

    height_mm: float = nan
    inseam_mm: float = nan
    weight_kg: float = nan
    thigh_mm: float = nan
    shank_mm: float = nan
    ankle_height_mm: float = nan
    pelvis_width_mm: float = nan
    speed_kmh: float = nan
    tilt_deg: float = nan
    style: str = "all_mountain"


@dataclass(slots=True)
class Boots:
    """The boot: the foot length that its label stands for, its sole's outline, how its underside rises at both tips."""

    for_foot_mm: float = nan

    outsole_length_mm: float = nan
    ball_width_mm: float = nan
    heel_width_mm: float = nan
    toe_rise_mm: float = nan
    toe_rise_length_mm: float = nan
    heel_rise_mm: float = nan
    heel_rise_length_mm: float = nan
    lean_deg: float = nan


@dataclass(slots=True)
class Board:
    """The board: outline, inserts and edges. `waist_place_mm` is the x of its narrowest place."""

    effective_edge_mm: float = nan
    waist_width_mm: float = nan
    nose_width_mm: float = nan
    tail_width_mm: float = nan
    contact_length_mm: float = nan
    sidecut_radius_mm: float = nan
    waist_place_mm: float = nan
    thickness_mm: float = nan
    reference_width_mm: float = nan
    reference_setback_mm: float = nan
    row_pitch_mm: float = nan
    rows_each_way: float = nan
    insert_depth_mm: float = nan
    base_bevel_deg: float = nan
    side_bevel_deg: float = nan


@dataclass(slots=True)
class Bindings:
    """The bindings' fixed sizes. `heelcup_*` and `highback_*` say where those parts hang over, when measured."""

    notch_deg: float = nan
    slot_travel_mm: float = nan
    hole_offset_mm: float = nan
    base_height_toe_mm: float = nan
    base_height_heel_mm: float = nan
    base_length_mm: float = nan
    base_width_mm: float = nan
    toe_ramp_mm: float = nan
    toe_ramp_step_mm: float = nan
    heelcup_step_mm: float = nan
    heelcup_reach_mm: float = nan
    heelcup_height_mm: float = nan
    highback_reach_mm: float = nan
    highback_height_mm: float = nan
    screw_length_mm: float = nan
    disc_thickness_mm: float = nan
    washer_mm: float = nan
    ladder_teeth: float = nan


@dataclass(slots=True)
class FootSetup:
    """One foot as mounted, with the rider's own foot in it.

    `outward` is +1 for the front foot and -1 for the back foot: the x direction away from the other foot.
    """

    side: FootSide = "front"
    outward: float = 1.0
    angle_deg: float = nan
    row: float = nan
    slots: str = "across"
    slot_mm: float = nan
    track_mm: float = 0.0
    disc_flipped: bool = False
    heelcup: float = nan
    lean_deg: float = nan
    highback_turn_deg: float = nan
    cant_deg: float = nan
    riser_mm: float = nan
    seat_mm: float = nan
    toe_ramp: float = nan
    strap_left_mm: float = nan
    strap_right_mm: float = nan
    ladder_at: float = nan
    foot_length_mm: float = nan
    turnout_deg: float = nan


@dataclass(slots=True)
class Ride:
    """The snow and the slope of the turn in question."""

    edge_sink_mm: float = 0.0
    slope_deg: float = 0.0


@dataclass(slots=True)
class Practice:
    """The trade's numbers that formulas need; their values and sources stand in `trees/practice.yaml`."""

    style_tilt_deg: float = nan
    width_lean_low_deg: float = nan
    width_lean_high_deg: float = nan
    width_style_low: float = nan
    width_style_high: float = nan
    riding_knee_flex_deg: float = nan
    knee_twist_share: float = nan
    cuff_give_share: float = nan
    hip_opening_limit_deg: float = nan
    ball_place_share: float = nan
    heel_place_share: float = nan
    ankle_place_share: float = nan
    nut_factor: float = nan
    screw_diameter_mm: float = nan
    screw_pitch_mm: float = nan
    most_overhang_mm: float = nan
    foot_inside_edge_mm: float = nan
    foot_width_share: float = nan
    foot_heel_width_share: float = nan
    hips_turn_deg_low: float = nan
    hips_turn_deg_high: float = nan
    width_lean_suits_low_deg: float = nan
    width_lean_suits_high_deg: float = nan
    hip_joint_mm: float = 0.0
    wedge_width_mm: float = nan
    screw_from_centre_mm: float = nan


@dataclass(slots=True)
class Setup:
    """Everything the geometry core reads."""

    rider: Rider = field(default_factory=Rider)
    boots: Boots = field(default_factory=Boots)
    board: Board = field(default_factory=Board)
    bindings: Bindings = field(default_factory=Bindings)
    front: FootSetup = field(default_factory=FootSetup)
    back: FootSetup = field(default_factory=lambda: FootSetup(side="back", outward=-1.0))
    ride: Ride = field(default_factory=Ride)
    practice: Practice = field(default_factory=Practice)
    screw_torque_nm: float = nan

    def foot(self, side: FootSide) -> FootSetup:
        """Return the named foot."""
        return self.front if side == "front" else self.back

    def get(self, path: str) -> float:
        """Return the number at a dotted path such as `boots.outsole_length_mm` or `front.angle_deg`."""
        part, name = _split(path)
        value: float = getattr(getattr(self, part) if part else self, name)
        return value

    def put(self, path: str, value: float) -> None:
        """Set the number at a dotted path, in place; work on a `copy()` unless the set-up is yours."""
        part, name = _split(path)
        setattr(getattr(self, part) if part else self, name, value)

    def copy(self) -> Setup:
        """Return an independent copy."""
        return Setup(**{f.name: copy.copy(getattr(self, f.name)) for f in fields(self)})
