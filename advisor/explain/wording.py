"""Numbers, measures and fields in words, with their units."""

from __future__ import annotations

import re
from collections.abc import Mapping
from math import inf

from advisor.geometry.measuring import Measured
from advisor.geometry.one_number import measure_or_field
from advisor.geometry.register import MEASURES, SIDES, Place, in_percent, places
from advisor.sheet.fields import field_rows
from advisor.sheet.setup import FootSide
from advisor.sheet.units import UnitSystem, format_quantity

_HUNDRED = 100
_WHOLE = {"N", "turns", "teeth"}
_SINGULAR = {"turns": "turn", "teeth": "tooth"}


def shown_unit(name: str, unit: str) -> str:
    """Return the unit in which a measure is told: a share of something in per cent.

    Examples
    --------
    >>> shown_unit("front_load_share", "1"), shown_unit("edge_power_balance.front", "1")
    ('%', '1')

    """
    return "%" if in_percent(name) else unit


def quantity(value: float, unit: str, units: UnitSystem = "metric", *, decimals: int | None = None) -> str:
    """Return a number with its unit, as precise as the bench can use.

    Examples
    --------
    >>> quantity(12.28, "mm"), quantity(60.63, "deg"), quantity(0.4828, "1")
    ('12.3 mm', '60.6°', '0.483')
    >>> quantity(1, "teeth"), quantity(6.6, "turns")
    ('1 tooth', '7 turns')
    >>> quantity(0.4833, "%"), quantity(0.5, "%")
    ('48.3 %', '50 %')

    """
    if value != value:
        return "not known"
    if unit == "%":
        return f"{value * _HUNDRED:.1f}".removesuffix(".0") + " %"
    if unit == "1":
        text = f"{value:.3g}" if decimals is None else f"{value:.{decimals}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    if decimals is None:
        decimals = 0 if unit in _WHOLE else 2 if unit == "m" else 1
    text = format_quantity(value, unit, units, decimals=decimals)
    return f"1 {_SINGULAR[unit]}" if unit in _SINGULAR and text == f"1 {unit}" else text


def signed(value: float, unit: str, units: UnitSystem = "metric") -> str:
    """Return a change with its sign.

    Examples
    --------
    >>> signed(4.0, "mm"), signed(-2.5, "deg")
    ('+4 mm', '-2.5°')

    """
    text = quantity(value, unit, units)
    return text if text.startswith("-") else f"+{text}"


def value_words(one: Measured, units: UnitSystem = "metric") -> str:
    """Return a measure's value with its ±."""
    if not one.known:
        return "not known"
    unit = shown_unit(one.measure.id, one.measure.unit)
    text = quantity(one.value, unit, units)
    return text if one.plus_minus <= 0 else f"{text} ± {quantity(one.plus_minus, unit, units)}"


def interval_words(low: float, high: float, unit: str, units: UnitSystem = "metric") -> str:
    """Return an interval in words: `below 0°`, `5° and more`, `-4 mm to 4 mm`."""
    if low == -inf and high == inf:
        return "any value"
    if low == -inf:
        return f"below {quantity(high, unit, units)}"
    if high == inf:
        return f"{quantity(low, unit, units)} and more"
    return f"{quantity(low, unit, units)} to {quantity(high, unit, units)}"


def foot_words(feet: tuple[FootSide, ...]) -> str:
    """Return the feet in words: `front`, `back`, or `front and back`."""
    return " and ".join(feet) if feet else "front and back"


_NUMBER = r"(-?\d+(?:\.\d+)?)"
_RANGE = re.compile(rf"{_NUMBER} to {_NUMBER} mm\b")
_LENGTH = re.compile(rf"{_NUMBER} mm\b")
_ANGLES = re.compile(rf"{_NUMBER} deg\b")


def in_units(text: str, units: UnitSystem) -> str:
    """Return a text with its degrees as signs, and its millimetres turned into the units asked for.

    Examples
    --------
    >>> in_units("slide it 5 mm toward the toe edge", "imperial")
    'slide it 0.2 in toward the toe edge'
    >>> in_units("-4 to 4 mm", "imperial"), in_units("5 deg and more", "metric")
    ('-0.16 in to 0.16 in', '5° and more')
    >>> in_units("2 mm in front, 3 mm behind", "imperial")
    '0.08 in at the front, 0.12 in at the back'

    """
    told = _ANGLES.sub(r"\1°", text)
    if units == "metric":
        return told
    told = _RANGE.sub(lambda m: f"{m[1]} mm to {m[2]} mm", told)
    told = _LENGTH.sub(lambda m: quantity(float(m[1]), "mm", units), told)
    return told.replace(" in in front", " in at the front").replace(" in behind", " in at the back")


def title_of(key: str) -> str:
    """Return the words for a key such as `heel_margin_deg.back`, `back.lean_deg` or `screw_torque_nm`.

    Examples
    --------
    >>> title_of("back.lean_deg"), title_of("screw_torque_nm")
    ('back foot: forward lean', "torque of the disc's screws")

    """
    name, _, place = key.partition(".")
    if name not in MEASURES:
        side, tail = (name, f"foot.{place}") if name in SIDES else ("", key)
        words = measure_or_field(tail).words
        return f"{side} foot: {words}" if side else words
    words = MEASURES[name].words
    return f"{place.replace('.', ' foot, ')} foot: {words}" if place in {"front", "back"} else words


def named_at(key: str) -> tuple[str, str]:
    """Return the words for a key as they stand within a sentence, and its foot (empty for the board).

    Examples
    --------
    >>> named_at("back.lean_deg"), named_at("front.angle_deg")
    (('forward lean', 'back'), ('stance angle', 'front'))
    >>> named_at("overhang_split_mm.back"), named_at("screw_torque_nm")
    (('toe overhang minus heel overhang', 'back'), ("torque of the disc's screws", ''))

    """
    name, _, place = key.partition(".")
    if name in MEASURES:
        words, side = MEASURES[name].words, place if place in SIDES else ""
    else:
        side = name if name in SIDES else ""
        words = measure_or_field(f"foot.{place}" if side else key).words
    return re.split(r"[,;]", words)[0], side


def short_name(name: str) -> str:
    """Return a measure's or a field's name in words, without its unit.

    Examples
    --------
    >>> short_name("heel_contact_deg"), short_name("clamp_load_n")
    ('heel contact', 'clamp load')

    """
    for tail in _UNIT_TAILS:
        name = name.removesuffix(tail)
    return name.replace("_", " ")


_UNIT_TAILS = ("_mm", "_cm", "_deg", "_kmh", "_kg", "_nm", "_n", "_m", "_teeth")
_ROOMS = {"rider", "boots", "board", "bindings", "mount"}


def field_name(path: str) -> str:
    """Return a field of the sheet in words.

    Examples
    --------
    >>> field_name("mount.back.strap_left_mm"), field_name("rider.turnout_deg.left")
    ('back strap left', 'turnout left')

    """
    return " ".join(short_name(part) for part in path.split(".") if part not in _ROOMS)


def told_words(key: str, value: object, units: UnitSystem = "metric", options: Mapping[str, str] | None = None) -> str:
    """Return a fact told in passing, such as `front angle 15°`, `snow: hard or icy` or `leading foot right`.

    `options` are the words for each answer of a question with choices.
    """
    name = field_name(key)
    if options and str(value) in options:
        return f"{name}: {options[str(value)]}"
    row = field_rows().get(key)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{name} {format_quantity(float(value), row.unit if row else '', units)}"
    return f"{name} {str(value).replace('_', ' ')}"


def place_named(key: str) -> tuple[str, Place]:
    """Split a key into the measure's name and its place."""
    name, _, rest = key.partition(".")
    return name, next(p for p in places(MEASURES[name]) if str(p) == rest)
