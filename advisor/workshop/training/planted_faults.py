"""Faults as data (`trees/training/faults.yaml`, `hidden_faults.yaml`), and how one is planted into a sound set-up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from random import Random
from typing import Any

from advisor.knowledge.tables import entry_fault
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import Leaf, LeafValue, Sheet
from advisor.workshop.training.tables import drawn, training_table
from advisor.workshop.training.truth_measures import Truth

_FILES = ("faults", "hidden_faults")
_MOST_STEPS = 80
_TINY = 1e-9


@dataclass(frozen=True)
class Fault:
    """One fault that can be planted; the keys of its data stand at the head of `trees/training/faults.yaml`."""

    id: str
    words: str
    skill: str
    foot: str
    turn: tuple[Mapping[str, float], ...]
    until: Mapping[str, Any]
    facts: Mapping[str, str]
    complaints: Mapping[str, Mapping[str, Any]]
    right: tuple[Mapping[str, Any], ...]
    named_by: frozenset[str]
    referrals: frozenset[str]
    fixable: bool

    def right_for(self, complaint: str) -> tuple[Mapping[str, Any], ...]:
        """Return what shows that the fault is mended, for one complaint."""
        own = self.complaints.get(complaint, {}).get("right")
        return tuple(own) if own is not None else self.right


@dataclass(frozen=True)
class Planted:
    """A fault in a set-up.

    Parameters
    ----------
    fault
        Which.
    foot
        At which foot, where it is at one.
    sheet
        The set-up with it.

    """

    fault: Fault
    foot: FootSide | None
    sheet: Sheet


@cache
def load_faults() -> Mapping[str, Fault]:
    """Return every fault.

    Raises
    ------
    KnowledgeError
        When one is not written as it must be.

    """
    found = {}
    for name in _FILES:
        rows = training_table(name).get("faults") or {}
        for key, raw in rows.items():
            found[str(key)] = _fault(f"training/{name}.yaml", str(key), raw)
    return found


def _fault(file: str, key: str, raw: Any) -> Fault:
    if not isinstance(raw, dict) or not isinstance(raw.get("complaints"), dict) or not raw["complaints"]:
        raise entry_fault(file, key, "expected words, complaints and what names it")
    for complaint, told in raw["complaints"].items():
        if not isinstance(told, dict) or not isinstance(told.get("weight"), int | float):
            raise entry_fault(file, key, f"complaint {complaint}: expected a weight")
    turn = tuple(raw.get("turn") or ())
    if bool(turn) != ("until" in raw):
        raise entry_fault(file, key, "turn and until belong together")
    if not turn and not raw.get("facts"):
        raise entry_fault(file, key, "expected either turn and until, or facts")
    return Fault(
        key, str(raw.get("words", key)), str(raw.get("skill", "")), str(raw.get("foot", "none")), turn,
        raw.get("until") or {}, {str(k): str(v) for k, v in (raw.get("facts") or {}).items()}, raw["complaints"],
        tuple(raw.get("right") or ()), frozenset(raw.get("named_by") or ()), frozenset(raw.get("referrals") or ()),
        bool(raw.get("fixable", bool(turn))),
    )  # fmt: skip


def plant(fault: Fault, sheet: Sheet, tilt_deg: float, random: Random) -> Planted | None:
    """Return a set-up with a fault in it; None where the travel of its parts does not let it become noticeable."""
    foot: FootSide | None = None
    if fault.foot == "each":
        foot = "front" if random.random() < 0.5 else "back"
    elif fault.foot in {"front", "back"}:
        foot = "front" if fault.foot == "front" else "back"
    if not fault.turn:
        return Planted(fault, foot, sheet)
    measure, at = str(fault.until["measure"]), str(fault.until["at"])
    least, most = fault.until["reach"]
    upward = most > least
    goal = drawn(random, [min(least, most), max(least, most)])

    def beyond(value: float, end: float) -> bool:
        return value >= end - _TINY if upward else value <= end + _TINY

    best: Sheet | None = None
    now = sheet
    value = Truth(now, tilt_deg).value(measure, at, foot)
    for ways in fault.turn:
        moves = {path.format(foot=foot or ""): way for path, way in ways.items()}
        moves = {path: way for path, way in moves.items() if path in now.leaves}
        for _ in range(_MOST_STEPS):
            if beyond(value, goal):
                break
            stepped = _stepped(now, moves)
            if stepped is None:
                break
            after = Truth(stepped, tilt_deg).value(measure, at, foot)
            if not (beyond(after, least) or beyond(after, value)):
                break
            now, value = stepped, after
            if beyond(value, least):
                best = now
    return Planted(fault, foot, best) if best is not None else None


def _stepped(sheet: Sheet, moves: Mapping[str, float]) -> Sheet | None:
    """Return a sheet with each field one step on; None where one is at its end."""
    leaves = dict(sheet.leaves)
    for path, way in moves.items():
        value = float(str(leaves[path].value))
        after = round(value + way * _step(sheet, path), 3)
        low, high = _ends(sheet, path)
        if not low - _TINY <= after <= high + _TINY:
            return None
        new: LeafValue = round(after) if path.rpartition(".")[2] in {"row", "heelcup", "toe_ramp"} else after
        leaves[path] = Leaf(new)
    return Sheet(sheet.name, leaves) if moves else None


def _step(sheet: Sheet, path: str) -> float:
    """Return one step of a field: a notch, a step of the highback, or 1."""
    named = {"angle_deg": "bindings.notch_deg", "lean_deg": "bindings.lean_deg.step"}.get(path.rpartition(".")[2])
    return float(str(sheet.value(named))) if named else 1.0


def _ends(sheet: Sheet, path: str) -> tuple[float, float]:
    """Return how far a field goes, as the parts on the sheet have it."""
    name = path.rpartition(".")[2]
    if name == "slot_mm":
        travel = float(str(sheet.value("bindings.slot_travel_mm")))
        return -travel, travel
    if name == "row":
        rows = float(str(sheet.value("board.rows_each_way")))
        return -rows, rows
    if name in {"heelcup", "toe_ramp"}:
        ends = sheet.value(f"bindings.{name}_steps")
        assert isinstance(ends, tuple)
        return float(ends[0]), float(ends[1])
    if name == "lean_deg":
        return tuple(float(str(sheet.value(f"bindings.lean_deg.{end}"))) for end in ("min", "max"))  # type: ignore[return-value]
    if name == "ladder_at":
        return 0.0, float(str(sheet.value("bindings.ladder_teeth")))
    return _PLAIN_ENDS.get(path, _PLAIN_ENDS.get(name, (0.0, 1000.0)))


_PLAIN_ENDS = {
    "mount.front.angle_deg": (0.0, 45.0),
    "mount.back.angle_deg": (-27.0, 36.0),
    "track_mm": (-60.0, 60.0),
    "highback_turn_deg": (-25.0, 25.0),
    "base_bevel_deg": (0.0, 3.0),
}
"""Ends that no field of the sheet names: geometry's own limits of a sane set-up."""
