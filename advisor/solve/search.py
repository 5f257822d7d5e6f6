"""The smallest set of adjustments that brings measures right, with what else was tried and why it lost."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from advisor.geometry.measuring import measure
from advisor.geometry.register import MEASURES
from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import Sheet
from advisor.solve.aims import Aim, aimed, place_of
from advisor.solve.choice import Choice, Spoiled, changes_of
from advisor.solve.found import Found, Goal
from advisor.solve.guesses import Guesses
from advisor.solve.hunt import Hunt
from advisor.solve.limits import Scope
from advisor.solve.nearest import nearest
from advisor.solve.options import SIDES, levers
from advisor.solve.reasons import unit_of, why_lost, why_won
from advisor.solve.trial import Trial
from advisor.solve.windows import load_windows

if TYPE_CHECKING:
    from advisor.solve.chance.likely import Likely
    from advisor.solve.shortfall import Shortfall

_RUNNERS_UP = 3
_TINY = 1e-9


@dataclass(frozen=True)
class Search:
    """What the search for an adjustment found.

    Parameters
    ----------
    outcome
        `leave`: every aim holds already. `adjust`: see `best`. `none`: no set of adjustments within every travel does
        it (see `shortfall`), or a number is missing (see `needs`).
    best
        The choice to make.
    needs
        The sheet's fields without which an aim has no value.
    sheet, known, aims, feet, allowed
        What was asked.
    hunt, found
        The search itself and its answer, for those who look further.
    scope
        How far one visit may go, and where; None where nothing limits it.
    goal
        Where `best` is a first step only: where it may end.
    partial
        Whether `best` comes nearer and stays short, and no step more would do.
    likely
        The chance that `best` cures, with its ladder, where it was searched by that.

    """

    outcome: Literal["adjust", "leave", "none"]
    best: Choice | None
    needs: tuple[str, ...]
    sheet: Sheet
    known: Known
    aims: tuple[Aim, ...]
    hunt: Hunt
    found: Found | None
    feet: tuple[FootSide, ...]
    allowed: frozenset[str] | None
    trees: Trees | None = None
    scope: Scope | None = None
    goal: Choice | None = None
    partial: bool = False
    likely: Likely | None = None

    @cached_property
    def runners_up(self) -> tuple[Choice, ...]:
        """Return what comes next, each with the reason why it lost.

        First, where several adjustments are needed, the best that does without one of them; then single adjustments.
        """
        if self.outcome == "leave" or self.needs:
            return ()
        picked = self.found.picks if self.found else ()
        taken = {lever for lever, _ in picked}
        others = [self.hunt.alone(lever) for lever in self.hunt.movers if {lever} != taken]
        base = self.hunt.weigh(()).short
        tried = [found for found in others if found.short < base]
        if len(picked) > 1:
            without = [self.hunt.best_without(lever) for lever in taken]
            known = {found.picks for found in tried}
            tried += {found.picks: found for found in without if found and found.picks not in known}.values()
        tried.sort(key=lambda found: found.rank)
        return tuple(self.choice(found, why_lost(self.hunt, found, self.found)) for found in tried[:_RUNNERS_UP])

    @cached_property
    def shortfall(self) -> Shortfall | None:
        """Return how near the best comes where nothing reaches the aims; None otherwise."""
        from advisor.solve.shortfall import shortfall_of

        if self.partial and self.found is not None and self.best is not None:
            return shortfall_of(self.hunt, self.found, self.best, self.known)
        if self.outcome != "none" or self.needs:
            return None

        found = nearest(self.hunt)
        return shortfall_of(self.hunt, found, self.choice(found, why_lost(self.hunt, found, None)), self.known)

    def choice(self, found: Found, reason: str) -> Choice:
        """Return a combination as a choice."""
        hunt = self.hunt
        chosen = [(hunt.levers[lever], hunt.levers[lever].options[option]) for lever, option in found.picks]
        for lever, option in found.picks:
            hunt.trial.put(hunt.trial.moves[lever][option])
        worse = [
            Spoiled(meter.key, meter.base, value, meter.guard.words(unit_of(meter.key)), unit_of(meter.key))
            for meter in hunt.strained
            if meter.guard is not None and not any(goal.meter is meter for goal in hunt.goals)
            if meter.guard.distance(value := meter.value(hunt.trial.now)) > meter.guard.distance(meter.base) + _TINY
        ]
        for lever, option in found.picks:
            hunt.trial.take_back(hunt.trial.moves[lever][option])
        return Choice(
            self.sheet,
            changes_of(chosen, self.known),
            found.turns,
            found.minutes,
            found.left,
            tuple(one for one in worse if one.key in found.spoiled),
            found.short,
            reason,
            self.known.trees,
            tuple(one for one in worse if one.key not in found.spoiled),
        )


def find(
    sheet: Sheet,
    aims: Sequence[Aim],
    *,
    feet: Sequence[FootSide] = SIDES,
    at_most: int = 3,
    allowed: Collection[str] | None = None,
    trees: Trees | None = None,
    known: Known | None = None,
    scope: Scope | None = None,
) -> Search:
    """Find the smallest change that brings every aim right and spoils nothing; `hunt.py` says what that means exactly.

    Parameters
    ----------
    sheet
        The sheet as it is.
    aims
        What must come right.
    feet
        The feet that may be touched.
    at_most
        How many adjustments may be made together.
    allowed
        Names of adjustments to consider; None for all.
    trees
        The knowledge; the authors' where missing.
    known
        The set-up resolved from the sheet, where the caller has it.
    scope
        How far one visit may go, and where (`limits.py`); None for as far as a hand can.

    Returns
    -------
    Search
        The best choice, what else was tried, or how near the best comes.

    Raises
    ------
    UnknownName
        When an aim names no measure or has no range.

    """
    if known is None:
        known = resolve(sheet, trees=trees)
    kept = None if allowed is None else frozenset(allowed)
    hunt = hunt_for(sheet, known, aims, feet=feet, at_most=at_most, allowed=kept, scope=scope)
    needs = _needs(known, hunt)
    found = None if needs or hunt.met else hunt.best()
    outcome: Literal["adjust", "leave", "none"] = "adjust" if found else "none" if needs or not hunt.met else "leave"
    search = Search(outcome, None, needs, sheet, known, tuple(aims), hunt, found, tuple(feet), kept, trees, scope)
    return replace(search, best=search.choice(found, why_won(hunt, found))) if found else search


def hunt_for(
    sheet: Sheet,
    known: Known,
    aims: Sequence[Aim],
    *,
    feet: Sequence[FootSide] = SIDES,
    at_most: int = 3,
    allowed: Collection[str] | None = None,
    guesses: Guesses | None = None,
    scope: Scope | None = None,
) -> Hunt:
    """Return the search for a set-up, ready to run; `guesses` are those of the sheet that it was drawn from."""
    offered = levers(sheet, known, feet=feet, allowed=allowed)
    if scope is not None:
        offered = scope.kept(offered, known.trees)
    trial = Trial(known, offered, load_windows(known.trees), guesses)
    goals = []
    for aim in aimed(aims):
        meter = trial.meter(aim.key)
        goals.append(Goal(meter, aim.interval(meter.window)))
    return Hunt(trial, offered, goals, at_most)


def _needs(known: Known, hunt: Hunt) -> tuple[str, ...]:
    missing: list[str] = []
    for goal in hunt.goals:
        kind, place = place_of(goal.meter.key, known.setup)
        if goal.meter.base == goal.meter.base:
            continue
        if kind in MEASURES:
            missing.extend(measure(known, MEASURES[kind], place).needs)
        else:
            missing.append(known.sheet_path(goal.meter.key))
    return tuple(dict.fromkeys(missing))
