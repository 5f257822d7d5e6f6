"""Several complaints at once: what solves which of them at what price, as a short list with nothing dominated.

Weighed are all combinations of adjustments that are for one of the complaints and ruin nothing, and the best answers to
each complaint and to all together, repairs included. A choice is dominated when another misses no complaint by more,
spoils no more, takes no more turns and minutes, and is better in one of these. Misses are compared in tenths of each
measure's own scale.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from advisor.errors import UnknownName
from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import Sheet
from advisor.solve.adjustments import load_most_spoiled
from advisor.solve.aims import Aim
from advisor.solve.choice import Choice
from advisor.solve.found import Found, Goal, Pick
from advisor.solve.hunt import Hunt
from advisor.solve.limits import Scope
from advisor.solve.nearest import unruined
from advisor.solve.options import SIDES, cost
from advisor.solve.reasons import missed_words, reached_values, work_words
from advisor.solve.search import Search, find, hunt_for

_TENTHS = 10

Vector = tuple[float, ...]
"""Misses by complaint, number of spoiled measures, turns, minutes."""


@dataclass(frozen=True, slots=True)
class Trade:
    """One choice, the complaints that it solves, and by how much it misses the others."""

    choice: Choice
    solves: tuple[str, ...]
    missed: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class TradeOff:
    """Several complaints weighed against each other.

    Parameters
    ----------
    together
        The search for all of them at once.
    choices
        Every choice that no other dominates, those that solve most first.

    """

    together: Search
    choices: tuple[Trade, ...]

    @property
    def conflict(self) -> bool:
        """Whether no choice solves them all without spoiling something."""
        best = self.together.best
        return self.together.outcome == "none" or (best is not None and bool(best.spoils))

    def short_list(self, most: int = 4) -> tuple[Trade, ...]:
        """Return a few choices: the best for all together, and for each complaint the best that solves it."""
        kept = list(self.choices[:1])
        for name in dict.fromkeys(name for trade in self.choices for name in trade.missed):
            solved = next((trade for trade in self.choices if name in trade.solves), None)
            if solved is not None and solved not in kept:
                kept.append(solved)
        kept += [trade for trade in self.choices if trade not in kept]
        return tuple(kept[:most])


def trade_off(
    sheet: Sheet,
    complaints: Mapping[str, Sequence[Aim]],
    *,
    feet: Sequence[FootSide] = SIDES,
    at_most: int = 3,
    allowed: Collection[str] | None = None,
    trees: Trees | None = None,
    known: Known | None = None,
    scope: Scope | None = None,
) -> TradeOff:
    """Solve several complaints together, and show what each choice gains and costs.

    Parameters
    ----------
    sheet
        The sheet as it is.
    complaints
        The aims of each, by its name.
    feet, at_most, allowed, practice, known, scope
        As for `find`.

    Raises
    ------
    UnknownName
        When an aim names no measure or has no range, or two complaints want different ranges of one measure.

    """
    if known is None:
        known = resolve(sheet, trees=trees)
    aims = _united(complaints)
    search = find(sheet, aims, feet=feet, at_most=at_most, allowed=allowed, trees=trees, known=known, scope=scope)
    if search.needs:
        return TradeOff(search, ())
    goals = {
        name: [goal for goal in search.hunt.goals if goal.meter.key in {aim.key for aim in own}]
        for name, own in complaints.items()
    }
    answers = [search.found]
    for own in complaints.values():
        hunt = hunt_for(sheet, known, own, feet=feet, at_most=at_most, allowed=allowed, scope=scope)
        answers.append(None if hunt.met else hunt.best())
    front = _front(search.hunt, goals, [answer.picks for answer in answers if answer])
    trades = []
    for vector, found in front.items():
        values = reached_values(search.hunt, found)
        misses = dict(zip(goals, vector, strict=False))
        solves = tuple(name for name, miss in misses.items() if miss == 0)
        choice = search.choice(found, _sentence(goals, misses, values, found))
        trades.append(
            ((sum(miss > 0 for miss in misses.values()), sum(misses.values()), *vector), solves, misses, choice)
        )
    trades.sort(key=lambda trade: trade[0])
    return TradeOff(search, tuple(Trade(choice, solves, misses) for _, solves, misses, choice in trades))


def _united(complaints: Mapping[str, Sequence[Aim]]) -> list[Aim]:
    found: dict[str, tuple[str, Aim]] = {}
    for name, aims in complaints.items():
        for aim in aims:
            other, same = found.setdefault(aim.key, (name, aim))
            if same != aim:
                raise UnknownName(f"'{other}' and '{name}' want different ranges for {aim.key}; give both the same one")
    return [aim for _, aim in found.values()]


def _front(hunt: Hunt, goals: Mapping[str, Sequence[Goal]], answers: Sequence[tuple[Pick, ...]]) -> dict[Vector, Found]:
    """Return the choices that no other dominates, one for each vector."""
    front: dict[Vector, Found] = {}
    base = tuple(_miss(own, {goal.meter.key: goal.meter.base for goal in hunt.goals}) for own in goals.values())
    front[(*base, 0, 0.0, 0.0)] = hunt.weigh(())
    for picks in answers:
        found = hunt.weigh(picks)
        values = reached_values(hunt, found)
        _add(
            (*(_miss(own, values) for own in goals.values()), len(found.spoiled), found.turns, found.minutes),
            found,
            front,
        )
    places = {name: [hunt.goals.index(goal) for goal in own] for name, own in goals.items()}
    for work, members in sorted((cost(hunt.levers[i] for i in members), members) for members in hunt.sets):
        least = tuple(_tenths(sum(hunt.least(place, members) for place in own)) for own in places.values())
        if _dominated((*least, 0, *work), front):
            continue
        for picks, _ in unruined(hunt, members, [inf]):
            values = {goal.meter.key: goal.meter.value(hunt.trial.now) for goal in hunt.goals}
            misses = tuple(_miss(own, values) for own in goals.values())
            if not _dominated((*misses, 0, *work), front):
                mask = hunt.mask(members)
                spoiled = hunt.spoiled(mask)
                if len(spoiled) <= load_most_spoiled(hunt.trial.trees):
                    found = Found(picks, *work, hunt.left(picks), hunt.steps(picks), spoiled)
                    _add((*misses, len(spoiled), *work), found, front)
    return front


def _add(vector: Vector, found: Found, front: dict[Vector, Found]) -> None:
    if _dominated(vector, front):
        return
    old = front.get(vector)
    if old is None:
        for other in [other for other in front if _dominates(vector, other)]:
            del front[other]
    if old is None or found.order < old.order:
        front[vector] = found


def _miss(goals: Sequence[Goal], values: Mapping[str, float]) -> float:
    return _tenths(sum(goal.short(values[goal.meter.key]) for goal in goals))


def _tenths(short: float) -> float:
    """Return a miss in tenths of a scale, rounded up, so that only what is reached counts as 0."""
    return short if short in (0.0, inf) else max(1, round(short * _TENTHS)) / _TENTHS


def _dominates(one: Vector, other: Vector) -> bool:
    return one != other and all(mine <= theirs for mine, theirs in zip(one, other, strict=True))


def _dominated(vector: Vector, front: Mapping[Vector, Found]) -> bool:
    return any(_dominates(other, vector) for other in front)


def _sentence(
    goals: Mapping[str, Sequence[Goal]], misses: Mapping[str, float], values: dict[str, float], found: Found
) -> str:
    solved = [name for name, miss in misses.items() if miss == 0]
    parts = [f"solves {' and '.join(solved)}"] if solved else []
    parts += [f"not {name}: {missed_words(goals[name], values)}" for name, miss in misses.items() if miss > 0]
    if not found.picks:
        return f"leaves all as it is: {'; '.join(parts)}"
    work = work_words(found.turns, found.minutes)
    price = f"; spoils {len(found.spoiled)}" if found.spoiled else ""
    return f"{'; '.join(parts)}; {work}{price}"
