"""Answers whose repairs upset something themselves, so that a second repair follows.

Tried only where there is no other answer. A front foot that must come back by five notches leaves the feet parallel;
the back foot turned after it fits no longer between the edges; its binding is slid last.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import heapify, heappop
from itertools import combinations
from math import inf
from typing import TYPE_CHECKING

from advisor.solve.found import Found, Pick
from advisor.solve.options import cost
from advisor.solve.trial import Meter

if TYPE_CHECKING:
    from advisor.solve.hunt import Hunt

_Sets = tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]
"""What works on the complaint, the first repairs, the second ones."""


def chained(hunt: Hunt, price: int) -> Found | None:
    """Return the best answer with two rounds of repairs at a price; None where there is none.

    Each first repair is for something that the work on the complaint upsets, each second one for something that is
    upset after the first. What is upset after either round counts into the price where no later repair is for it, and
    must not be ruined then; the aims hold after each round.
    """
    points: dict[_Sets, list[tuple[Pick, ...]]] = {}
    for members in hunt.sets:
        if len(members) <= hunt.at_most - 2 and hunt.able(members):
            for picks, spoiled, _ in hunt.points(members, price, [inf]):
                for sets, chosen in _second_round(hunt, members, spoiled, price):
                    points.setdefault(sets, []).append((*picks, *chosen))
    waiting = [(cost(hunt.levers[i] for part in sets for i in part), sets) for sets in points]
    heapify(waiting)
    best: Found | None = None
    while waiting:
        work, sets = heappop(waiting)
        if best is not None and work > (best.turns, best.minutes):
            break
        found = hunt.mend(work, price, points[sets], sets[2])
        if found is not None and (best is None or found.order < best.order):
            best = found
    return best


def _second_round(
    hunt: Hunt, members: tuple[int, ...], spoiled: Sequence[Meter], price: int
) -> Iterator[tuple[_Sets, tuple[Pick, ...]]]:
    """Yield first repairs with their values, and what could be repaired after them.

    The values of the set before them are on the trial.
    """
    trial, now = hunt.trial, hunt.trial.now
    mask, claims, claimed = hunt.mask(members), trial.claims, hunt.claimed(members)
    ruined = {meter.key for meter in spoiled if meter.state(now) > 1}
    useful = sorted({i for meter in spoiled for i in hunt.menders[meter.key] if not claims[i] & claimed})
    for size in range(1, hunt.at_most - len(members)):
        for first in combinations(useful, size):
            if not hunt.apart(first):
                continue
            moved = hunt.mask(first)
            touched = [goal for goal in hunt.goals if goal.meter.mask & moved]
            guards = [meter for meter in hunt.guards if meter.mask & (mask | moved)]
            for chosen in hunt.choices(first):
                for i, option in chosen:
                    trial.put(trial.moves[i][option])
                if not all(goal.interval.has(goal.meter.value(now)) for goal in touched):
                    continue
                upset = [meter for meter in guards if meter.state(now)]
                for second in hunt.repairs((*members, *first), upset, price):
                    later = {*first, *second}
                    missed = [meter.key for meter in spoiled if not later.intersection(hunt.menders[meter.key])]
                    if len(missed) <= price and not ruined.intersection(missed):
                        yield (members, first, second), chosen
            hunt.take_back(tuple((i, 0) for i in first))
