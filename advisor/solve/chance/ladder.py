"""Today's step by the chance that it cures, and the ladder: smaller, larger and other ways, each with its price.

Today's step is the cheapest change whose chance reaches what is wanted, within the limits of one visit; cheapest by
bench minutes, by what the rider has to get used to, and by what it spoils. Sets of adjustments come by their least
possible cost, and the search ends where no set left can be cheaper, so the result equals that of trying everything.
Where nothing reaches what is wanted, it is the change that gains most for its cost.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from advisor.solve.chance.doses import load_doses
from advisor.solve.chance.model import ChanceModel, Way
from advisor.solve.hunt import Hunt
from advisor.solve.limits import Reach, allows
from advisor.solve.options import cost

__all__ = ["Rung", "best_rung", "ladder", "rung_of", "singles"]

_TINY = 1e-9
_SAME = 0.02
_MOST_SPOILED = 2


@dataclass(frozen=True, slots=True)
class Rung:
    """One step of the ladder.

    Parameters
    ----------
    way
        The change.
    chance
        That it cures, if what is aimed at is the cause.
    minutes, strain, spoiled
        What it takes at the bench, what the rider has to get used to, and what it makes worse.
    cost
        All of it [min].
    net
        The chance less what its cost is worth.

    """

    way: Way
    chance: float
    minutes: float
    strain: float
    spoiled: tuple[str, ...]
    cost: float
    net: float

    @property
    def order(self) -> tuple[float, float, Way]:
        """Return what orders rungs of the same standing, the best first."""
        return (round(self.cost, 6), -round(self.chance, 6), self.way)


def best_rung(
    model: ChanceModel, reach: Reach, at_most: int = 3, among: Collection[int] | None = None
) -> tuple[Rung | None, bool]:
    """Return the best step within a reach, and whether its chance reaches what is wanted.

    Parameters
    ----------
    model
        What is known of the complaint.
    reach
        How far one visit may go.
    at_most
        How many adjustments may be made together.
    among
        The adjustments to consider; None for all.

    """
    hunt, wanted = model.hunt, load_doses(model.trees).wanted
    best: Rung | None = None
    gains: Rung | None = None
    offers = {i: picks for i, picks in _offers(model, reach).items() if among is None or i in among}
    for members in _sets(hunt, offers, at_most):
        floor = _floor(hunt, offers, members)
        if best is not None and floor > best.cost + _TINY:
            if len(members) == 1:
                continue
            break
        for way in _worth_trying(model, offers, members):
            rung = rung_of(model, tuple(sorted(way)), best, gains)
            if rung is None:
                continue
            if rung.chance >= wanted - _TINY:
                if best is None or rung.order < best.order:
                    best = rung
            elif best is None and (gains is None or (rung.net, -rung.cost) > (gains.net, -gains.cost)):
                gains = rung
    return (best, True) if best is not None else (gains, False)


def singles(model: ChanceModel, reach: Reach) -> list[Rung]:
    """Return every single adjustment's values within a reach that help at all and ruin nothing."""
    rungs = [rung_of(model, (pick,)) for picks in _offers(model, reach).values() for pick in picks]
    return [rung for rung in rungs if rung is not None and rung.chance > 0]


def ladder(model: ChanceModel, today: Rung, reach: Reach = "most", most: int = 5) -> list[Rung]:
    """Return today's step among smaller and larger ones of the same adjustments, and the best of each other way.

    Parameters
    ----------
    model
        What is known of the complaint.
    today
        Today's step.
    reach
        How far one visit may go.
    most
        How many rungs beside it.

    """
    found: list[Rung] = []
    every = singles(model, reach)
    same = {lever for lever, _ in today.way}
    if len(today.way) == 1:
        mine = [rung for rung in every if {lever for lever, _ in rung.way} == same and rung.way != today.way]
        mine = [rung for rung in mine if _onward(model.hunt, rung, today)]
        less = [rung for rung in mine if rung.chance < today.chance - _SAME]
        more = [rung for rung in mine if rung.chance > today.chance + _SAME]
        found += _halfway(less, today) + sorted(more, key=lambda rung: rung.chance)[-1:]
    others: dict[int, Rung] = {}
    for rung in every:
        lever = rung.way[0][0]
        if lever not in same and (lever not in others or rung.net > others[lever].net):
            others[lever] = rung
    hardly = load_doses(model.trees).hardly
    found += sorted((r for r in others.values() if r.chance >= hardly), key=lambda rung: -rung.net)[: most - len(found)]
    return sorted([today, *found], key=lambda rung: rung.chance)


def _halfway(less: Sequence[Rung], today: Rung) -> list[Rung]:
    return sorted(less, key=lambda rung: abs(rung.chance - today.chance / 2))[:1]


def _onward(hunt: Hunt, rung: Rung, today: Rung) -> bool:
    (lever, option), (_, mine) = rung.way[0], today.way[0]
    options = hunt.levers[lever].options
    return options[option].by * options[mine].by > 0


def _offers(model: ChanceModel, reach: Reach) -> dict[int, list[tuple[int, int]]]:
    """Return the values of each adjustment that bring some measure aimed at nearer, on the sheet as it stands."""
    hunt, found = model.hunt, {}
    reading = 0
    for goal in model.goals:
        reading |= goal.meter.mask
    base = [_out(model, place, goal.meter.base) for place, goal in enumerate(model.goals)]
    for lever in hunt.used:
        if not hunt.trial.masks[lever] & reading:
            continue
        good = []
        for option, what in enumerate(hunt.levers[lever].options):
            if not allows(hunt.levers[lever], what, reach, model.trees):
                continue
            values = model.values(((lever, option),))
            if any(_out(model, place, value) < base[place] - _TINY for place, value in enumerate(values)):
                good.append((lever, option))
        if good:
            found[lever] = good
    return found


def _out(model: ChanceModel, place: int, value: float) -> float:
    """Return how far a value is from the inside of its aim: negative is well inside."""
    interval = model.goals[place].interval
    return max(interval.low - value, value - interval.high)


def _sets(hunt: Hunt, offers: dict[int, list[tuple[int, int]]], at_most: int) -> Iterator[tuple[int, ...]]:
    """Yield sets of adjustments that can be made together: single ones first, then by their least cost.

    One that gives something up, such as a disc laid in the other way, stands alone or not at all.
    """
    for lever in offers:
        yield (lever,)
    together = [lever for lever in offers if not hunt.levers[lever].way.loses]
    several = [
        members for size in range(2, at_most + 1) for members in combinations(together, size) if hunt.apart(members)
    ]
    yield from sorted(several, key=lambda members: (_floor(hunt, offers, members), members))


def _floor(hunt: Hunt, offers: dict[int, list[tuple[int, int]]], members: tuple[int, ...]) -> float:
    _, minutes = cost(hunt.levers[i] for i in members)
    strain = sum(min(hunt.levers[i].options[option].used_to for i, option in offers[lever]) for lever in members)
    return load_doses(hunt.trial.trees).costs.of(minutes, strain, 0)


def _worth_trying(
    model: ChanceModel, offers: dict[int, list[tuple[int, int]]], members: tuple[int, ...]
) -> Iterator[tuple[tuple[int, int], ...]]:
    """Yield the values of a set that may reach what is wanted; else its ends alone, for what they gain.

    Each adjustment moves a measure one way over its values, so at the ends of all of them lies the best that a set can
    do for each measure by itself. Where even that misses what is wanted, no value between reaches it.
    """
    if len(members) == 1:
        yield from product(*(offers[i] for i in members))
        return
    corners = list(product(*({offers[i][0], offers[i][-1]} for i in members)))
    if (
        model.cured_at_best([model.values(tuple(sorted(way))) for way in corners])
        < load_doses(model.trees).wanted - _TINY
    ):
        yield from sorted(corners)
        return
    yield from product(*(offers[i] for i in members))


def rung_of(model: ChanceModel, way: Way, beat: Rung | None = None, gains: Rung | None = None) -> Rung | None:
    """Return a change with its chance and price; None where it ruins something, or can't beat another."""
    hunt, costs = model.hunt, load_doses(model.trees).costs
    _, minutes = cost(hunt.levers[lever] for lever, _ in way)
    strain = hunt.used_to(way)
    if beat is not None and costs.of(minutes, strain, 0) > beat.cost + _TINY:
        return None
    chance = model.cured(way)
    if chance < load_doses(model.trees).wanted - _TINY:
        if beat is not None:
            return None
        if gains is not None and chance - costs.minute_worth * costs.of(minutes, strain, 0) <= gains.net:
            return None
    spoiled = _spoiled(hunt, way)
    if spoiled is None:
        return None
    lost = len(spoiled) + sum(bool(hunt.levers[lever].way.loses) for lever, _ in way)
    whole = costs.of(minutes, strain, lost)
    return Rung(way, chance, minutes, strain, spoiled, whole, chance - costs.minute_worth * whole)


def _spoiled(hunt: Hunt, way: Way) -> tuple[str, ...] | None:
    """Return what a change spoils; None where it ruins something or spoils more than an answer may."""
    trial = hunt.trial
    mask = hunt.mask(lever for lever, _ in way)
    for lever, option in way:
        trial.put(trial.moves[lever][option])
    try:
        worse = []
        for meter in hunt.guards:
            state = meter.state(trial.now) if meter.mask & mask else 0
            if state > 1:
                return None
            if state:
                worse.append(meter.key)
        return tuple(worse) if len(worse) <= _MOST_SPOILED else None
    finally:
        for lever, option in way:
            trial.take_back(trial.moves[lever][option])
