"""A single number of the set-up taken as a measure, so that trees may check it and texts may tell it like one."""

from __future__ import annotations

from functools import cache

from advisor.geometry.register import MEASURES, SIDES, Measure, measure_named
from advisor.geometry.workings import number
from advisor.sheet.fields import field_rows
from advisor.sheet.paths import sheet_path
from advisor.sheet.setup import FootSetup, Setup

_UNITS = {"mm": "mm", "deg": "deg", "kmh": "km/h", "kg": "kg", "nm": "N·m"}
_TEETH = frozenset({"ladder_at", "ladder_teeth"})


def measure_or_field(name: str) -> Measure:
    """Return the measure of a name, or the set-up's number of that name (`foot.lean_deg`, `board.side_bevel_deg`).

    Raises
    ------
    UnknownName
        With the nearest measures, where the name is neither.

    """
    return MEASURES.get(name) or field_as_measure(name) or measure_named(name)


@cache
def field_as_measure(name: str) -> Measure | None:
    """Return a number of the set-up as a measure; None where the set-up has no such number.

    Parameters
    ----------
    name
        Its dotted path; `foot.` stands for the foot at hand.

    Examples
    --------
    >>> lean = field_as_measure("foot.lean_deg")
    >>> lean and (lean.unit, lean.scope, lean.words)
    ('deg', 'foot', 'forward lean')

    """
    head, _, tail = name.partition(".")
    at_foot = head == "foot"
    path = f"front.{tail}" if at_foot else name
    if head in SIDES or not _is_number(path):
        return None
    row = field_rows().get(sheet_path(path))
    words = row.words.replace("left foot", "foot") if row else tail.replace("_", " ")
    unit = _UNITS.get(name.rpartition("_")[2], "teeth" if tail in _TEETH else "")

    def at_the_foot(s: Setup, f: FootSetup) -> float:
        del s
        return float(getattr(f, tail))

    def of_the_board(s: Setup) -> float:
        return float(s.get(name))

    take = at_the_foot if at_foot else of_the_board
    return Measure(
        name, unit, "foot" if at_foot else "board", words, "derived", (name,), (), take, lambda *at: number(take(*at))
    )


def _is_number(path: str) -> bool:
    try:
        return isinstance(Setup().get(path), float | int)
    except AttributeError:
        return False
