"""How much at a time (`trees/limits.yaml`): what one visit may change, kept by every search for advice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import copysign, inf
from typing import Any, Literal

from advisor.knowledge.tables import entry_fault, number_of
from advisor.knowledge.trees import Trees, of_trees
from advisor.sheet.setup import FootSide
from advisor.solve.adjustments import load_adjustments
from advisor.solve.options import Lever, Option, lever_key

_FILE = "limits.yaml"
_NUMBERS = ("usual", "usual_steps", "most", "most_steps", "goal", "goal_steps", "least", "least_steps")
_KEYS = frozenset({*_NUMBERS, "across_zero"})
_EXACT = 1e-6

Reach = Literal["usual", "most", "goal"]
"""`usual`: today's step. `most`: the most that today may be. `goal`: how far the goal may lie."""


@dataclass(frozen=True, slots=True)
class Limit:
    """What one visit may change by one adjustment, in the unit of its `by` and in its steps; 0 and infinite: no limit.

    Parameters
    ----------
    usual, most, goal
        How far at most: (by, steps).
    least
        Below this nothing is moved: (by, steps).
    across_zero
        Whether it may go from one side of 0 to the other in one visit.

    """

    usual: tuple[float, float] = (inf, inf)
    most: tuple[float, float] = (inf, inf)
    goal: tuple[float, float] = (inf, inf)
    least: tuple[float, float] = (0.0, 0.0)
    across_zero: bool = True

    def at(self, reach: Reach) -> tuple[float, float]:
        """Return how far a reach goes."""
        return self.usual if reach == "usual" else self.most if reach == "most" else self.goal


_FREE = Limit()


@of_trees
def load_limits(trees: Trees) -> Mapping[str, Limit]:
    """Return every limit by its adjustment, or by adjustment and unit: `stance_width.mm`.

    Raises
    ------
    KnowledgeError
        When the file is not of its shape, or names no adjustment.

    """
    found = {}
    for name, entry in _part(trees, "at_a_time", dict).items():
        if name.partition(".")[0] not in load_adjustments(trees):
            raise entry_fault(_FILE, name, "is no adjustment of adjustments.yaml")
        if not isinstance(entry, dict) or not _KEYS.issuperset(entry):
            raise entry_fault(_FILE, name, f"expected {', '.join(sorted(_KEYS))}")
        given = {key: number_of(_FILE, name, key, entry[key]) for key in _NUMBERS if key in entry}

        def pair(key: str, default: float, given: dict[str, float] = given) -> tuple[float, float]:
            return given.get(key, default), given.get(f"{key}_steps", default)

        across = entry.get("across_zero", "yes") not in {"no", False}
        found[name] = Limit(pair("usual", inf), pair("most", inf), pair("goal", inf), pair("least", 0.0), across)
    return found


@of_trees
def only_shown(trees: Trees) -> frozenset[str]:
    """Return the adjustments that are made only where an answer or a look has shown the cause."""
    names = _part(trees, "only_shown", list)
    for name in names:
        if name not in load_adjustments(trees):
            raise entry_fault(_FILE, "only_shown", f"{name} is no adjustment of adjustments.yaml")
    return frozenset(names)


@of_trees
def slack_mm(trees: Trees) -> float:
    """Return how far off the middle a boot may stay with the disc loose [mm]."""
    return number_of(_FILE, "centre_left_mm", "a number", trees.table(_FILE).get("centre_left_mm"))


@of_trees
def worth_share(trees: Trees) -> float:
    """Return the share of what is missing that a step must gain where nothing does the whole."""
    return number_of(_FILE, "worth_share", "a number", trees.table(_FILE).get("worth_share"))


def limit_of(lever: Lever, trees: Trees) -> Limit:
    """Return the limit of an adjustment as it is offered on this sheet."""
    limits = load_limits(trees)
    return limits.get(f"{lever.adjustment.id}.{lever.way.unit}") or limits.get(lever.adjustment.id) or _FREE


@dataclass(frozen=True, slots=True)
class Scope:
    """What a search for one visit may touch.

    Parameters
    ----------
    reach
        How far to go. Only today's reaches keep to one side of 0.
    untouched
        Feet that the complaint is not about: nothing is moved there that does not move both.

    """

    reach: Reach
    untouched: frozenset[FootSide] = frozenset()

    def kept(self, levers: Iterable[Lever], trees: Trees) -> tuple[Lever, ...]:
        """Return adjustments with the values that one visit may set, those left with none left out."""
        return _within((lever for lever in levers if lever.foot not in self.untouched), self.reach, trees)


def _within(levers: Iterable[Lever], reach: Reach, trees: Trees) -> tuple[Lever, ...]:
    found = []
    for lever in levers:
        limit = limit_of(lever, trees)
        if limit is _FREE:
            found.append(lever)
            continue
        options = tuple(option for option in lever.options if _allowed(lever, option, limit, reach))
        if options:
            found.append(lever if len(options) == len(lever.options) else replace(lever, options=options))
    return tuple(found)


def allows(lever: Lever, option: Option, reach: Reach, trees: Trees) -> bool:
    """Return whether a value of an adjustment lies within a reach."""
    limit = limit_of(lever, trees)
    return limit is _FREE or _allowed(lever, option, limit, reach)


def _allowed(lever: Lever, option: Option, limit: Limit, reach: Reach) -> bool:
    by, steps = abs(option.by), max(option.steps - len(lever.way.sets), 0.0)
    most, most_steps = limit.at(reach)
    one_step = steps <= 1 + _EXACT
    if not one_step and (by > most + _EXACT or steps > most_steps + _EXACT):
        return False
    if reach != "goal" and by > limit.most[0] + _EXACT:
        return False
    if lever.way.start is None and (by < limit.least[0] - _EXACT or steps < limit.least[1] - _EXACT):
        return False
    return limit.across_zero or reach == "goal" or not _crosses(lever, option)


def _crosses(lever: Lever, option: Option) -> bool:
    for path, value in option.sets:
        before = lever.before.get(path)
        if path in lever_key(lever) and isinstance(before, int | float) and isinstance(value, int | float):
            before, value = float(before), float(value)
            if before and value and copysign(1, before) != copysign(1, value):
                return True
    return False


def _part(trees: Trees, key: str, kind: type) -> Any:
    part = trees.table(_FILE).get(key)
    if not isinstance(part, kind):
        raise entry_fault(_FILE, key, f"expected a {'list' if kind is list else 'mapping'}")
    return part
