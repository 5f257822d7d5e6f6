"""One search run again and again on the same sheet with some of its numbers changed.

What a changed number does not reach is kept: adjustments whose steps and bounds do not read it, and measures with all
the values taken so far. The answer equals that of a search begun anew.
"""

from __future__ import annotations

from collections.abc import Mapping

from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide
from advisor.solve.adjustments import Adjustment, load_adjustments
from advisor.solve.found import Goal
from advisor.solve.guesses import Guesses
from advisor.solve.hunt import Hunt
from advisor.solve.options import Lever, feet_of, lever_for, lever_reads
from advisor.solve.search import Search, hunt_for

Signature = tuple[tuple[str, int], ...] | str
"""Which adjustments win, and which way each goes; or `leave`, or `none`."""


def signature_of(search: Search) -> Signature:
    """Return which adjustments a search chose and which way each goes, their sizes left out."""
    if search.found is None:
        return search.outcome
    return _signature(search.hunt, search.found.picks)


def _signature(hunt: Hunt, picks: tuple[tuple[int, int], ...]) -> Signature:
    levers = hunt.levers
    return tuple(_step(levers[lever].id, levers[lever].options[option].by) for lever, option in picks)


def _step(name: str, by: float) -> tuple[str, int]:
    return name, (by > 0) - (by < 0)


class Redraws:
    """A search that can be run with other numbers.

    Parameters
    ----------
    search
        What `find` returned; its sheet, aims and limits hold for every run.
    guesses
        What is only assumed, where it is not what the search took for it.

    """

    def __init__(self, search: Search, guesses: Guesses | None = None) -> None:
        self._search = search
        self._guesses = guesses or search.hunt.trial.guesses
        self._setup = search.known.setup.copy()
        self._moved: frozenset[str] = frozenset()
        self._hunt = self._begin()
        self._offers = self._all_offers()
        self._watched = tuple(meter.key for meter in self._hunt.strained)

    def reads(self) -> frozenset[str]:
        """Return every number of the set-up on which the answer can hang."""
        found = {path for _, _, used, _ in self._offers for path in used}
        return frozenset(found).union(*(meter.used for meter in self._hunt.trial.meters()))

    def winner(self, values: Mapping[str, float]) -> Signature:
        """Return what wins where some of the set-up's numbers are others.

        Parameters
        ----------
        values
            The numbers that differ from the sheet's own, by the set-up's paths.

        """
        base = self._search.known.setup
        changed = self._moved | set(values)
        for path in changed:
            self._setup.put(path, values.get(path, base.get(path)))
        self._moved = frozenset(values)
        hunt = self._renumbered(changed)
        if hunt.met:
            return "leave"
        found = hunt.best()
        return "none" if found is None else _signature(hunt, found.picks)

    def _begin(self) -> Hunt:
        search = self._search
        known = Known(self._setup, search.known.readings, trees=search.known.trees)
        return hunt_for(
            search.sheet, known, search.aims, feet=search.feet,
            at_most=search.hunt.at_most, allowed=search.allowed, guesses=self._guesses, scope=search.scope,
        )  # fmt: skip

    def _all_offers(self) -> list[tuple[Adjustment, FootSide | None, frozenset[str], int]]:
        """Return every adjustment that may be made, what it hangs on, and its place in the search, -1 for none."""
        search = self._search
        places = {lever.id: i for i, lever in enumerate(self._hunt.levers)}
        found = []
        adjustments = load_adjustments(search.known.trees)
        for adjustment in adjustments.values():
            if search.allowed is None or adjustment.id in search.allowed:
                for foot in feet_of(adjustment, search.feet):
                    place = places.get(f"{adjustment.id}.{foot}" if foot else adjustment.id, -1)
                    found.append((adjustment, foot, lever_reads(adjustment, foot, adjustments), place))
        return found

    def _renumbered(self, changed: frozenset[str]) -> Hunt:
        """Return the search with the present numbers, begun anew only where it is another search now."""
        hunt = self._hunt
        levers: list[Lever] = list(hunt.levers)
        anew: set[int] = set()
        for adjustment, foot, used, place in self._offers:
            if used & changed:
                lever = lever_for(adjustment, foot, self._search.sheet, self._setup, self._search.known.trees)
                if lever is not None and self._search.scope is not None:
                    lever = next(iter(self._search.scope.kept([lever], self._search.known.trees)), None)
                if (lever is None) != (place < 0):
                    return self._begin()
                if lever is not None:
                    levers[place] = lever
                    anew.add(place)
        hunt.trial.renumber(self._setup, changed, {place: levers[place] for place in anew})
        if tuple(meter.key for meter in hunt.trial.guarded()) != self._watched:
            return self._begin()
        goals = [
            Goal(goal.meter, aim.interval(goal.meter.window))
            for goal, aim in zip(hunt.goals, self._search.aims, strict=True)
        ]
        hunt.renew(levers, goals)
        return hunt
