"""What a ruler gives directly beats the fields that it is computed from: overhangs place a boot, a width the stance.

Toe overhang less heel overhang is twice the boot's way from the board's middle, whatever makes it up. So where a foot
has both, its seat is worked out from them, and what else goes into that sum (slide, heelcup, hole offset) needs no ± of
its own: it would only be counted twice. The stance width takes the place of the reference width; rows that nobody told
keep their ±, for they also say where the stance's middle lies.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import cos, isnan, radians

from advisor.sheet.readings import Reading
from advisor.sheet.sheet import Sheet

_RULER_MM = 1.5
_WIDTH_MM = 3.0
_FEET = ("front", "back")
_SHARED = ("bindings.hole_offset_mm", "bindings.heelcup_step_mm")
_IN_THE_SUM = ("slot_mm", "heelcup", "disc_flipped")


def apply_measured(known: dict[str, Reading], sheet: Sheet) -> None:
    """Put what was measured at the edges and between the bindings into a set-up's readings, in place.

    Parameters
    ----------
    known
        Readings by set-up path, estimates included.
    sheet
        With `measured.{foot}.toe_overhang_mm`, `measured.{foot}.heel_overhang_mm` and `measured.stance_width_mm`, as
        far as they were measured.

    """
    placed = [side for side in _FEET if _place_boot(known, sheet, side)]
    if len(placed) == len(_FEET):
        for path in _SHARED:
            _exact(known, path)
    _set_width(known, sheet)


def _place_boot(known: dict[str, Reading], sheet: Sheet, side: str) -> bool:
    toe, heel = (sheet.leaves.get(f"measured.{side}.{edge}_overhang_mm") for edge in ("toe", "heel"))
    if toe is None or heel is None or not isinstance(toe.value, int | float) or not isinstance(heel.value, int | float):
        return False
    slot, hole, cup = (
        _value(known, path) for path in (f"{side}.slot_mm", "bindings.hole_offset_mm", f"{side}.heelcup")
    )
    step, angle = _value(known, "bindings.heelcup_step_mm"), _value(known, f"{side}.angle_deg")
    across = str(sheet.value(f"mount.{side}.slots") or "across") == "across"
    hole = -hole if _value(known, f"{side}.disc_flipped") else hole
    cosine = 1.0 if isnan(angle) else cos(radians(angle))
    binding = slot - hole if across else 0.0
    seat = ((toe.value - heel.value) / 2 - binding) / cosine - cup * step
    if isnan(seat):
        return False
    spread = ((toe.plus_minus or _RULER_MM) + (heel.plus_minus or _RULER_MM)) / 2 / cosine
    note = "from toe and heel overhang, by the ruler"
    known[f"{side}.seat_mm"] = Reading(seat, "measured", spread, f"mount.{side}.seat_mm", note)
    for name in _IN_THE_SUM:
        _exact(known, f"{side}.{name}")
    return True


def _set_width(known: dict[str, Reading], sheet: Sheet) -> None:
    leaf = sheet.leaves.get("measured.stance_width_mm")
    if leaf is None or not isinstance(leaf.value, int | float):
        return
    pitch = _value(known, "board.row_pitch_mm")
    rows = [f"{side}.row" for side in _FEET]
    out = sum(_value(known, row) * pitch for row in rows if _value(known, row))
    out += sum(_value(known, f"{side}.track_mm") for side in _FEET)
    for side, outward in zip(_FEET, (1.0, -1.0), strict=True):
        if str(sheet.value(f"mount.{side}.slots") or "across") == "along":
            out += outward * _value(known, f"{side}.slot_mm")
    reference = leaf.value - out
    if not isnan(reference):
        spread = leaf.plus_minus or _WIDTH_MM
        path = "board.reference_width_mm"
        known[path] = Reading(reference, "measured", spread, path, "from centre to centre, by the ruler")


def as_fields(sheet: Sheet, known: Mapping[str, Reading]) -> Sheet:
    """Return a sheet with what a ruler gave put into the fields that it settles, for a mount that is to be changed.

    What was measured holds for the board as it stood; moved boots hang elsewhere.

    Parameters
    ----------
    sheet
        As it stands.
    known
        Its readings by set-up path.

    """
    settled = [(f"{side}.seat_mm", f"mount.{side}.seat_mm", f"measured.{side}.") for side in _FEET]
    settled.append(("board.reference_width_mm", "board.reference_width_mm", "measured.stance_width_mm"))
    for path, field, of in settled:
        told = [one for one in sheet.leaves if one.startswith(of)]
        reading = known.get(path)
        if told and reading is not None and reading.origin == "measured":
            sheet = sheet.with_value(field, round(reading.value, 1), "measured", round(reading.plus_minus, 1))
        for one in told:
            sheet = sheet.without(one)
    return sheet


def _value(known: dict[str, Reading], path: str) -> float:
    reading = known.get(path)
    return reading.value if reading else float("nan")


def _exact(known: dict[str, Reading], path: str) -> None:
    if path in known:
        known[path] = known[path]._replace(plus_minus=0.0)
