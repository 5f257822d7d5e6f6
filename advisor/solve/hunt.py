"""The exact search over combinations of adjustments, on a trial: no words, no sheets.

What counts as an answer
------------------------
A combination holds at most so many adjustments, no two on the same field. Each works on the complaint (it is for an
aimed measure), or repairs what those upset (it is for a measure that they spoil). Those that work on the complaint
bring every aim into its range by themselves, and the repairs leave it there.

Spoiled means: out of its window where it was inside, or further out than a tech would overlook. Ruined means the same
of the wider range in which a tech only looks closer. The price of an answer is the number of measures that are spoiled
after it, or that were spoiled on the way and no repair is for, whichever is more. An answer ruins nothing, also not on
the way unless a repair is for it, and its price is at most `load_most_spoiled()`.

The lowest price wins, so an answer that spoils nothing beats every other; then fewest screwdriver turns, then fewest
bench minutes, then what it leaves behind (the strain over all windows, after minus before), then fewest steps.

How it is found
---------------
Price by price, sets of adjustments come off a heap, cheapest work first, and the search ends with the work at which an
answer was found. Sets with which one of the aims cannot be reached at all are passed over. Within a set the values are
tried depth first: an aim or a window is looked at as soon as the last adjustment that can move it has its value, so
both feet prune by themselves. Repairs join the heap at their own work, which is never less than that of what they
repair. Only what cannot become an answer is cut, so the result equals that of trying everything.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from heapq import heapify, heappop, heappush
from itertools import combinations
from math import inf
from operator import and_

from advisor.solve.adjustments import load_most_spoiled
from advisor.solve.found import Found, Goal, Pick, any_ruined, last_mover, look, serves
from advisor.solve.options import Lever, cost
from advisor.solve.trial import Meter, Trial

_LIGHT = 3
"""A window that so few fields can move is cheap to look at."""
_TINY = 1e-9

__all__ = ["Hunt"]


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
        self._leasts: dict[tuple[int, tuple[int, ...], bool], float] = {}
        self.movers = [i for i, lever in enumerate(levers) if any(serves(lever, goal.meter) for goal in goals)]

    @cached_property
    def met(self) -> bool:
        """Whether every aim holds as it is."""
        return all(goal.interval.has(goal.meter.base) for goal in self.goals)

    def best(self) -> Found | None:
        """Return the best answer; None where no combination reaches the aims at a price that can be paid."""
        for price in range(load_most_spoiled() + 1):
            found = self._at_price(price)
            if found is not None:
                return found
        return None

    def weigh(self, picks: tuple[Pick, ...]) -> Found:
        """Return a combination with everything that can be said of it."""
        self._put(picks)
        now = self.trial.now
        short = sum(goal.short(goal.meter.value(now)) for goal in self.goals)
        mask = self.mask(i for i, _ in picks)
        spoiled, left = self.spoiled(mask), self.left(mask)
        self._take_back(picks)
        turns, minutes = cost(self.levers[i] for i, _ in picks)
        return Found(picks, turns, minutes, left, self.steps(picks), spoiled, round(short, 9))

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

    # Answers at a price.

    def _at_price(self, price: int) -> Found | None:
        best: Found | None = None
        waiting: list[tuple[tuple[float, float], tuple[int, ...], tuple[int, ...]]] = [
            (cost(self.levers[i] for i in members), members, ()) for members in self.sets
        ]
        heapify(waiting)
        points: dict[tuple[tuple[int, ...], tuple[int, ...]], list[tuple[Pick, ...]]] = {}
        while waiting:
            work, members, repairs = heappop(waiting)
            if best is not None and work > (best.turns, best.minutes):
                break
            if repairs:
                found = self._mend(work, price, points[members, repairs], repairs)
            elif not self._able(members):
                continue
            else:
                found, broken = self._explore(work, price, members)
                for wanted, picks in broken.items():
                    points[members, wanted] = picks
                    heappush(waiting, (cost(self.levers[i] for i in (*members, *wanted)), members, wanted))
            if found is not None and (best is None or found.order < best.order):
                best = found
        return best

    def _explore(
        self, work: tuple[float, float], price: int, members: tuple[int, ...]
    ) -> tuple[Found | None, dict[tuple[int, ...], list[tuple[Pick, ...]]]]:
        """Try all values of a set; return its best answer, and the points that repairs could turn into one."""
        best: Found | None = None
        broken: dict[tuple[int, ...], list[tuple[Pick, ...]]] = {}
        mask = self.mask(members)
        room = len(members) < self.at_most
        for picks, spoiled in self._points(members, price):
            if room and spoiled:
                for repairs in self._repairs(members, spoiled, price):
                    broken.setdefault(repairs, []).append(picks)
            if len(spoiled) <= price and not any(m.ruins(m.value(self.trial.now)) for m in spoiled):
                keys = tuple(sorted(meter.key for meter in spoiled))
                found = Found(picks, *work, self.left(mask), self.steps(picks), keys)
                if best is None or found.order < best.order:
                    best = found
        return best, broken

    def _points(self, members: tuple[int, ...], price: int) -> Iterator[tuple[tuple[Pick, ...], tuple[Meter, ...]]]:
        """Yield every choice of values that meets the aims, with what it spoils, while it is set on the trial.

        Left out is what spoils more than a price allows, or ruins something, beyond any repair beside the set.
        """
        plan = self._plan(members)
        mendable = self._mendable(members)
        trial, now, moves = self.trial, self.trial.now, self.trial.moves
        picks: list[Pick] = []

        def descend(
            depth: int, lost: int, spoiled: tuple[Meter, ...]
        ) -> Iterator[tuple[tuple[Pick, ...], tuple[Meter, ...]]]:
            if depth == len(members):
                yield tuple(picks), spoiled
                return
            member = members[depth]
            light, goals, heavy = plan[depth]
            for option, move in enumerate(moves[member]):
                trial.put(move)
                first = look(light, now, mendable, price - lost)
                if first is None or not all(goal.interval.has(goal.meter.value(now)) for goal in goals):
                    continue
                second = look(heavy, now, mendable, price - lost - first[0])
                if second is None:
                    continue
                picks.append((member, option))
                yield from descend(depth + 1, lost + first[0] + second[0], spoiled + first[1] + second[1])
                picks.pop()
            trial.take_back(moves[member][0])

        yield from descend(0, 0, ())

    def _plan(self, members: Sequence[int]) -> list[tuple[list[Meter], list[Goal], list[Meter]]]:
        """Return what can be judged once each adjustment of a set has its value: light windows, aims, the rest."""
        plan: list[tuple[list[Meter], list[Goal], list[Meter]]] = [([], [], []) for _ in members]
        masks = [self.trial.masks[i] for i in members]
        for goal in self.goals:
            last = last_mover(goal.meter.mask, masks)
            if last >= 0:
                plan[last][1].append(goal)
        for meter in self.guards:
            last = last_mover(meter.mask, masks)
            if last >= 0:
                light, _, heavy = plan[last]
                (light if meter.mask.bit_count() <= _LIGHT else heavy).append(meter)
        return plan

    # Repairs.

    def _mendable(self, members: tuple[int, ...]) -> frozenset[str]:
        """Return the windows that another adjustment could repair beside a set."""
        if len(members) >= self.at_most:
            return frozenset()
        mask = self.mask(members)
        return frozenset(
            meter.key for meter in self.guards if any(not self.trial.masks[i] & mask for i in self._menders[meter.key])
        )

    @cached_property
    def _menders(self) -> dict[str, list[int]]:
        """The adjustments that are for a window and for no aim."""
        movers = set(self.movers)
        return {
            meter.key: [i for i, lever in enumerate(self.levers) if i not in movers and serves(lever, meter)]
            for meter in self.guards
        }

    def _repairs(self, members: tuple[int, ...], spoiled: Sequence[Meter], price: int) -> Iterator[tuple[int, ...]]:
        """Yield every set of repairs, each for something spoiled, that leaves no more than a price unrepaired."""
        mask = self.mask(members)
        useful = [{i for i in self._menders[meter.key] if not self.trial.masks[i] & mask} for meter in spoiled]
        everyone = sorted(set().union(*useful))
        ruined = [meter.ruins(meter.value(self.trial.now)) for meter in spoiled]
        for size in range(1, self.at_most - len(members) + 1):
            for repairs in combinations(everyone, size):
                missed = [not menders.intersection(repairs) for menders in useful]
                if sum(missed) <= price and not any(map(and_, missed, ruined)) and self._apart(repairs):
                    yield repairs

    def _mend(
        self, work: tuple[float, float], price: int, points: Sequence[tuple[Pick, ...]], repairs: tuple[int, ...]
    ) -> Found | None:
        """Return the best answer among points with these repairs added."""
        best: Found | None = None
        trial, now = self.trial, self.trial.now
        for point in points:
            members = tuple(i for i, _ in point)
            mask = self.mask((*members, *repairs))
            touched = [goal for goal in self.goals if goal.meter.mask & mask]
            guards = [meter for meter in self.guards if meter.mask & mask]
            self._put(point)
            unrepaired = self._unrepaired(self.mask(members), repairs)
            for chosen in self._choices(repairs):
                for i, option in chosen:
                    trial.put(trial.moves[i][option])
                if not all(goal.interval.has(goal.meter.value(now)) for goal in touched):
                    continue
                looked = look(guards, now, frozenset(), price)
                if looked is None or max(looked[0], unrepaired) > price:
                    continue
                keys = tuple(sorted(meter.key for meter in looked[1]))
                picks = tuple(sorted((*point, *chosen)))
                found = Found(picks, *work, self.left(mask), self.steps(picks), keys)
                if best is None or found.order < best.order:
                    best = found
            self._take_back(tuple((i, 0) for i in repairs))
            self._take_back(point)
        return best

    def _unrepaired(self, mask: int, repairs: Sequence[int]) -> int:
        """Return how many of the windows that the trial's present values spoil no repair is for."""
        now = self.trial.now
        spoiled = [meter for meter in self.guards if meter.mask & mask and meter.spoils(meter.value(now))]
        return sum(not set(repairs).intersection(self._menders[meter.key]) for meter in spoiled)

    def _choices(self, levers: tuple[int, ...]) -> Iterator[tuple[Pick, ...]]:
        if not levers:
            yield ()
            return
        for option in range(len(self.levers[levers[0]].options)):
            for rest in self._choices(levers[1:]):
                yield ((levers[0], option), *rest)

    # Small parts.

    @cached_property
    def sets(self) -> tuple[tuple[int, ...], ...]:
        """Every set of adjustments for the aims none of whose fields meet."""
        return tuple(
            members
            for size in range(1, self.at_most + 1)
            for members in combinations(self.movers, size)
            if self._apart(members)
        )

    def _able(self, members: tuple[int, ...]) -> bool:
        """Return whether a set can reach each aim by itself."""
        return all(self.least(place, members, False) == 0 for place in range(len(self.goals)))

    def least(self, place: int, members: tuple[int, ...], unruined: bool) -> float:
        """Return the least by which an aim can be missed with a set; looked up once for those of it that matter.

        With `unruined`, values are left out that ruin something which no other adjustment for the aims can move.
        """
        goal = self.goals[place]
        touching = tuple(i for i in members if self.trial.masks[i] & goal.meter.mask)
        key = (place, touching, unruined)
        if key not in self._leasts:
            others = self.mask(i for i in self.movers if i not in touching)
            mask = self.mask(touching) if unruined else 0
            own = [meter for meter in self.guards if meter.mask & mask and not meter.mask & others]
            self._leasts[key] = self._lowest(goal, touching, own)
        return self._leasts[key]

    def _lowest(self, goal: Goal, members: tuple[int, ...], guards: list[Meter]) -> float:
        trial = self.trial
        if not members:
            return inf if any_ruined(guards, trial.now) else goal.short(goal.meter.value(trial.now))
        least = inf
        for move in trial.moves[members[0]]:
            trial.put(move)
            least = min(least, self._lowest(goal, members[1:], guards))
            if least == 0:
                break
        trial.take_back(trial.moves[members[0]][0])
        return least

    def _apart(self, members: Sequence[int]) -> bool:
        seen = 0
        for i in members:
            if seen & self.trial.masks[i]:
                return False
            seen |= self.trial.masks[i]
        return True

    def mask(self, members: Iterable[int]) -> int:
        """Return the fields that adjustments move, one bit each."""
        mask = 0
        for i in members:
            mask |= self.trial.masks[i]
        return mask

    def left(self, mask: int) -> float:
        """Return the strain that the trial's present values add over all windows that some fields can move."""
        now = self.trial.now
        return round(sum(m.strain_added(m.value(now)) for m in self.strained if m.mask & mask), 6)

    def spoiled(self, mask: int) -> tuple[str, ...]:
        """Return what the trial's present values spoil, of the windows that some fields can move."""
        now = self.trial.now
        return tuple(sorted(m.key for m in self.guards if m.mask & mask and m.spoils(m.value(now))))

    def steps(self, picks: Sequence[Pick]) -> float:
        """Return how many steps a combination makes in all."""
        return sum(self.levers[i].options[option].steps for i, option in picks)

    def _put(self, picks: Sequence[Pick]) -> None:
        for i, option in picks:
            self.trial.put(self.trial.moves[i][option])

    def _take_back(self, picks: Sequence[Pick]) -> None:
        for i, option in picks:
            self.trial.take_back(self.trial.moves[i][option])
