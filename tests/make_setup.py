"""Set-ups to test on: the contract's example sheet as plain values, and the trade's numbers from `trees/`."""

from __future__ import annotations

from dataclasses import fields
from functools import cache
from math import nan
from pathlib import Path
from typing import Any

import yaml

from advisor.sheet.readings import Known, Reading
from advisor.sheet.setup import Bindings, Board, Boots, Practice, Rider, Setup

TREES = Path(__file__).parent.parent / "trees"

# Half the width of the range, as a careful tech with a tape would state it.
PLUS_MINUS = {
    "rider.height_mm": 10,
    "rider.thigh_mm": 15,
    "rider.shank_mm": 15,
    "rider.ankle_height_mm": 6,
    "rider.pelvis_width_mm": 20,
    "rider.speed_kmh": 3,
    "boots.outsole_length_mm": 2,
    "boots.ball_width_mm": 1,
    "boots.heel_width_mm": 1,
    "boots.toe_rise_mm": 2,
    "boots.heel_rise_mm": 2,
    "board.waist_width_mm": 1,
    "board.thickness_mm": 0.5,
    "bindings.hole_offset_mm": 0.5,
    "bindings.base_height_toe_mm": 1,
    "bindings.base_height_heel_mm": 1,
    "front.seat_mm": 1,
    "back.seat_mm": 1,
    "front.foot_length_mm": 2,
    "back.foot_length_mm": 2,
    "front.turnout_deg": 2,
    "back.turnout_deg": 2,
}


@cache
def _practice_file() -> dict[str, Any]:
    loaded: dict[str, Any] = yaml.safe_load((TREES / "practice.yaml").read_text(encoding="utf-8"))
    return loaded


def source_ids() -> set[str]:
    """Return every id of the sources' list."""
    return set(yaml.safe_load((TREES / "sources.yaml").read_text(encoding="utf-8")))


def practice(style: str = "all_mountain") -> Practice:
    """Return the trade's numbers for a style."""
    rows = _practice_file()
    low, high = rows["width_style"][style]
    by_style = {
        "hips_turn_deg_low": rows["hips_turn_deg"][style][0],
        "hips_turn_deg_high": rows["hips_turn_deg"][style][1],
        "style_tilt_deg": rows["style_tilt_deg"][style],
        "width_style_low": low,
        "width_style_high": high,
    }
    names = [f.name for f in fields(Practice)]
    return Practice(**{name: by_style[name] if name in by_style else rows[name]["value"] for name in names})


def practice_plus_minus() -> dict[str, float]:
    """Return the ± of the trade's numbers that have one, by the set-up's path."""
    names = {f.name for f in fields(Practice)}
    rows = {name: row.get("plus_minus", 0) for name, row in _practice_file().items() if name in names}
    return {f"practice.{name}": half for name, half in rows.items() if half}


def example_setup(style: str = "all_mountain") -> Setup:
    """Return the contract's example sheet, compiled by hand; the leg is 0.245 and 0.246 of the rider's height."""
    s = Setup(practice=practice(style))
    s.rider = Rider(
        height_mm=1780, inseam_mm=820, weight_kg=76, thigh_mm=436, shank_mm=438, ankle_height_mm=69,
        pelvis_width_mm=240, speed_kmh=28, tilt_deg=nan, style=style,
    )  # fmt: skip
    s.boots = Boots(
        outsole_length_mm=302, ball_width_mm=108, heel_width_mm=88, toe_rise_mm=18, toe_rise_length_mm=25,
        heel_rise_mm=10, heel_rise_length_mm=12, for_foot_mm=270,
    )  # fmt: skip
    s.board = Board(
        effective_edge_mm=1200, waist_width_mm=254, nose_width_mm=298, tail_width_mm=296, contact_length_mm=1160,
        sidecut_radius_mm=8000, thickness_mm=9, reference_width_mm=540, reference_setback_mm=20, row_pitch_mm=20,
        rows_each_way=3, insert_depth_mm=8, base_bevel_deg=1, side_bevel_deg=1,
    )  # fmt: skip
    s.bindings = Bindings(
        notch_deg=3, slot_travel_mm=5, hole_offset_mm=3, base_height_toe_mm=14, base_height_heel_mm=16,
        base_length_mm=240, base_width_mm=108, toe_ramp_mm=128, toe_ramp_step_mm=5, heelcup_step_mm=5,
        screw_length_mm=14, disc_thickness_mm=6, washer_mm=1, ladder_teeth=14,
    )  # fmt: skip
    for f, angle, length, turnout in ((s.front, 15, 268, 8), (s.back, 0, 270, 12)):
        f.angle_deg, f.foot_length_mm, f.turnout_deg = angle, length, turnout
        f.row = f.slot_mm = f.heelcup = f.lean_deg = f.highback_turn_deg = f.cant_deg = 0
        f.riser_mm = f.seat_mm = f.toe_ramp = 0
        f.strap_left_mm, f.strap_right_mm, f.ladder_at = 40, 44, 8
    s.screw_torque_nm = 4
    return s


def known(s: Setup, plus_minus: dict[str, float] | None = None) -> Known:
    """Return a set-up with a reading behind each of the given paths, `told` with that ±."""
    halves = plus_minus or {}
    return Known(s, {path: Reading(s.get(path), "told", half, path) for path, half in halves.items()})


def example_known() -> Known:
    """Return the example with the ± that a careful tech would give."""
    return known(example_setup(), {**PLUS_MINUS, **practice_plus_minus()})
