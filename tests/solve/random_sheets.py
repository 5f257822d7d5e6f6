"""Seeded random sheets: any rider, boot, board and binding, as mounted by someone in a hurry."""

from __future__ import annotations

from random import Random
from typing import Any

import yaml

from advisor.sheet.reading import parse_sheet
from advisor.sheet.sheet import Sheet

STYLES = ("all_mountain", "carving", "freestyle", "powder", "first_season")


def sheet_from(document: dict[str, Any]) -> Sheet:
    """Return a document as a checked sheet."""
    return parse_sheet(yaml.safe_dump(document).encode(), "random.yaml")


def random_sheet(random: Random, *, small: bool = False) -> Sheet:
    """Return a random sheet; a small one offers few values of each adjustment."""
    return sheet_from(random_document(random, small=small))


def random_document(random: Random, *, small: bool = False) -> dict[str, Any]:
    """Return a random document of schema 1 that passes every check of the sheet."""
    height = random.randint(150, 198)
    foot = round(height * 1.53 + random.uniform(-10, 10))
    outsole = foot + random.randint(22, 40)
    waist = random.randint(236, 268)
    notch = random.choice([9, 15]) if small else 3
    travel = random.choice([1, 2]) if small else random.choice([3, 4, 5, 6, 8])
    rows = 1 if small else random.randint(2, 4)
    pattern = random.choice(["4x4", "2x4", "slot_track"])
    steps = [-1, 1] if small else [-random.randint(0, 2), random.randint(1, 2)]
    ramp = [0, 1] if small else [0, random.randint(1, 4)]
    document: dict[str, Any] = {
        "schema": 1,
        "rider": {
            "leading_foot": random.choice(["left", "right"]),
            "height_cm": height,
            "inseam_cm": round(height * random.uniform(0.46, 0.50)),
            "foot_length_mm": {"left": foot, "right": foot + random.randint(-2, 2)},
            "turnout_deg": {"left": random.randint(2, 16), "right": random.randint(2, 16)},
            "style": random.choice(STYLES),
            "speed_kmh": random.randint(15, 45),
        },
        "boots": {
            "outsole_length_mm": outsole,
            "ball_width_mm": random.randint(102, 114),
            "heel_width_mm": random.randint(80, 94),
            "toe_rise_mm": random.randint(8, 22),
            "toe_rise_length_mm": random.randint(15, 35),
            "heel_rise_mm": random.randint(4, 14),
            "heel_rise_length_mm": random.randint(8, 18),
        },
        "board": {
            "effective_edge_mm": random.randint(1080, 1260),
            "waist_width_mm": waist,
            "sidecut_radius_m": round(random.uniform(6.5, 10.5), 1),
            "thickness_mm": random.randint(7, 11),
            "reference_width_mm": random.choice([500, 520, 540, 560]),
            "reference_setback_mm": random.choice([0, 10, 20, 25]),
            "insert_pattern": pattern,
            "insert_depth_mm": random.choice([7, 8, 9]),
            "base_bevel_deg": random.choice([0.5, 1.0, 1.5, 2.0]),
            "side_bevel_deg": random.choice([0.5, 1.0, 2.0]),
        },
        "bindings": {
            "notch_deg": notch,
            "slot_travel_mm": travel,
            "hole_offset_mm": random.choice([0, 2, 3, 4]),
            "base_height_mm": {"toe": random.randint(10, 18), "heel": random.randint(12, 20)},
            "base_length_mm": random.randint(225, 260),
            "base_width_mm": random.randint(84, 100),
            "toe_ramp_mm": random.randint(120, 136),
            "toe_ramp_step_mm": 5,
            "toe_ramp_steps": ramp,
            "heelcup_step_mm": random.choice([4, 5, 6]),
            "heelcup_steps": steps,
            "lean_deg": {"min": 0, "max": 10 if small else 25, "step": 5},
            "screw_length_mm": random.choice([12, 14, 16]),
            "disc_thickness_mm": random.choice([5, 6, 7]),
            "washer_mm": 1,
            "ladder_teeth": 12,
        },
        "mount": {
            "front": _foot(random, "front", notch, travel, rows, pattern, steps, ramp),
            "back": _foot(random, "back", notch, travel, rows, pattern, steps, ramp),
            "screw_torque_nm": random.choice([2.5, 4, 6.5]),
        },
    }
    if pattern != "slot_track":
        document["board"]["rows_each_way"] = rows
    return document


def _foot(
    random: Random,
    side: str,
    notch: int,
    travel: int,
    rows: int,
    pattern: str,
    steps: list[int],
    ramp: list[int],
) -> dict[str, Any]:
    angles = range(0, 31, notch) if side == "front" else range(-(18 // notch) * notch, 22, notch)
    foot: dict[str, Any] = {
        "angle_deg": random.choice(list(angles)),
        "slots": random.choice(["across", "across", "across", "along"]),
        "slot_mm": random.randint(-travel, travel),
        "disc_flipped": random.random() < 0.3,
        "heelcup": random.randint(*steps),
        "lean_deg": random.choice([0, 5, 10]),
        "highback_turn_deg": random.choice([0, 5, 10]),
        "cant_deg": 0,
        "riser_mm": 0,
        "seat_mm": random.randint(-8, 8),
        "toe_ramp": random.randint(*ramp),
        "strap_left_mm": random.randint(30, 50),
        "strap_right_mm": random.randint(30, 50),
        "ladder_at": random.randint(4, 12),
    }
    if pattern == "slot_track":
        foot["track_mm"] = random.choice([-20, 0, 10])
    else:
        foot["row"] = random.randint(-rows, rows)
    return foot
