"""The exact search over combinations of adjustments, on a trial: no words, no sheets.

What counts as an answer
------------------------
A combination holds at most so many adjustments, no two on the same field. Each works on the complaint (it is for an aimed
measure), or repairs what those upset:

* those that work on the complaint bring every aim into its range by themselves;
* either they spoil nothing, or repairs are added, each for something that they spoil and together for all of it, after which
  the aims hold and nothing is spoiled.

Spoiled means: out of its window where it was inside, or further out than a tech would overlook.
Among the answers the first by fewest screwdriver turns, then bench minutes, then by what it leaves behind (the strain over
all windows, after minus before), then by fewest steps wins. Where no answer spoils nothing, those without repairs are taken,
fewest spoiled measures first.

How it is found
---------------
Sets of adjustments come off a heap, cheapest first; the search ends with the cost at which an answer was found. Within a set
the values are tried depth first: an aim or a window is looked at as soon as the last adjustment that can move it has its
value, so both feet prune by themselves. Repairs join the heap at their own cost, which is never less than that of what they
repair. Nothing else is cut, so the result equals that of trying everything.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from heapq import heapify, heappop, heappush
from itertools import combinations
from math import inf, isnan

from advisor.solve.options import Lever, cost
from advisor.solve.trial import Meter, Trial
from advisor.solve.windows import Interval

__all__ = ["Found", "Goal", "Hunt", "Pick"]

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

    `short` says by how much the aims are missed, `spoiled` which measures are worse, `left` what it leaves behind.
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
        """Return what orders combinations, the best first."""
        return (self.short, len(self.spoiled), self.turns, self.minutes, self.left, self.steps, self.picks)


class Hunt:
    """The search for one set of aims on one trial."""

    def __init__(self, trial: Trial, levers: Sequence[Lever], goals: Sequence[Goal], at_most: int) -> None:
        self.trial = trial
        self.levers = levers
        self.goals = tuple(goals)
        self.at_most = at_most
        aims = {goal.meter.key for goal in goals}
        watched = list(trial.guarded())
        self.guards = [meter for meter in watched if meter.guard is not None and meter.key not in aims]
        self.strained = watched
        self.movers = [i for i, lever in enumerate(levers) if any(_serves(lever, goal.meter) for goal in goals)]

    @cached_property
    def met(self) -> bool:
        """Whether every aim holds as it is."""
        return all(goal.interval.has(goal.meter.base) for goal in self.goals)

    def best(self) -> Found | None:
        """Return the best answer; None where no combination reaches the aims."""
        return self._clean() or self._spoiling()

    def nearest(self) -> Found:
        """Return the combination that comes nearest to the aims, whatever it spoils; the fewest turns among equals."""
        base_short = sum(goal.short(goal.meter.base) for goal in self.goals)
        best = Found((), 0.0, 0.0, 0.0, 0.0, (), round(base_short, 9))
        for members in self._sets(self.at_most):
            turns, minutes = cost(self.levers[i] for i in members)
            for picks, short in self._nearer(members, best.short):
                found = Found(picks, turns, minutes, 0.0, self._steps(picks), (), round(short, 9))
                if _nearness(found) < _nearness(best):
                    best = found
        return self.weigh(best.picks)

    def weigh(self, picks: tuple[Pick, ...]) -> Found:
        """Return a combination with everything that can be said of it."""
        self._put(picks)
        now = self.trial.now
        short = sum(goal.short(goal.meter.value(now)) for goal in self.goals)
        mask = self._mask(i for i, _ in picks)
        spoiled = tuple(m.key for m in self.guards if m.mask & mask and m.spoils(m.value(now)))
        left = self._left(mask)
        self._take_back(picks)
        turns, minutes = cost(self.levers[i] for i, _ in picks)
        return Found(picks, turns, minutes, left, self._steps(picks), spoiled, round(short, 9))

    def alone(self, lever: int) -> Found:
        """Return the best that one adjustment does by itself."""
        options = range(len(self.levers[lever].options))
        shorts = []
        for option in options:
            self._put(((lever, option),))
            shorts.append(round(sum(goal.short(goal.meter.value(self.trial.now)) for goal in self.goals), 9))
            self._take_back(((lever, option),))
        least = min(shorts)
        return min((self.weigh(((lever, o),)) for o in options if shorts[o] == least), key=lambda found: found.rank)

    # The answers that spoil nothing.

    def _clean(self) -> Found | None:
        best: Found | None = None
        waiting: list[tuple[tuple[float, float], tuple[int, ...], tuple[int, ...]]] = [
            (cost(self.levers[i] for i in members), members, ()) for members in self._sets(self.at_most)
        ]
        heapify(waiting)
        mended: dict[tuple[tuple[int, ...], tuple[int, ...]], list[tuple[Pick, ...]]] = {}
        while waiting:
            price, members, repairs = heappop(waiting)
            if best is not None and price > (best.turns, best.minutes):
                break
            if repairs:
                found = self._mend(price, mended[members, repairs], repairs)
            else:
                found, broken = self._explore(price, members)
                for wanted, points in broken.items():
                    mended[members, wanted] = points
                    heappush(waiting, (cost(self.levers[i] for i in (*members, *wanted)), members, wanted))
            if found is not None and (best is None or found.rank < best.rank):
                best = found
        return best

    def _explore(
        self, price: tuple[float, float], members: tuple[int, ...]
    ) -> tuple[Found | None, dict[tuple[int, ...], list[tuple[Pick, ...]]]]:
        """Try all values of a set; return its best clean answer, and the repairs that its other points call for."""
        best: Found | None = None
        broken: dict[tuple[int, ...], list[tuple[Pick, ...]]] = {}
        mask = self._mask(members)
        for picks, spoiled in self._points(members, self._mendable(members)):
            if spoiled:
                for repairs in self._repairs(members, spoiled):
                    broken.setdefault(repairs, []).append(picks)
                continue
            found = Found(picks, *price, self._left(mask), self._steps(picks))
            if best is None or found.rank < best.rank:
                best = found
        return best, broken

    def _points(
        self, members: tuple[int, ...], mendable: frozenset[str] | None
    ) -> Iterator[tuple[tuple[Pick, ...], tuple[Meter, ...]]]:
        """Yield every choice of values that meets the aims, with what it spoils, while it is set on the trial.

        With `mendable`, points that spoil anything else are left out.
        """
        plan = self._plan(members)
        if plan is None:
            return
        trial, now, moves = self.trial, self.trial.now, self.trial.moves
        picks: list[Pick] = []

        def descend(depth: int, spoiled: tuple[Meter, ...]) -> Iterator[tuple[tuple[Pick, ...], tuple[Meter, ...]]]:
            if depth == len(members):
                yield tuple(picks), spoiled
                return
            member = members[depth]
            goals, guards = plan[depth]
            for option, move in enumerate(moves[member]):
                trial.put(move)
                if all(goal.interval.has(goal.meter.value(now)) for goal in goals):
                    worse = _spoiled(guards, now, mendable)
                    if worse is not None:
                        picks.append((member, option))
                        yield from descend(depth + 1, spoiled + worse)
                        picks.pop()
            trial.take_back(moves[member][0])

        yield from descend(0, ())

    def _plan(self, members: Sequence[int]) -> list[tuple[list[Goal], list[Meter]]] | None:
        """Return, for each adjustment of a set, what can be judged once it has its value.

        None where an aim is missed and no adjustment of the set can move it.
        """
        plan: list[tuple[list[Goal], list[Meter]]] = [([], []) for _ in members]
        masks = [self.trial.masks[i] for i in members]
        for goal in self.goals:
            last = _last(goal.meter.mask, masks)
            if last >= 0:
                plan[last][0].append(goal)
            elif not goal.interval.has(goal.meter.base):
                return None
        for meter in self.guards:
            last = _last(meter.mask, masks)
            if last >= 0:
                plan[last][1].append(meter)
        return plan

    # Repairs.

    def _mendable(self, members: tuple[int, ...]) -> frozenset[str]:
        """Return the windows that another adjustment could repair beside a set."""
        if len(members) >= self.at_most:
            return frozenset()
        mask = self._mask(members)
        return frozenset(
            meter.key for meter in self.guards if any(not self.trial.masks[i] & mask for i in self._menders[meter.key])
        )

    @cached_property
    def _menders(self) -> dict[str, list[int]]:
        """The adjustments that are for a window and for no aim."""
        movers = set(self.movers)
        return {
            meter.key: [i for i, lever in enumerate(self.levers) if i not in movers and _serves(lever, meter)]
            for meter in self.guards
        }

    def _repairs(self, members: tuple[int, ...], spoiled: Sequence[Meter]) -> Iterator[tuple[int, ...]]:
        """Yield every set of repairs in which each is for something spoiled, and together for all of it."""
        mask = self._mask(members)
        useful = [{i for i in self._menders[meter.key] if not self.trial.masks[i] & mask} for meter in spoiled]
        everyone = sorted(set().union(*useful))
        for size in range(1, self.at_most - len(members) + 1):
            for repairs in combinations(everyone, size):
                if self._apart(repairs) and all(menders.intersection(repairs) for menders in useful):
                    yield repairs

    def _mend(
        self, price: tuple[float, float], points: Sequence[tuple[Pick, ...]], repairs: tuple[int, ...]
    ) -> Found | None:
        """Return the best answer among points with these repairs added."""
        best: Found | None = None
        trial, now = self.trial, self.trial.now
        for point in points:
            members = tuple(i for i, _ in point)
            mask = self._mask((*members, *repairs))
            touched = [goal for goal in self.goals if goal.meter.mask & mask]
            guards = [meter for meter in self.guards if meter.mask & mask]
            self._put(point)
            for chosen in self._choices(repairs):
                for i, option in chosen:
                    trial.put(trial.moves[i][option])
                if all(goal.interval.has(goal.meter.value(now)) for goal in touched) and not _any_spoiled(guards, now):
                    picks = tuple(sorted((*point, *chosen)))
                    found = Found(picks, *price, self._left(mask), self._steps(picks))
                    if best is None or found.rank < best.rank:
                        best = found
            self._take_back(tuple((i, 0) for i in repairs))
            self._take_back(point)
        return best

    def _choices(self, levers: tuple[int, ...]) -> Iterator[tuple[Pick, ...]]:
        if not levers:
            yield ()
            return
        for option in range(len(self.levers[levers[0]].options)):
            for rest in self._choices(levers[1:]):
                yield ((levers[0], option), *rest)

    # The answers that spoil something, and the nearest where there is no answer.

    def _spoiling(self) -> Found | None:
        best: Found | None = None
        priced = sorted((cost(self.levers[i] for i in members), members) for members in self._sets(self.at_most))
        for price, members in priced:
            mask = self._mask(members)
            for picks, spoiled in self._points(members, None):
                if best is not None and len(spoiled) > len(best.spoiled):
                    continue
                keys = tuple(meter.key for meter in self.guards if meter in spoiled)
                found = Found(picks, *price, self._left(mask), self._steps(picks), keys)
                if best is None or found.rank < best.rank:
                    best = found
        return best

    def _nearer(self, members: tuple[int, ...], bound: float) -> Iterator[tuple[tuple[Pick, ...], float]]:
        """Yield every choice of values that misses the aims by no more than a bound."""
        masks = [self.trial.masks[i] for i in members]
        plan: list[list[Goal]] = [[] for _ in members]
        start = 0.0
        for goal in self.goals:
            last = _last(goal.meter.mask, masks)
            if last >= 0:
                plan[last].append(goal)
            else:
                start += goal.short(goal.meter.base)
        trial, now, moves = self.trial, self.trial.now, self.trial.moves
        picks: list[Pick] = []

        def descend(depth: int, short: float) -> Iterator[tuple[tuple[Pick, ...], float]]:
            if depth == len(members):
                yield tuple(picks), short
                return
            member = members[depth]
            for option, move in enumerate(moves[member]):
                trial.put(move)
                reached = short + sum(goal.short(goal.meter.value(now)) for goal in plan[depth])
                if reached <= bound + 1e-9:
                    picks.append((member, option))
                    yield from descend(depth + 1, reached)
                    picks.pop()
            trial.take_back(moves[member][0])

        if start <= bound + 1e-9:
            yield from descend(0, start)

    # Small parts.

    def _sets(self, most: int) -> Iterator[tuple[int, ...]]:
        """Yield every set of adjustments for the aims, up to a size, none of whose fields meet."""
        for size in range(1, min(most, self.at_most) + 1):
            for members in combinations(self.movers, size):
                if self._apart(members):
                    yield members

    def _apart(self, members: Sequence[int]) -> bool:
        seen = 0
        for i in members:
            if seen & self.trial.masks[i]:
                return False
            seen |= self.trial.masks[i]
        return True

    def _mask(self, members: Iterator[int] | Sequence[int]) -> int:
        mask = 0
        for i in members:
            mask |= self.trial.masks[i]
        return mask

    def _left(self, mask: int) -> float:
        now = self.trial.now
        return round(sum(m.strain_added(m.value(now)) for m in self.strained if m.mask & mask), 6)

    def _steps(self, picks: Sequence[Pick]) -> float:
        return sum(self.levers[i].options[option].steps for i, option in picks)

    def _put(self, picks: Sequence[Pick]) -> None:
        for i, option in picks:
            self.trial.put(self.trial.moves[i][option])

    def _take_back(self, picks: Sequence[Pick]) -> None:
        for i, option in picks:
            self.trial.take_back(self.trial.moves[i][option])


def _nearness(found: Found) -> tuple[float, float, float, float, tuple[Pick, ...]]:
    return (found.short, found.turns, found.minutes, found.steps, found.picks)


def _serves(lever: Lever, meter: Meter) -> bool:
    """Return whether a tech reaches for an adjustment to put a measure right."""
    same_foot = lever.foot is None or meter.place.side is None or lever.foot == meter.place.side
    return same_foot and (meter.kind in lever.way.serves or meter.key in lever.way.serves)


def _last(mask: int, masks: Sequence[int]) -> int:
    for depth in range(len(masks) - 1, -1, -1):
        if mask & masks[depth]:
            return depth
    return -1


def _spoiled(guards: list[Meter], now: list[object], mendable: frozenset[str] | None) -> tuple[Meter, ...] | None:
    """Return what is spoiled; None as soon as something is that cannot be mended.

    What was found beyond mending is looked at first the next time.
    """
    worse: tuple[Meter, ...] = ()
    for place, meter in enumerate(guards):
        if meter.spoils(meter.value(now)):
            if mendable is not None and meter.key not in mendable:
                if place:
                    guards.insert(0, guards.pop(place))
                return None
            worse = (*worse, meter)
    return worse


def _any_spoiled(guards: list[Meter], now: list[object]) -> bool:
    for place, meter in enumerate(guards):
        if meter.spoils(meter.value(now)):
            if place:
                guards.insert(0, guards.pop(place))
            return True
    return False
