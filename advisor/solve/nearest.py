"""Where there is no answer: the combination that comes nearest without ruining anything."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.solve.found import Found, Goal, Pick, any_ruined, last_mover
from advisor.solve.hunt import Hunt
from advisor.solve.options import cost
from advisor.solve.trial import Meter

_TINY = 1e-9


def nearest(hunt: Hunt) -> Found:
    """Return the combination that comes nearest to the aims and ruins nothing; the least work among equals.

    The sets that could come nearest by what each aim could be on its own are tried first, so that most of the others
    need no trying.
    """
    base_short = sum(goal.short(goal.meter.base) for goal in hunt.goals)
    best = Found((), 0.0, 0.0, 0.0, 0.0, (), round(base_short, 9))
    places = range(len(hunt.goals))
    ranked = sorted(
        (round(sum(hunt.least(place, members) for place in places), 9), cost(hunt.levers[i] for i in members), members)
        for members in hunt.sets
    )
    bound = [best.short]
    for least, work, members in ranked:
        if least > best.short + _TINY:
            break
        if least >= best.short - _TINY and work > (best.turns, best.minutes):
            continue
        for picks, short in unruined(hunt, members, bound):
            found = Found(picks, *work, 0.0, hunt.steps(picks), (), round(short, 9))
            if _nearness(found) < _nearness(best):
                best = found
                bound[0] = best.short
    return hunt.weigh(best.picks)


def unruined(hunt: Hunt, members: tuple[int, ...], bound: list[float]) -> Iterator[tuple[tuple[Pick, ...], float]]:
    """Yield every choice of values that misses the aims by no more than a bound and ruins nothing.

    With how far it misses them; the values are set on the trial meanwhile. The bound may be lowered on the way.
    """
    masks = [hunt.trial.masks[i] for i in members]
    plan: list[tuple[list[Goal], list[Meter]]] = [([], []) for _ in members]
    for meter in hunt.guards:
        last = last_mover(meter.mask, masks)
        if last >= 0:
            plan[last][1].append(meter)
    for _, guards in plan:
        guards.sort(key=lambda meter: meter.weight)
    start = 0.0
    to_come = [0.0 for _ in members]
    for place, goal in enumerate(hunt.goals):
        last = last_mover(goal.meter.mask, masks)
        if last < 0:
            start += goal.short(goal.meter.base)
            continue
        plan[last][0].append(goal)
        for depth in range(last):
            to_come[depth] += hunt.least(place, members)
    trial, now, moves = hunt.trial, hunt.trial.now, hunt.trial.moves
    picks: list[Pick] = []

    def descend(depth: int, short: float) -> Iterator[tuple[tuple[Pick, ...], float]]:
        if depth == len(members):
            yield tuple(picks), short
            return
        member = members[depth]
        goals, guards = plan[depth]
        for option, move in enumerate(moves[member]):
            trial.put(move)
            reached = short + sum(goal.short(goal.meter.value(now)) for goal in goals)
            if reached + to_come[depth] <= bound[0] + _TINY and not any_ruined(guards, now):
                picks.append((member, option))
                yield from descend(depth + 1, reached)
                picks.pop()
        trial.take_back(moves[member][0])

    if start <= bound[0] + _TINY:
        yield from descend(0, start)


def _nearness(found: Found) -> tuple[float, float, float, float, tuple[Pick, ...]]:
    return (found.short, found.turns, found.minutes, found.steps, found.picks)
