"""The first set-up's steps as data (`trees/first_setup.yaml`)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from advisor.geometry.register import MEASURES
from advisor.knowledge.tables import entry_fault, load_table
from advisor.sheet.fields import field_rows
from advisor.solve.adjustments import load_adjustments

__all__ = ["BenchOrder", "BenchStep", "load_bench_order"]

_FILE = "first_setup.yaml"
_KEYS = frozenset({"sets", "alone", "before", "never_out", "must", "by", "alike", "says", "mind", "source"})


@dataclass(frozen=True, slots=True)
class BenchStep:
    """One step at the bench.

    Parameters
    ----------
    id
        Its name.
    sets
        Adjustments whose every value is tried.
    alone
        Whether each foot is solved by itself.
    before
        A step that is solved anew for every value of this one.
    must
        Measures that have to be good before anything else counts.
    never_out
        Measures that may not lie beyond a close look; counts before `must`.
    by
        Measures and fields to bring into their windows.
    alike
        0 to stay near the start once in the windows; else to go to their middles, strains that differ by less alike.
    says, mind
        What to do, with places for numbers, and what to mind.

    """

    id: str
    sets: tuple[str, ...]
    alone: bool
    before: str
    never_out: tuple[str, ...]
    must: tuple[str, ...]
    by: tuple[str, ...]
    alike: float
    says: str
    mind: str


@dataclass(frozen=True, slots=True)
class BenchOrder:
    """Where a bare mount begins, the steps in order, and what to say at the end."""

    start: Mapping[str, str | float | bool]
    steps: Mapping[str, BenchStep]
    hand_over: str


@cache
def load_bench_order() -> BenchOrder:
    """Return the steps of the first set-up.

    Raises
    ------
    KnowledgeError
        When the file is not of its shape, or names an adjustment, field or measure that does not exist.

    """
    table = load_table(_FILE)
    start = {}
    for path, value in _mapping("start", table.get("start")).items():
        for foot in ("front", "back"):
            own = path.replace("{foot}", foot)
            if own not in field_rows() or (isinstance(value, str) and "." in value and value not in field_rows()):
                raise entry_fault(_FILE, "start", f"{path}: {value} names a field that the sheet does not have")
            start[own] = value
    steps = {name: _step(name, _mapping(name, raw)) for name, raw in _mapping("steps", table.get("steps")).items()}
    for step in steps.values():
        if step.before and (step.before not in steps or not steps[step.before].alone or step.alone):
            raise entry_fault(_FILE, step.id, f"before: expected a step that is alone, found {step.before}")
    hand_over = _mapping("hand_over", table.get("hand_over"))
    return BenchOrder(start, steps, str(hand_over.get("says", "")))


def _mapping(name: str, raw: Any) -> Mapping[str, Any]:
    if not isinstance(raw, dict):
        raise entry_fault(_FILE, name, "expected a mapping")
    return raw


def _step(name: str, entry: Mapping[str, Any]) -> BenchStep:
    strange = sorted(set(entry) - _KEYS)
    if strange:
        raise entry_fault(_FILE, name, f"does not know {strange[0]}; it knows {', '.join(sorted(_KEYS))}")
    sets, never_out, must, by = (tuple(entry.get(key, ())) for key in ("sets", "never_out", "must", "by"))
    for adjustment in sets:
        if adjustment not in load_adjustments():
            raise entry_fault(_FILE, name, f"sets {adjustment}, which is no adjustment")
    for measure in (*never_out, *must, *by):
        if measure not in MEASURES and f"mount.{measure}" not in field_rows():
            raise entry_fault(_FILE, name, f"goes by {measure}, which is neither a measure nor a field of the mount")
    if not sets or not by:
        raise entry_fault(_FILE, name, "expected sets and by")
    for key in ("says", "mind", "source"):
        if not isinstance(entry.get(key), str):
            raise entry_fault(_FILE, name, f"expected {key} as text")
    return BenchStep(
        name,
        sets,
        bool(entry.get("alone", False)),
        str(entry.get("before", "")),
        never_out,
        must,
        by,
        bool(entry.get("alike", False)),
        entry["says"],
        entry["mind"],
    )
