"""The first set-up's steps as data (`trees/first_setup.yaml`)."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from advisor.geometry.register import MEASURES
from advisor.knowledge.tables import entry_fault
from advisor.knowledge.trees import Trees, of_trees
from advisor.sheet.fields import field_rows
from advisor.sheet.sheet import Sheet
from advisor.solve.adjustments import load_adjustments

_FILE = "first_setup.yaml"
_KEYS = frozenset(
    {"sets", "spare", "alone", "before", "after", "takes", "never_out", "must", "by", "toward", "alike", "head", "says",
     "open", "mind", "instead", "source"}
)  # fmt: skip
_USUAL = "usual"

Goal = float | str | tuple[float | str, ...]
"""A number, a measure or a field that gives it, or several of which the first that is not 0 counts."""


@dataclass(frozen=True, slots=True)
class BenchStep:
    """One step at the bench.

    Parameters
    ----------
    id
        Its name.
    sets
        Adjustments whose every value is tried.
    spare
        Those of them that are moved only as far as the others don't reach.
    alone
        Whether each foot is solved by itself.
    before
        A step that is solved anew for every value of this one.
    after
        A step that is solved first, though it is made later at the bench.
    takes
        Last parts of fields that a later step decides and this one is told with.
    must
        Measures that have to be good before anything else counts.
    never_out
        Measures that may not lie beyond a close look; counts before `must`.
    by
        Measures and fields to bring into their windows.
    toward
        Where measures and fields go inside their windows, by style; others go to the middle.
    alike
        Strains that differ by less are alike, so that the fewest steps decide.
    head, says, open, mind
        What the step is; what comes of it, with places for numbers; what to say where it can't be decided; what to
        mind.
    instead
        Other words where a field of the sheet has one of some values.

    """

    id: str
    sets: tuple[str, ...]
    spare: tuple[str, ...]
    alone: bool
    before: str
    after: str
    takes: tuple[str, ...]
    never_out: tuple[str, ...]
    must: tuple[str, ...]
    by: tuple[str, ...]
    toward: Mapping[str, Mapping[str, Goal]]
    alike: float
    head: str
    says: str
    open: str
    mind: str
    instead: tuple[tuple[str, frozenset[str], Mapping[str, str]], ...] = ()

    def on(self, sheet: Sheet) -> BenchStep:
        """Return the step in the words for this sheet's gear: a groove has no rows, a step-in no straps."""
        for path, values, words in self.instead:
            if str(sheet.value(path)) in values:
                return replace(self, **words)  # type: ignore[arg-type]
        return self

    def goal(self, key: str, style: str) -> Goal | None:
        """Return where a measure or field goes for a style: a number, or a field of the board; None for the middle."""
        by_style = self.toward.get(key, {})
        return by_style.get(style, by_style.get(_USUAL))


@dataclass(frozen=True, slots=True)
class Ask:
    """A number asked for before mounting, unless it or one of `instead` is on the sheet."""

    path: str
    instead: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BoardLength:
    """Lengths of board for riders lighter than a weight [cm, kg]."""

    below_kg: float
    low_cm: float
    high_cm: float


@dataclass(frozen=True, slots=True)
class BenchOrder:
    """Where a bare mount begins, the steps in the order of the bench, and what to say at the head and at the end."""

    start: Mapping[str, str | float | bool]
    asks: tuple[Ask, ...]
    stand_in: Mapping[str, float]
    lengths: tuple[BoardLength, ...]
    length_spare_cm: float
    first_said: Mapping[str, str]
    steps: Mapping[str, BenchStep]
    hand_over: str

    def solving(self) -> Iterator[BenchStep]:
        """Yield the steps in the order in which they are solved: each behind the one that it comes after."""
        waiting = list(self.steps.values())
        done: set[str] = set()
        while waiting:
            step = next(one for one in waiting if not one.after or one.after in done)
            waiting.remove(step)
            done.add(step.id)
            yield step


@of_trees
def load_bench_order(trees: Trees) -> BenchOrder:
    """Return the steps of the first set-up.

    Raises
    ------
    KnowledgeError
        When the file is not of its shape, or names an adjustment, field or measure that does not exist.

    """
    table = trees.table(_FILE)
    start = {}
    for path, value in _mapping("start", table.get("start")).items():
        for foot in ("front", "back"):
            own = path.replace("{foot}", foot)
            if own not in field_rows() or (isinstance(value, str) and "." in value and value not in field_rows()):
                raise entry_fault(_FILE, "start", f"{path}: {value} names a field that the sheet does not have")
            start[own] = value
    adjustments = load_adjustments(trees)
    written = _mapping("steps", table.get("steps"))
    steps = {name: _step(name, _mapping(name, raw), adjustments) for name, raw in written.items()}
    for step in steps.values():
        if step.before and (step.before not in steps or not steps[step.before].alone or step.alone):
            raise entry_fault(_FILE, step.id, f"before: expected a step that is alone, found {step.before}")
        if step.after and step.after not in steps:
            raise entry_fault(_FILE, step.id, f"after: expected a step, found {step.after}")
    hand_over = _mapping("hand_over", table.get("hand_over"))
    asks = tuple(Ask(_field("asks", path), tuple(instead)) for path, instead in _mapping("asks", table["asks"]).items())
    stand_in = {_field("stand_in", path): float(value) for path, value in table["stand_in"].items()}
    board = _mapping("board_length", table.get("board_length"))
    lengths = tuple(BoardLength(float(below), *map(float, ends)) for below, ends in board["below_kg"].items())
    said = {name: str(words) for name, words in _mapping("first_said", table.get("first_said")).items()}
    return BenchOrder(
        start, asks, stand_in, lengths, float(board["spare_cm"]), said, steps, str(hand_over.get("says", ""))
    )


def _field(name: str, path: str) -> str:
    if path not in field_rows():
        raise entry_fault(_FILE, name, f"{path} names a field that the sheet does not have")
    return path


def _mapping(name: str, raw: Any) -> Mapping[str, Any]:
    if not isinstance(raw, dict):
        raise entry_fault(_FILE, name, "expected a mapping")
    return raw


def _step(name: str, entry: Mapping[str, Any], adjustments: Container[str]) -> BenchStep:
    strange = sorted(set(entry) - _KEYS)
    if strange:
        raise entry_fault(_FILE, name, f"does not know {strange[0]}; it knows {', '.join(sorted(_KEYS))}")
    sets, spare, takes, never_out, must, by = (
        tuple(entry.get(key, ())) for key in ("sets", "spare", "takes", "never_out", "must", "by")
    )
    toward = {key: _by_style(name, raw) for key, raw in entry.get("toward", {}).items()}
    for adjustment in (*sets, *spare):
        if adjustment not in adjustments:
            raise entry_fault(_FILE, name, f"sets {adjustment}, which is no adjustment")
    for measure in (*never_out, *must, *by, *toward):
        if measure not in MEASURES and f"mount.{measure}" not in field_rows():
            raise entry_fault(_FILE, name, f"goes by {measure}, which is neither a measure nor a field of the mount")
    if not sets or not by:
        raise entry_fault(_FILE, name, "expected sets and by")
    for key in ("head", "says", "open", "mind", "source"):
        if not isinstance(entry.get(key), str):
            raise entry_fault(_FILE, name, f"expected {key} as text")
    return BenchStep(
        name,
        (*sets, *spare),
        spare,
        bool(entry.get("alone", False)),
        str(entry.get("before", "")),
        str(entry.get("after", "")),
        takes,
        never_out,
        must,
        by,
        toward,
        float(entry.get("alike", 0.0)),
        entry["head"],
        entry["says"],
        entry["open"],
        entry["mind"],
        tuple(
            (_field(name, one["field"]), frozenset(map(str, one["is"])), _words(name, one))
            for one in entry.get("instead", ())
        ),
    )


def _words(name: str, raw: Mapping[str, Any]) -> dict[str, str]:
    words = {key: str(text) for key, text in raw.items() if key not in {"field", "is"}}
    strange = sorted(set(words) - {"head", "says", "open", "mind"})
    if strange:
        raise entry_fault(_FILE, name, f"instead: expected head, says, open or mind, found {strange[0]}")
    return words


def _by_style(name: str, raw: Any) -> dict[str, Goal]:
    if isinstance(raw, int | float):
        return {_USUAL: float(raw)}
    found: dict[str, Goal] = {}
    for style, goal in _mapping(name, raw).items():
        found[style] = tuple(goal) if isinstance(goal, list) else goal if isinstance(goal, str) else float(goal)
    return found
