"""Units in and out: what a tech writes (`27.5 in`, `5'10"`, `168 lb`) to the field's own unit, and back to words.

The factors are the exact definitions of the international inch, pound and mile.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Literal

UnitSystem = Literal["metric", "imperial"]

_LENGTHS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
_MASSES = {"kg": 1.0, "g": 0.001, "lb": 0.45359237}
_SPEEDS = {"km/h": 1.0, "mph": 1.609344, "m/s": 3.6}
_ANGLES = {"deg": 1.0}
_TORQUES = {"N·m": 1.0, "in·lb": 0.1129848290276167, "ft·lb": 1.3558179483314004}

FACTORS: Mapping[str, Mapping[str, float]] = {
    unit: family for family in (_LENGTHS, _MASSES, _SPEEDS, _ANGLES, _TORQUES) for unit in family
}
"""For each unit, its whole family with the factor of each member to the family's base unit."""

_SPELLINGS = {
    "mm": "mm millimetre millimetres millimeter millimeters",
    "cm": "cm centimetre centimetres centimeter centimeters",
    "m": "m metre metres meter meters",
    "in": 'in inch inches ins "',
    "ft": "ft foot feet '",
    "kg": "kg kgs kilo kilos kilogram kilograms",
    "g": "g gram grams",
    "lb": "lb lbs pound pounds",
    "km/h": "km/h kmh kph kmph",
    "mph": "mph mi/h",
    "m/s": "m/s mps",
    "deg": "deg degs degree degrees °",
    "N·m": "n·m nm n.m n-m n*m",
    "in·lb": "in·lb in-lb in-lbs inlb inlbs in.lb lb-in lbf·in in-lbf",
    "ft·lb": "ft·lb ft-lb ft-lbs ftlb ftlbs ft.lb lb-ft lbf·ft ft-lbf",
}
_UNIT_OF = {spelling: unit for unit, words in _SPELLINGS.items() for spelling in words.split()}
_UNIT_WORDS = {"in": "inches", "ft": "feet", "m": "metres", "deg": "degrees", "lb": "pounds"}
_MARKS = str.maketrans({"′": "'", "’": "'", "″": '"', "”": '"', "−": "-", "–": "-", "º": "°", "\u00a0": " "})

_PLAIN = r"\d+(?:\.\d*)?|\.\d+"
_NUMBER = rf"(?:\d+\s+\d+\s*/\s*\d+|\d+\s*/\s*\d+|{_PLAIN})"
_INCH_MM = 25.4


@cache
def _patterns() -> tuple[re.Pattern[str], re.Pattern[str], re.Pattern[str]]:
    """Return the patterns of a number with its unit, of feet with inches, and of a decimal comma."""
    return (
        re.compile(rf"([+-]?)\s*({_NUMBER})\s*([^\d\s,].*)?", re.ASCII),
        re.compile(rf"({_PLAIN})\s*(?:'|ft|foot|feet)\s*({_NUMBER})\s*(?:\"|''|in|inch|inches)?", re.ASCII),
        re.compile(r"[+-]?\d+,\d+"),
    )


class UnitError(ValueError):
    """A text is not a quantity of the wanted kind; the message says what was expected and what to do."""


def unit_words(unit: str) -> str:
    """Return a unit's name as said aloud: `in` is inches, `m` is metres."""
    return _UNIT_WORDS.get(unit, unit)


def _number(text: str) -> float:
    front, slash, under = text.partition("/")
    if not slash:
        return float(text)
    if float(under) == 0:
        raise UnitError(f"{text!r} divides by zero")
    *whole, over = front.split()
    return float(whole[0] if whole else 0) + float(over) / float(under)


def _tidy(value: float) -> float:
    return round(value, 9)


def parse_quantity(raw: float | str, unit: str) -> float:
    """Return a quantity in `unit`, the field's own.

    Parameters
    ----------
    raw
        A plain number is taken as already in `unit`. A text may carry any unit of the same family; without one
        it too is in `unit`. Fractions (`10 5/8 in`) and feet with inches (`5'10"`) are understood.
    unit
        One of the keys of `FACTORS`, or `""` for a bare count.

    Raises
    ------
    UnitError
        When the text is no quantity of that family.

    Examples
    --------
    >>> parse_quantity("27.5 in", "mm")
    698.5
    >>> parse_quantity("5'10\\"", "cm")
    177.8
    >>> parse_quantity("+15°", "deg")
    15.0

    """
    if not isinstance(raw, str):
        return raw
    text = raw.translate(_MARKS).strip()
    family = FACTORS.get(unit, {})
    if len(text) > 40:
        raise UnitError("the text is too long for a number")
    one, feet_inches, _ = _patterns()
    feet = feet_inches.fullmatch(text.lower()) if "ft" in family else None
    if feet:
        return _tidy((float(feet[1]) * 12 + _number(feet[2])) * _INCH_MM / family[unit])
    match = one.fullmatch(text)
    if not match:
        raise UnitError(_not_a_number(text, unit))
    value = _number(match[2]) * (-1 if match[1] == "-" else 1)
    if not match[3]:
        return value
    found = _UNIT_OF.get(match[3].strip().lower().rstrip("."))
    if found is None or found not in family:
        wanted = "a plain number" if not family else "a number in " + ", ".join(family)
        raise UnitError(f"expected {wanted}")
    return value if found == unit else _tidy(value * family[found] / family[unit])


def _not_a_number(text: str, unit: str) -> str:
    wanted = f"a number in {unit_words(unit)}" if unit else "a plain number"
    if _patterns()[2].match(text):
        return f"expected {wanted} with a decimal point, such as {text.split()[0].replace(',', '.', 1)}"
    return f"expected {wanted}"


def parse_length_mm(raw: float | str, unit: str = "mm") -> float:
    """Return a length in mm; a number without a unit is in `unit`.

    Examples
    --------
    >>> parse_length_mm("10 5/8 in")
    269.875
    >>> parse_length_mm("178 cm"), parse_length_mm(302)
    (1780.0, 302.0)

    """
    return _tidy(float(parse_quantity(raw, unit)) * _LENGTHS[unit])


def _trim(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def format_length(mm: float, system: UnitSystem = "metric", *, decimals: int = 1, fraction: int = 0) -> str:
    """Return a length in words.

    Parameters
    ----------
    mm
        Length [mm].
    system
        `metric` gives mm; `imperial` gives inches, to 0.01 in or to 1/`fraction` in.
    decimals
        Most decimals of a metric length.
    fraction
        The finest fraction of an inch to use, such as 16; 0 for decimals.

    Examples
    --------
    >>> format_length(302), format_length(302, "imperial"), format_length(302, "imperial", fraction=16)
    ('302 mm', '11.89 in', '11 7/8 in')

    """
    if system == "metric":
        return f"{_trim(mm, decimals)} mm"
    inches = mm / _INCH_MM
    if not fraction:
        return f"{_trim(inches, 2)} in"
    parts = round(abs(inches) * fraction)
    whole, over, under = parts // fraction, parts % fraction, fraction
    while over and over % 2 == 0 and under % 2 == 0:
        over, under = over // 2, under // 2
    body = f"{whole}" if not over else f"{over}/{under}" if not whole else f"{whole} {over}/{under}"
    return f"{'-' if inches < 0 and parts else ''}{body} in"


def format_height(mm: float, system: UnitSystem = "metric") -> str:
    """Return a body height: whole cm, or feet and inches.

    Examples
    --------
    >>> format_height(1780), format_height(1780, "imperial")
    ('178 cm', '5\\'10"')

    """
    if system == "metric":
        return f"{_trim(mm / 10, 1)} cm"
    feet, inches = divmod(round(mm / _INCH_MM), 12)
    return f"{feet}'{inches}\""


_IMPERIAL = {"cm": "in", "mm": "in", "m": "ft", "kg": "lb", "km/h": "mph", "N·m": "in·lb"}


def format_quantity(value: float, unit: str, system: UnitSystem = "metric", *, decimals: int = 1) -> str:
    """Return a number with its unit, turned to imperial when asked; angles stay degrees, counts stay bare.

    Examples
    --------
    >>> format_quantity(28, "km/h"), format_quantity(28, "km/h", "imperial")
    ('28 km/h', '17.4 mph')
    >>> format_quantity(15, "deg", "imperial")
    '15°'

    """
    if unit == "deg":
        return f"{_trim(value, decimals)}°"
    if system == "imperial" and unit in _IMPERIAL:
        other = _IMPERIAL[unit]
        return f"{_trim(value * FACTORS[unit][unit] / FACTORS[unit][other], 2 if other == 'in' else 1)} {other}"
    return f"{_trim(value, decimals)} {unit}".rstrip()
