"""Riders with true sheets, and sheets gone wrong: an own generator, for checks of what the advisor doubts.

It shares nothing with `trees/plausibility.yaml` nor with the rehearsal's riders: bodies from the summary of ANSUR II
(`tests/sheet/ansur2_summary.json`), children by growth (from memory), boots, boards and mounts by common practice, no
source. Faults are planted on purpose: a complaint about a true fault must not be taken for a slip of the pen.
"""

from __future__ import annotations

import json
from copy import deepcopy
from math import pi, sqrt, tan
from pathlib import Path
from typing import Any

import numpy as np

_FIGURES = json.loads((Path(__file__).parents[1] / "sheet" / "ansur2_summary.json").read_text(encoding="utf-8"))
STYLES = ("all_mountain", "carving", "freestyle", "powder", "first_season")
_TILT = {"first_season": 24, "freestyle": 36, "powder": 34, "all_mountain": 46, "carving": 58}
_SPEED = {"first_season": 16, "freestyle": 26, "powder": 30, "all_mountain": 30, "carving": 42}
_FRONT = {"first_season": 12, "freestyle": 14, "powder": 18, "all_mountain": 15, "carving": 24}
_BACK = {"first_season": -5, "freestyle": -11, "powder": -1, "all_mountain": -4, "carving": 8}


def _body(rng: np.random.Generator) -> dict[str, float]:
    if rng.random() < 0.15:
        height = rng.uniform(122, 160)
        return {
            "height": height,
            "inseam": height * rng.normal(0.457, 0.012),
            "weight": (height / 100) ** 2 * rng.normal(17.5 + (height - 122) * 0.07, 1.7),
            "foot": height * 10 * rng.normal(0.153, 0.0045),
            "breadth": height * 10 * rng.normal(0.0575, 0.0022),
            "heel": height * 10 * rng.normal(0.0405, 0.002),
        }
    figures = _FIGURES["male" if rng.random() < 0.55 else "female"]
    sd = np.array(figures["sd"])
    drawn = rng.multivariate_normal(np.array(figures["mean"]), np.array(figures["corr"]) * np.outer(sd, sd))
    body = dict(zip(_FIGURES["columns"], drawn, strict=True))
    return {
        "height": body["stature_mm"] / 10,
        "inseam": body["crotchheight_mm"] / 10,
        "weight": body["weightkg"] * rng.lognormal(0, 0.05),
        "foot": body["footlength_mm"],
        "breadth": body["footbreadthhorizontal_mm"],
        "heel": body["heelbreadth_mm"],
    }


def _label(rng: np.random.Generator, mondo: float) -> str:
    system = rng.choice(["mondo", "mondo", "EU", "US M", "UK"])
    if system == "mondo":
        return f"mondo {mondo / 10:.1f}"
    if system == "EU":
        return f"EU {round((mondo + 15) / 20 * 3 * 2) / 2:g}"
    return f"{system} {max(1.0, round(((mondo + 15) / 25.4 * 3 - (23.5 if system == 'US M' else 24.5)) * 2) / 2):g}"


def rider(seed: int) -> dict[str, Any]:
    """Return a true sheet as a document: the rider, what they brought, and how it stands, sometimes badly."""
    rng = np.random.default_rng(seed)
    body = _body(rng)
    child = body["height"] < 150
    style = str(rng.choice(STYLES, p=[0.35, 0.15, 0.2, 0.1, 0.2]))
    mondo = float(
        np.ceil((body["foot"] + rng.choice([0, 3, 5, 8, 14, -8], p=[0.4, 0.2, 0.2, 0.1, 0.06, 0.04])) / 5) * 5
    )
    sole = mondo + rng.normal(29, 3.6)
    length = min(170.0, max(100.0, 0.62 * body["height"] + 0.35 * body["weight"] + 21 + rng.normal(0, 3)))
    edge = length * rng.normal(7.6, 0.12)
    contact = edge - rng.uniform(15, 70)
    waist = (
        0.52 * (mondo - 250)
        + 246
        + rng.normal(0, 5)
        + (6 if style == "carving" else 0)
        + rng.choice([0, 12, -10], p=[0.8, 0.1, 0.1])
    )
    radius = max(4.0, 0.05 * length * rng.lognormal(0, 0.09))
    depth = contact**2 / (8 * radius * 1000)
    taper = rng.choice([0, 0, 5, 10]) * (1.0 if style == "powder" else 0.5)
    low, high = 0.29 * body["height"] * 10, 0.33 * body["height"] * 10
    wanted = rng.uniform(low, high) * rng.choice([1, 0.87, 1.13], p=[0.9, 0.05, 0.05])
    reference = round((length * 2.55 + 137 + rng.normal(0, 15)) / 10) * 10
    rows = int(np.clip(round((wanted - reference) / 40), -2, 2))
    front = round((_FRONT[style] + rng.normal(0, 4)) / 3) * 3
    back = round((_BACK[style] + rng.normal(0, 4)) / 3) * 3
    travel = float(rng.choice([4, 5, 6, 8]))
    toe_base = rng.normal(14, 2.5)
    lean = [int(rng.choice([0, 5, 10, 15], p=[0.4, 0.3, 0.2, 0.1])) for _ in range(2)]

    def foot(side: str) -> dict[str, Any]:
        return {
            "angle_deg": int(max(0, front) if side == "front" else back),
            "row": rows,
            "slots": "across",
            "slot_mm": float(np.clip(round(rng.normal(0, 2.5)), -travel, travel)),
            "disc_flipped": bool(rng.random() < 0.1),
            "heelcup": int(rng.choice([-1, 0, 1], p=[0.15, 0.7, 0.15])),
            "lean_deg": lean[0 if side == "front" else 1],
            "highback_turn_deg": int(abs(front if side == "front" else back) * rng.uniform(0, 1)),
            "cant_deg": 0,
            "riser_mm": 0,
            "seat_mm": round(rng.normal(0, 4) + rng.choice([0, 9, -9], p=[0.9, 0.05, 0.05])),
            "toe_ramp": int(rng.choice([0, 1, 2])),
            "strap_left_mm": round(42 + rng.normal(0, 3)),
            "strap_right_mm": round(42 + rng.normal(0, 3)),
            "ladder_at": int(rng.integers(5, 12)),
        }

    lengths = sorted([body["foot"], body["foot"] - abs(rng.normal(0, 2))])
    return {
        "schema": 1,
        "rider": {
            "leading_foot": str(rng.choice(["left", "right"], p=[0.7, 0.3])),
            "height_cm": round(body["height"]),
            "inseam_cm": round(body["inseam"]),
            "weight_kg": round(body["weight"]),
            "foot_length_mm": {"left": round(lengths[rng.integers(2)]), "right": round(lengths[1])},
            "turnout_deg": {"left": round(rng.normal(9, 6)), "right": round(rng.normal(9, 6))},
            "style": style,
            "speed_kmh": round(max(8, rng.normal(_SPEED[style], 5))),
            "tilt_deg": round(max(12, rng.normal(_TILT[style], 6))),
        },
        "boots": {
            "size": _label(rng, mondo),
            "outsole_length_mm": round(sole),
            "ball_width_mm": round(body["breadth"] + rng.normal(7, 2.5)),
            "heel_width_mm": round(body["heel"] + rng.normal(16, 2.5)),
            "toe_rise_mm": round(rng.normal(17, 3)),
            "toe_rise_length_mm": round(rng.normal(26, 4)),
            "heel_rise_mm": round(max(4, rng.normal(10, 2))),
            "heel_rise_length_mm": round(rng.normal(13, 2)),
        },
        "board": {
            "length_cm": round(length),
            "effective_edge_mm": round(edge),
            "waist_width_mm": round(waist),
            "nose_width_mm": round(waist + 2 * depth + rng.normal(0, 1)),
            "tail_width_mm": round(waist + 2 * depth - taper + rng.normal(0, 1)),
            "contact_length_mm": round(contact),
            "sidecut_radius_m": round(radius * rng.lognormal(0, 0.04), 1),
            "thickness_mm": round(rng.normal(9, 0.8), 1),
            "reference_width_mm": reference,
            "reference_setback_mm": int(rng.choice([0, 0, 10, 20, 30])),
            "insert_pattern": "2x4",
            "rows_each_way": 3,
            "insert_depth_mm": 8,
            "base_bevel_deg": float(rng.choice([0.5, 1.0, 1.5])),
            "side_bevel_deg": float(rng.choice([1.0, 2.0])),
        },
        "bindings": {
            "notch_deg": 3,
            "slot_travel_mm": travel,
            "hole_offset_mm": int(rng.choice([0, 0, 2, 3, -3])),
            "base_height_mm": {"toe": round(toe_base), "heel": round(toe_base + rng.normal(2, 1.2))},
            "base_length_mm": round(sole * rng.normal(0.81, 0.025)),
            "toe_ramp_mm": round(sole / 2 - rng.uniform(5, 28)),
            "toe_ramp_step_mm": 5,
            "toe_ramp_steps": [0, 3],
            "heelcup_step_mm": 5,
            "heelcup_steps": [-2, 2],
            "lean_deg": {"min": 0, "max": 25, "step": 5},
            "screw_length_mm": int(rng.choice([12, 14, 16], p=[0.1, 0.8, 0.1])),
            "disc_thickness_mm": 6,
            "washer_mm": 1,
            "ladder_teeth": 14 if not child else 12,
        },
        "mount": {"front": foot("front"), "back": foot("back"), "screw_torque_nm": 4},
    }


def overhangs(sheet: dict[str, Any], side: str) -> tuple[float, float]:
    """Return toe and heel overhang [mm] of a true sheet, by a small geometry of its own."""
    foot, board, bindings = sheet["mount"][side], sheet["board"], sheet["bindings"]
    half = sheet["boots"]["outsole_length_mm"] / 2
    turned = tan(foot["angle_deg"] * pi / 180)
    cosine = 1 / sqrt(1 + turned * turned)
    hole = bindings["hole_offset_mm"] * (-1 if foot["disc_flipped"] else 1)
    middle = foot["slot_mm"] - hole + (foot["seat_mm"] + foot["heelcup"] * bindings["heelcup_step_mm"]) * cosine
    away = board["reference_width_mm"] / 2 + 20 * foot["row"]
    place = away - board["reference_setback_mm"] if side == "front" else -away - board["reference_setback_mm"]
    width = board["waist_width_mm"] / 2 + (place + board["reference_setback_mm"]) ** 2 / (
        2000 * board["sidecut_radius_m"]
    )
    return middle + half * cosine - width, half * cosine - middle - width


def _swapped(sheet: dict[str, Any]) -> None:
    sheet["mount"]["front"], sheet["mount"]["back"] = sheet["mount"]["back"], sheet["mount"]["front"]


def _scaled(part: str, field: str, factor: float) -> Any:
    def spoil(sheet: dict[str, Any]) -> None:
        sheet[part][field] = round(sheet[part][field] * factor, 1)

    return spoil


def _added(part: str, field: str, more: float) -> Any:
    def spoil(sheet: dict[str, Any]) -> None:
        sheet[part][field] = round(sheet[part][field] + more, 1)

    return spoil


def _turned(field: str, side: str = "back") -> Any:
    def spoil(sheet: dict[str, Any]) -> None:
        sheet["mount"][side][field] = -sheet["mount"][side][field]

    return spoil


def _put(part: str, field: str, value: Any) -> Any:
    def spoil(sheet: dict[str, Any]) -> None:
        sheet[part][field] = value

    return spoil


WRONG: dict[str, Any] = {
    "front and back swapped": _swapped,
    "front angle's sign": _turned("angle_deg", "front"),
    "sole read 40 mm long": _added("boots", "outsole_length_mm", 40),
    "sole is the foot's length": lambda sheet: sheet["boots"].update(
        outsole_length_mm=sheet["rider"]["foot_length_mm"]["left"] + 3
    ),
    "label 4 cm off": lambda sheet: sheet["boots"].update(
        size=f"mondo {sheet['rider']['foot_length_mm']['left'] / 10 - 4:.1f}"
    ),
    "weight in pounds": _scaled("rider", "weight_kg", 2.2046),
    "inseam is the height's half and more": lambda sheet: sheet["rider"].update(
        inseam_cm=round(sheet["rider"]["height_cm"] * 0.56)
    ),
    "waist of another board": _added("board", "waist_width_mm", -32),
    "radius of another board": _scaled("board", "sidecut_radius_m", 1.65),
    "effective edge in another unit": _scaled("board", "effective_edge_mm", 0.72),
    "base height in centimetres": lambda sheet: sheet["bindings"]["base_height_mm"].update(toe=1.4),
    "baseplate measured over the strap": _scaled("bindings", "base_length_mm", 1.32),
    "toe ramp past the boot": _added("bindings", "toe_ramp_mm", 45),
    "tilt of somebody else": lambda sheet: sheet["rider"].update(tilt_deg=80, speed_kmh=14),
    "seat in another place": lambda sheet: sheet["mount"]["back"].update(seat_mm=34),
    "cant's sign": lambda sheet: sheet["mount"]["front"].update(cant_deg=-3),
    "strap measured from the other end": lambda sheet: sheet["mount"]["back"].update(strap_left_mm=88),
    "reference width of the tips": _added("board", "reference_width_mm", 150),
}
"""Kinds of wrong sheets, each a change of the true one that a hand in a hurry makes."""


def gone_wrong(sheet: dict[str, Any], kind: str) -> dict[str, Any]:
    """Return a copy of a true sheet with one slip of the pen."""
    copy = deepcopy(sheet)
    WRONG[kind](copy)
    return copy
