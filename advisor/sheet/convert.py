"""One leaf of a sheet: take its object form apart and bring its value to the field's own unit and kind."""

from __future__ import annotations

from typing import Any, Final, NamedTuple, get_args

from advisor.plain_text import clean
from advisor.sheet.readings import Origin
from advisor.sheet.units import parse_quantity

OBJECT_KEYS: Final = ("value", "from", "plus_minus")
ORIGINS: Final[tuple[Origin, ...]] = get_args(Origin)
_MOST = 1e6
_LONGEST_LABEL = 80
_NUMBERS = frozenset({"number", "integer"})


class LeafError(ValueError):
    """A leaf holds something that its field cannot take; the message says what was expected."""


class Given(NamedTuple):
    """What a sheet says of one field: the raw value, where it came from, and its ± in the field's unit."""

    value: Any
    origin: Origin = "told"
    plus_minus: float | None = None


def unwrap(raw: Any, kind: str, unit: str) -> Given:
    """Return what a leaf says, plain or as `{value: 302, from: measured, plus_minus: 2}`.

    Raises
    ------
    LeafError
        When the object form is not of that shape.

    """
    if not isinstance(raw, dict):
        return Given(raw)
    strange = [key for key in raw if key not in OBJECT_KEYS]
    if strange:
        raise LeafError(f"expected a plain value or {{value, from, plus_minus}}, found the key {str(strange[0])!r}")
    if raw.get("value") is None:
        raise LeafError("expected a value in {value, from, plus_minus}")
    origin = raw.get("from", "told")
    if origin not in ORIGINS:
        raise LeafError(f"expected from: one of {', '.join(ORIGINS)}, found {str(origin)!r}")
    return Given(raw["value"], origin, _plus_minus(raw.get("plus_minus"), kind, unit))


def _plus_minus(raw: Any, kind: str, unit: str) -> float | None:
    if raw is None:
        return None
    if kind not in _NUMBERS:
        raise LeafError("expected no plus_minus, for this field holds no number")
    value = float("nan") if isinstance(raw, bool) or not isinstance(raw, int | float | str) else raw
    value = parse_quantity(value, unit)
    if not 0 <= value < _MOST:
        raise LeafError(f"expected plus_minus as a number of 0 or more, found {str(raw)!r}")
    return value


def convert(raw: Any, kind: str, unit: str) -> Any:
    """Return a leaf's raw value in its field's own unit and kind; limits and choices are checked elsewhere.

    Parameters
    ----------
    raw
        Number, text, truth value or list, as the document has it.
    kind
        `number`, `integer`, `yes_no`, `choice`, `size` or `steps`.
    unit
        The field's unit, `""` for counts and words.

    Raises
    ------
    LeafError, UnitError
        When the value cannot be of that kind.

    Examples
    --------
    >>> convert("10 in", "number", "mm"), convert("eu 42", "size", "")
    (254.0, 'EU 42')

    """
    if kind in _NUMBERS:
        if isinstance(raw, bool) or not isinstance(raw, int | float | str):
            raise LeafError("expected a whole number" if kind == "integer" else "expected a number")
        value = parse_quantity(raw, unit)
        if kind == "number" or isinstance(value, int):
            return value
        if value != value or value in (float("inf"), float("-inf")) or not value.is_integer():
            raise LeafError("expected a whole number")
        return int(value)
    if kind == "yes_no":
        if not isinstance(raw, bool):
            raise LeafError("expected true or false")
        return raw
    if kind == "steps":
        return _steps(raw)
    if kind == "text":
        return _label(raw)
    if kind == "size":
        from advisor.sheet.boot_size import parse_boot_size

        return parse_boot_size(str(raw)).words
    if not isinstance(raw, str):
        raise LeafError("expected a word")
    return raw


def _label(raw: Any) -> str:
    """Return a label as text: a shop may call a board by a mere number."""
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        raise LeafError("expected a label")
    words = " ".join(clean(str(raw), _LONGEST_LABEL + 1).split())
    if not words or len(words) > _LONGEST_LABEL:
        raise LeafError(f"expected a label of 1 to {_LONGEST_LABEL} characters")
    return words


def _steps(raw: Any) -> tuple[int, int]:
    if not isinstance(raw, list | tuple) or len(raw) != 2:
        raise LeafError("expected two whole numbers, first and last step, such as [-2, 2]")
    if any(isinstance(step, bool) or not isinstance(step, int) for step in raw):
        raise LeafError("expected two whole numbers, first and last step, such as [-2, 2]")
    first, last = raw
    if not -20 <= first <= last <= 20:
        raise LeafError("expected the first step before the last, both within -20 and 20")
    return first, last
