"""What the search works with: aims on a trial, combinations with their worth, and how a point is judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isnan

from advisor.solve.options import Lever
from advisor.solve.trial import Meter
from advisor.solve.windows import Interval

Pick = tuple[int, int]
"""An adjustment and its value, by their places in the trial's list and the adjustment's options."""


@dataclass(frozen=True, slots=True)
class Goal:
    """An aim on a trial: its meter, and the range to reach."""

    meter: Meter
    interval: Interval

    def short(self, value: float) -> float:
        """Return how far a value misses, in parts of the measure's own scale; infinite where it is not known."""
        distance = self.interval.distance(value)
        if isnan(distance):
            return inf
        return distance / self.meter.window.scale if self.meter.window else distance


@dataclass(frozen=True, slots=True)
class Found:
    """One combination with values.

    `short` says by how much the aims are missed, `spoiled` which measures are worse, `left` its side effect.
    """

    picks: tuple[Pick, ...]
    turns: float
    minutes: float
    left: float
    steps: float
    spoiled: tuple[str, ...] = ()
    short: float = 0.0

    @property
    def rank(self) -> tuple[float, int, float, float, float, float, tuple[Pick, ...]]:
        """Return what orders combinations of any kind, the best first."""
        return (self.short, len(self.spoiled), *self.order)

    @property
    def order(self) -> tuple[float, float, float, float, tuple[Pick, ...]]:
        """Return what orders answers of one price, the best first."""
        return (self.turns, self.minutes, self.left, self.steps, self.picks)


def serves(lever: Lever, meter: Meter) -> bool:
    """Return whether a tech reaches for an adjustment to put a measure right."""
    same_foot = lever.foot is None or meter.place.side is None or lever.foot == meter.place.side
    return same_foot and (meter.kind in lever.way.serves or meter.key in lever.way.serves)


def last_mover(mask: int, masks: Sequence[int]) -> int:
    """Return the last place among masks that meets a mask; -1 where none does."""
    for depth in range(len(masks) - 1, -1, -1):
        if mask & masks[depth]:
            return depth
    return -1


def look(
    guards: list[Meter], now: list[object], mendable: frozenset[str], price: int
) -> tuple[int, tuple[Meter, ...]] | None:
    """Return how many windows are spoiled beyond repair, and all that are spoiled.

    None as soon as they are more than a price allows, or something is ruined beyond repair; what it was is looked at
    first the next time.
    """
    lost = 0
    worse: tuple[Meter, ...] = ()
    for place, meter in enumerate(guards):
        state = meter.state(now)
        if state:
            if meter.key not in mendable:
                lost += 1
                if lost > price or state > 1:
                    if place:
                        guards.insert(0, guards.pop(place))
                    return None
            worse = (*worse, meter)
    return lost, worse


def any_ruined(guards: list[Meter], now: list[object]) -> bool:
    """Return whether something is ruined; what it was is looked at first the next time."""
    for place, meter in enumerate(guards):
        if meter.state(now) > 1:
            if place:
                guards.insert(0, guards.pop(place))
            return True
    return False
