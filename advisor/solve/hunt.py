"""The exact search over combinations of adjustments, on a trial: no words, no sheets.

What counts as an answer
------------------------
A combination holds at most so many adjustments, no two on the same field, and none that moves what another needs as
it is: a disc's slots. Each works on the complaint (it is for an aimed measure), or repairs what those upset (it is for
a measure that they spoil). Those that work on the complaint bring every aim into its range by themselves, and the
repairs leave it there.

Spoiled means: out of its window, or further out of it than before, by more than a tech would overlook. Left out of it
are aimed measures, those that say the same as an aimed one in other words, and those of which it is a guess where
they lie (`guesses.py`). Ruined means the same of the wider range in which a tech only looks closer. The price of an
answer is the number of measures that are spoiled after it, or that were spoiled on the way and no repair is for,
whichever is more. An answer ruins nothing, also not on the way unless a repair is for it, and its price is at most
`load_most_spoiled()`.

The lowest price wins, so an answer that spoils nothing beats every other; then fewest screwdriver turns, then fewest
bench minutes, then least side effect (the strain over all windows, after minus before, and what the steps ask of the
rider to get used to), then fewest steps. Only where there is no answer, repairs may be repaired once more
(`chain.py`).

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
from heapq import heappop, heappush
from itertools import combinations
from math import inf
from operator import and_

from advisor.solve.adjustments import load_most_spoiled
from advisor.solve.found import Found, Goal, Pick, any_ruined, last_mover, look, serves
from advisor.solve.options import Lever, cost
from advisor.solve.trial import Meter, Trial

_LIGHT = 12
"""A measure that reads so few numbers is quickly taken, so it is looked at before an aim is."""
_ROUNDED = 2e-6
"""Side effects are compared to six places."""
_Step = list[tuple[Meter, bool, float]]
_Plan = tuple[list[tuple[list[Goal], _Step, list[Goal], _Step]], list[float]]
_TINY = 1e-9


class Hunt:
    """The search for one set of aims on one trial."""

    def __init__(
        self,
        trial: Trial,
        levers: Sequence[Lever],
        goals: Sequence[Goal],
        at_most: int,
        left_out: frozenset[int] = frozenset(),
    ) -> None:
        self.trial = trial
        self.levers: Sequence[Lever] = levers
        self.goals = tuple(goals)
        self.at_most = at_most
        watched = list(trial.guarded())
        self.guards = [meter for meter in watched if self._guards(meter)]
        self.strained = watched
        self._leasts: dict[tuple[int, tuple[int, ...]], float] = {}
        self._reached: dict[tuple[tuple[int, ...], tuple[str, ...]], bool] = {}
        self._able: dict[tuple[int, ...], bool] = {}
        self._hopeless: set[tuple[int, ...]] = set()
        self._plans: dict[tuple[int, ...], _Plan] = {}
        self._mended: dict[tuple[int, ...], frozenset[str]] = {}
        self.used = [i for i in range(len(levers)) if i not in left_out]
        self.movers = [i for i in self.used if any(serves(levers[i], goal.meter) for goal in goals)]

    def renew(self, levers: Sequence[Lever], goals: Sequence[Goal]) -> None:
        """Begin the same search again on a trial whose numbers are others now."""
        self.levers = levers
        self.goals = tuple(goals)
        for kept in (self._leasts, self._reached, self._able, self._hopeless, self._plans):
            kept.clear()
        for name in ("met", "_easiest_first", "_light_first"):
            self.__dict__.pop(name, None)

    def _guards(self, meter: Meter) -> bool:
        """Return whether a window keeps anything: it may guard, and neither it nor what says the same is aimed at."""
        if meter.window is None or meter.guard is None:
            return False
        return not any(meter.key == goal.meter.key or goal.meter.kind in meter.window.same_as for goal in self.goals)

    @cached_property
    def met(self) -> bool:
        """Whether every aim holds as it is."""
        return all(goal.interval.has(goal.meter.base) for goal in self.goals)

    def best(self) -> Found | None:
        """Return the best answer; None where no combination reaches the aims at a price that can be paid."""
        for price in range(load_most_spoiled(self.trial.trees) + 1):
            found = self._at_price(price)
            if found is not None:
                return found
        if self.at_most > 2:
            from advisor.solve.chain import chained

            for price in range(load_most_spoiled(self.trial.trees) + 1):
                found = chained(self, price)
                if found is not None:
                    return found
        return None

    def best_without(self, lever: int) -> Found | None:
        """Return the best answer that does without one adjustment."""
        return Hunt(self.trial, self.levers, self.goals, self.at_most, frozenset({lever})).best()

    def weigh(self, picks: tuple[Pick, ...]) -> Found:
        """Return a combination with everything that can be said of it."""
        self._put(picks)
        now = self.trial.now
        short = sum(goal.short(goal.meter.value(now)) for goal in self.goals)
        mask = self.mask(i for i, _ in picks)
        spoiled, left = self.spoiled(mask), self.left(picks)
        self.take_back(picks)
        turns, minutes = cost(self.levers[i] for i, _ in picks)
        return Found(picks, turns, minutes, left, self.steps(picks), spoiled, round(short, 9))

    def alone(self, lever: int) -> Found:
        """Return the best that one adjustment does by itself."""
        options = range(len(self.levers[lever].options))
        shorts = []
        for option in options:
            self._put(((lever, option),))
            shorts.append(round(sum(goal.short(goal.meter.value(self.trial.now)) for goal in self.goals), 9))
            self.take_back(((lever, option),))
        least = min(shorts)
        return min((self.weigh(((lever, o),)) for o in options if shorts[o] == least), key=lambda found: found.rank)

    # Answers at a price.

    def _at_price(self, price: int) -> Found | None:
        best: Found | None = None
        waiting = list(self._cheapest_first)
        points: dict[tuple[tuple[int, ...], tuple[int, ...]], list[tuple[Pick, ...]]] = {}
        while waiting:
            work, members, repairs = heappop(waiting)
            if best is not None and work > (best.turns, best.minutes):
                break
            if repairs:
                found = self.mend(work, price, points[members, repairs], repairs)
            elif not self.able(members):
                continue
            else:
                found, broken = self._explore(work, price, members, best)
                for wanted, picks in broken.items():
                    points[members, wanted] = picks
                    heappush(waiting, (cost(self.levers[i] for i in (*members, *wanted)), members, wanted))
            if found is not None and (best is None or found.order < best.order):
                best = found
        return best

    def _explore(
        self, work: tuple[float, float], price: int, members: tuple[int, ...], best: Found | None
    ) -> tuple[Found | None, dict[tuple[int, ...], list[tuple[Pick, ...]]]]:
        """Try all values of a set; return its best answer, and the points that repairs could turn into one.

        `best` is an answer of the same work, where there is one: repairs are work on top, so they are of no use then.
        """
        broken: dict[tuple[int, ...], list[tuple[Pick, ...]]] = {}
        room = len(members) < self.at_most
        ceiling = [inf if best is None else best.left]
        for picks, spoiled, left in self.points(members, price, ceiling):
            if room and spoiled and best is None:
                for repairs in self.repairs(members, spoiled, price):
                    broken.setdefault(repairs, []).append(picks)
            if len(spoiled) <= price and all(meter.state(self.trial.now) < 2 for meter in spoiled):
                keys = tuple(sorted(meter.key for meter in spoiled))
                found = Found(picks, *work, round(left, 6), self.steps(picks), keys)
                if best is None or found.order < best.order:
                    best = found
                    ceiling[0] = found.left
        return best, broken

    def points(
        self, members: tuple[int, ...], price: int, ceiling: list[float]
    ) -> Iterator[tuple[tuple[Pick, ...], tuple[Meter, ...], float]]:
        """Yield every choice of values that meets the aims, while it is set on the trial.

        With it what it spoils, and its side effect. Left out is what spoils more than a price allows or ruins
        something, beyond any repair beside the set; and once `ceiling` says that there is an answer of the same work,
        what needs repairs or is bound to have more side effect. Values that ask least of the rider come first, so that
        those that ask more than the ceiling end a row.
        """
        plan, floors = self._plan(members)
        mendable = self._mendable(members)
        trial, now, moves = self.trial, self.trial.now, self.trial.moves
        picks: list[Pick] = []
        last_stop: list[Meter | None] = [None] * len(members)
        too_dear = False

        def judge(step: _Step, lost: int, left: float, worse: list[Meter]) -> tuple[int, float] | None:
            mends = mendable if ceiling[0] == inf else frozenset[str]()
            nonlocal too_dear
            for meter, guards, floor in step:
                _, state, strain = meter.judged(now)
                if state and guards:
                    if meter.key not in mends:
                        lost += 1
                        if lost > price or state > 1:
                            too_dear = too_dear or state < 2
                            last_stop[len(picks)] = meter
                            return None
                    worse.append(meter)
                left += strain
                if left + floor > ceiling[0] + _ROUNDED:
                    return None
            return lost, left

        def descend(
            depth: int, lost: int, left: float, spoiled: list[Meter]
        ) -> Iterator[tuple[tuple[Pick, ...], tuple[Meter, ...], float]]:
            nonlocal too_dear
            if depth == len(members):
                yield tuple(picks), tuple(spoiled), left
                return
            member = members[depth]
            first, light, goals, heavy = plan[depth]
            floor = floors[depth]
            for used_to, option in self._easiest_first[member]:
                if left + used_to + floor > ceiling[0] + _ROUNDED:
                    break
                move = moves[member][option]
                trial.put(move)
                stop = last_stop[depth]
                if stop is not None:
                    state = stop.judged(now)[1]
                    if state and (lost >= price or state > 1):
                        too_dear = too_dear or state < 2
                        continue
                if not all(goal.interval.has(goal.meter.value(now)) for goal in first):
                    continue
                worse: list[Meter] = []
                passed = judge(light, lost, left + used_to, worse)
                if passed is None or not all(goal.interval.has(goal.meter.value(now)) for goal in goals):
                    continue
                passed = judge(heavy, *passed, worse)
                if passed is None:
                    continue
                picks.append((member, option))
                yield from descend(depth + 1, *passed, spoiled + worse)
                picks.pop()
            trial.take_back(moves[member][0])

        some = False
        for point in descend(0, 0, 0.0, []):
            some = True
            yield point
        if not some and not too_dear and ceiling[0] == inf:
            self._hopeless.add(members)

    @cached_property
    def _easiest_first(self) -> list[list[tuple[float, int]]]:
        """Return each adjustment's values with what they ask of the rider, the least first."""
        return [sorted((option.used_to, i) for i, option in enumerate(lever.options)) for lever in self.levers]

    def _plan(self, members: tuple[int, ...]) -> _Plan:
        """Return what can be judged once each adjustment of a set has its value: light aims and windows, the others.

        Each window stands with whether it can be spoiled, and the least side effect that what comes after it can add.
        With it the same for each adjustment before its value is set, its own windows and all later ones.
        """
        if members not in self._plans:
            self._plans[members] = self._planned(members)
        return self._plans[members]

    def _planned(self, members: tuple[int, ...]) -> _Plan:
        masks = [self.trial.masks[i] for i in members]
        goals: list[list[Goal]] = [[] for _ in members]
        for goal in self._light_first:
            last = last_mover(goal.meter.mask, masks)
            if last >= 0:
                goals[last].append(goal)
        meters: list[list[Meter]] = [[] for _ in members]
        for meter in self._by_weight:
            last = last_mover(meter.mask, masks)
            if last >= 0:
                meters[last].append(meter)
        floor = 0.0
        plan, floors = [], []
        for depth in range(len(members) - 1, -1, -1):
            steps: tuple[_Step, _Step] = ([], [])
            for meter in reversed(meters[depth]):
                steps[meter.weight > _LIGHT].append((meter, meter.key in self._guarded, floor))
                floor -= meter.base_strain
            first = [goal for goal in goals[depth] if goal.meter.weight <= _LIGHT]
            plan.append((first, steps[0][::-1], goals[depth][len(first) :], steps[1][::-1]))
            floors.append(floor)
            floor += self._easiest_first[members[depth]][0][0]
        return plan[::-1], floors[::-1]

    @cached_property
    def _by_weight(self) -> list[Meter]:
        return sorted(self.strained, key=lambda meter: meter.weight)

    @cached_property
    def _guarded(self) -> frozenset[str]:
        return frozenset(meter.key for meter in self.guards)

    # Repairs.

    def _mendable(self, members: tuple[int, ...]) -> frozenset[str]:
        """Return the windows that another adjustment could repair beside a set."""
        if len(members) >= self.at_most:
            return frozenset()
        if members not in self._mended:
            claimed = self.claimed(members)
            self._mended[members] = frozenset(
                meter.key
                for meter in self.guards
                if any(not self.trial.claims[i] & claimed for i in self.menders[meter.key])
            )
        return self._mended[members]

    @cached_property
    def menders(self) -> dict[str, list[int]]:
        """The adjustments that are for a window and for no aim."""
        movers = set(self.movers)
        return {
            meter.key: [i for i in self.used if i not in movers and serves(self.levers[i], meter)]
            for meter in self.guards
        }

    def repairs(self, members: tuple[int, ...], spoiled: Sequence[Meter], price: int) -> Iterator[tuple[int, ...]]:
        """Yield every set of repairs, each for something spoiled, that leaves no more than a price unrepaired."""
        claims, claimed = self.trial.claims, self.claimed(members)
        useful = [{i for i in self.menders[meter.key] if not claims[i] & claimed} for meter in spoiled]
        everyone = sorted(set().union(*useful))
        ruined = [meter.state(self.trial.now) > 1 for meter in spoiled]
        for size in range(1, self.at_most - len(members) + 1):
            for repairs in combinations(everyone, size):
                missed = [not menders.intersection(repairs) for menders in useful]
                if sum(missed) <= price and not any(map(and_, missed, ruined)) and self.apart(repairs):
                    yield repairs

    def mend(
        self, work: tuple[float, float], price: int, points: Sequence[tuple[Pick, ...]], repairs: tuple[int, ...]
    ) -> Found | None:
        """Return the best answer among points with these repairs added.

        What the repairs cannot move is judged once a point.
        """
        best: Found | None = None
        trial, now = self.trial, self.trial.now
        moved = self.mask(repairs)
        touched = [goal for goal in self.goals if goal.meter.mask & moved]
        guards = [meter for meter in self.guards if meter.mask & moved]
        strained = [meter for meter in self.strained if meter.mask & moved]
        still = [meter for meter in self.guards if not meter.mask & moved]
        at_rest = [meter for meter in self.strained if not meter.mask & moved]
        for point in points:
            self._put(point)
            mask = self.mask(i for i, _ in point)
            unrepaired = self._unrepaired(mask, repairs)
            kept = look([meter for meter in still if meter.mask & mask], now, frozenset(), price)
            if kept is not None and unrepaired <= price:
                rest = sum(meter.strain(now) for meter in at_rest if meter.mask & mask)
                for chosen in self.choices(repairs):
                    for i, option in chosen:
                        trial.put(trial.moves[i][option])
                    if not all(goal.interval.has(goal.meter.value(now)) for goal in touched):
                        continue
                    looked = look(guards, now, frozenset(), price - kept[0])
                    if looked is None:
                        continue
                    keys = tuple(sorted(meter.key for meter in (*kept[1], *looked[1])))
                    picks = tuple(sorted((*point, *chosen)))
                    left = round(rest + sum(meter.strain(now) for meter in strained) + self.used_to(picks), 6)
                    found = Found(picks, *work, left, self.steps(picks), keys)
                    if best is None or found.order < best.order:
                        best = found
                self.take_back(tuple((i, 0) for i in repairs))
            self.take_back(point)
        return best

    def _unrepaired(self, mask: int, repairs: Sequence[int]) -> int:
        """Return how many of the windows that the trial's present values spoil no repair is for."""
        now = self.trial.now
        spoiled = [meter for meter in self.guards if meter.mask & mask and meter.state(now)]
        return sum(not set(repairs).intersection(self.menders[meter.key]) for meter in spoiled)

    def choices(self, levers: tuple[int, ...]) -> Iterator[tuple[Pick, ...]]:
        """Yield every choice of values of some adjustments."""
        if not levers:
            yield ()
            return
        for option in range(len(self.levers[levers[0]].options)):
            for rest in self.choices(levers[1:]):
                yield ((levers[0], option), *rest)

    # Small parts.

    @cached_property
    def sets(self) -> tuple[tuple[int, ...], ...]:
        """Every set of adjustments for the aims none of whose fields meet."""
        return tuple(
            members
            for size in range(1, self.at_most + 1)
            for members in combinations(self.movers, size)
            if self.apart(members)
        )

    @cached_property
    def _cheapest_first(self) -> list[tuple[tuple[float, float], tuple[int, ...], tuple[int, ...]]]:
        """Every such set with its work, and no repairs yet; in order, so it is a heap."""
        return sorted((cost(self.levers[i] for i in members), members, ()) for members in self.sets)

    def able(self, members: tuple[int, ...]) -> bool:
        """Return whether a set may hold an answer at some price, as far as is known."""
        if members not in self._able:
            self._able[members] = self._can_reach(members)
        return self._able[members] and members not in self._hopeless

    def _can_reach(self, members: tuple[int, ...]) -> bool:
        """Return whether a set can reach the aims, those that the same adjustments move together."""
        groups: dict[tuple[int, ...], list[Goal]] = {}
        for goal in self._light_first:
            touching = tuple(i for i in members if self.trial.masks[i] & goal.meter.mask)
            groups.setdefault(touching, []).append(goal)
        for touching, goals in groups.items():
            key = (touching, tuple(goal.meter.key for goal in goals))
            if key not in self._reached:
                settled = self._settled(touching, mending=True)
                self._reached[key] = self._reaches(goals, touching, settled, 0)
            if not self._reached[key]:
                return False
        return True

    @cached_property
    def _light_first(self) -> list[Goal]:
        return sorted(self.goals, key=lambda goal: goal.meter.weight)

    def _reaches(self, goals: list[Goal], members: tuple[int, ...], settled: list[list[Meter]], depth: int) -> bool:
        trial = self.trial
        if depth == len(members):
            return all(goal.interval.has(goal.meter.value(trial.now)) for goal in goals)
        moves = trial.moves[members[depth]]
        reached = False
        for move in moves:
            trial.put(move)
            if look(settled[depth], trial.now, frozenset(), load_most_spoiled(trial.trees)) is not None:
                reached = self._reaches(goals, members, settled, depth + 1)
                if reached:
                    break
        trial.take_back(moves[0])
        return reached

    def least(self, place: int, members: tuple[int, ...]) -> float:
        """Return the least by which an aim can be missed with a set while nothing is ruined that no other could mend.

        Looked up once for those of the set that can move the aim.
        """
        goal = self.goals[place]
        touching = tuple(i for i in members if self.trial.masks[i] & goal.meter.mask)
        key = (place, touching)
        if key not in self._leasts:
            self._leasts[key] = self._lowest(goal, touching, self._settled(touching, mending=False), 0)
        return self._leasts[key]

    def _settled(self, members: tuple[int, ...], *, mending: bool) -> list[list[Meter]]:
        """Return, by depth, the windows that nothing but a set's own values can decide."""
        settled: list[list[Meter]] = [[] for _ in members]
        masks = [self.trial.masks[i] for i in members]
        claimed, others = self.claimed(members), 0
        mendable: frozenset[str] = frozenset()
        if len(members) < self.at_most:
            others = self.mask(i for i in self.movers if not self.trial.claims[i] & claimed)
            mendable = self._mendable(members) if mending else mendable
        for meter in self.guards:
            if not meter.mask & others and meter.key not in mendable:
                last = last_mover(meter.mask, masks)
                if last >= 0 and meter.weight <= _LIGHT:
                    settled[last].append(meter)
        return settled

    def _lowest(self, goal: Goal, members: tuple[int, ...], settled: list[list[Meter]], depth: int) -> float:
        trial = self.trial
        if depth == len(members):
            return goal.short(goal.meter.value(trial.now))
        least = inf
        moves = trial.moves[members[depth]]
        for move in moves:
            trial.put(move)
            if not any_ruined(settled[depth], trial.now):
                least = min(least, self._lowest(goal, members, settled, depth + 1))
                if least == 0:
                    break
        trial.take_back(moves[0])
        return least

    def apart(self, members: Sequence[int]) -> bool:
        """Return whether adjustments can be made together: no field is moved twice, or moved and needed as it is."""
        seen = 0
        for i in members:
            if seen & self.trial.claims[i]:
                return False
            seen |= self.trial.claims[i]
        return True

    def claimed(self, members: Iterable[int]) -> int:
        """Return the bits that none can meet which is to be made beside some adjustments."""
        claimed = 0
        for i in members:
            claimed |= self.trial.claims[i]
        return claimed

    def mask(self, members: Iterable[int]) -> int:
        """Return the fields that adjustments move, one bit each."""
        mask = 0
        for i in members:
            mask |= self.trial.masks[i]
        return mask

    def left(self, picks: Sequence[Pick]) -> float:
        """Return the side effect of a combination that is set on the trial."""
        now, mask = self.trial.now, self.mask(i for i, _ in picks)
        return round(sum(meter.strain(now) for meter in self.strained if meter.mask & mask) + self.used_to(picks), 6)

    def used_to(self, picks: Sequence[Pick]) -> float:
        """Return what a combination asks of the rider to get used to, as strain."""
        return sum(self.levers[i].options[option].used_to for i, option in picks)

    def spoiled(self, mask: int) -> tuple[str, ...]:
        """Return what the trial's present values spoil, of the windows that some fields can move."""
        now = self.trial.now
        return tuple(sorted(meter.key for meter in self.guards if meter.mask & mask and meter.state(now)))

    def steps(self, picks: Sequence[Pick]) -> float:
        """Return how many steps a combination makes in all."""
        return sum(self.levers[i].options[option].steps for i, option in picks)

    def _put(self, picks: Sequence[Pick]) -> None:
        for i, option in picks:
            self.trial.put(self.trial.moves[i][option])

    def take_back(self, picks: Sequence[Pick]) -> None:
        """Put what some picks move back to what it was at first."""
        for i, option in picks:
            self.trial.take_back(self.trial.moves[i][option])
