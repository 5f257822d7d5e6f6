"""What a change of the sheet does to every measure: one call for the chat and for JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isnan

from advisor.geometry.measuring import Measurements, measure_all
from advisor.knowledge.trees import Trees
from advisor.sheet.measured import as_fields
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import LeafValue, Sheet

_SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Effect:
    """One measure that a change moves.

    `key` is the measure's name with its place; `delta` is after minus before; an unknown value is `nan`.
    """

    key: str
    before: float
    after: float
    delta: float
    unit: str


@dataclass(frozen=True)
class WhatIf:
    """The sheet before and after a change, with every measure of both."""

    sheet_before: Sheet
    sheet_after: Sheet
    known_before: Known
    known_after: Known
    before: Measurements
    after: Measurements
    effects: tuple[Effect, ...]


def what_if(sheet: Sheet, changes: Mapping[str, LeafValue], trees: Trees | None = None) -> WhatIf:
    """Change fields of a sheet and take every measure before and after.

    Parameters
    ----------
    sheet
        The sheet as it is.
    changes
        New values by the sheet's paths, such as `{"mount.back.slot_mm": 3}`, each in the field's own unit.
    trees
        The knowledge; the authors' where missing.

    Returns
    -------
    WhatIf
        With only the measures that change among its effects.

    Raises
    ------
    UnknownName
        When the sheet has no such field.

    """
    known_before = resolve(sheet, trees=trees)
    changed = as_fields(sheet, known_before.readings)
    for path, value in changes.items():
        changed = changed.with_value(path, value)
    known_after = resolve(changed, trees=trees)
    before, after = measure_all(known_before), measure_all(known_after)
    return WhatIf(sheet, changed, known_before, known_after, before, after, effects_between(before, after))


def effects_between(before: Measurements, after: Measurements) -> tuple[Effect, ...]:
    """Return the measures that differ between two takings, in the register's order."""
    found = []
    for key, taken in before.items():
        other = after[key]
        old, new = taken.value, other.value
        if isnan(old) and isnan(new):
            continue
        if not abs(new - old) <= _SAME:
            found.append(Effect(key, old, new, new - old, taken.measure.unit))
    return tuple(found)
