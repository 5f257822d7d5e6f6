"""Which windows guard nothing, because where their measure lies is only assumed.

Where the assumed numbers, each within its ±, move a measure against the middle of its window by as large a part of half
the window as `load_most_assumed()` says, whether it lies inside is a guess. A search is then neither made to repair it
nor kept from an answer by it; its strain still counts. A window with an open end always guards, for there more is worse
whatever the measure is now.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from math import inf, isnan

from advisor.geometry.measuring import spread
from advisor.geometry.register import MEASURES, Place
from advisor.sheet.readings import Known
from advisor.sheet.setup import Setup
from advisor.solve.adjustments import load_most_assumed
from advisor.solve.windows import Windows

_TINY = 1e-9


class Guesses:
    """What is only assumed of one sheet; it stays the same for sheets drawn within its ±.

    Parameters
    ----------
    known
        The set-up with the reading behind each number.
    windows
        What is good.
    held
        Set-up paths that count as known whatever their reading says.

    """

    def __init__(self, known: Known, windows: Windows, held: Collection[str] = ()) -> None:
        self._known = known
        self._windows = windows
        self._assumed = {
            path: half
            for path, half in known.moving.items()
            if known.readings[path].origin == "assumed" and path not in held
        }
        self._found: dict[str, bool] = {}

    def about(self, key: str, kind: str, place: Place) -> bool:
        """Return whether it is a guess that a measure or field lies inside its window."""
        if key not in self._found:
            self._found[key] = self._guess(key, kind, place)
        return self._found[key]

    def _guess(self, key: str, kind: str, place: Place) -> bool:
        window = self._windows.window(key, self._known.setup)
        if window is None or window.guard is None or window.guard.high - window.guard.low == inf:
            return False
        wanted = MEASURES.get(kind)
        used = {key} if wanted is None else {*wanted.paths(place), *wanted.paths(place, optional=True)}
        used |= self._windows.reads(key)
        ranges = [(path, half) for path, half in self._assumed.items() if path in used]
        if not ranges:
            return False

        def off_middle(setup: Setup) -> float:
            value = wanted.at(setup, place) if wanted else setup.get(key)
            there = self._windows.window(key, setup)
            return value - (there.guard.low + there.guard.high) / 2 if there and there.guard else value

        most = load_most_assumed(self._known.trees) * (window.guard.high - window.guard.low) / 2
        scratch = self._known.scratch
        middles = [(path, scratch.get(path)) for path, _ in ranges]
        try:
            moved = spread(off_middle, scratch, ranges)
            return isnan(moved) or moved >= most or _farthest(off_middle, scratch, ranges) >= most
        except (ValueError, ZeroDivisionError):
            return True
        finally:
            for path, middle in middles:
                scratch.put(path, middle)


def _farthest(value: Callable[[Setup], float], setup: Setup, ranges: Sequence[tuple[str, float]]) -> float:
    """Return how far numbers taken to the ends of their ± together move a value, climbing one number at a time.

    Which way a number pushes can hang on where the others stand: how a knee passes over a foot turns round with the
    foot. So each is tried at either end until none gains any more, once upward and once downward.
    """
    base = value(setup)
    middles = [setup.get(path) for path, _ in ranges]
    farthest = 0.0
    for sign in (1.0, -1.0):
        best = 0.0
        ends = [0.0 for _ in ranges]
        gained = True
        while gained:
            gained = False
            for place, (path, half) in enumerate(ranges):
                for end in (half, -half):
                    if end != ends[place]:
                        setup.put(path, middles[place] + end)
                        there = sign * (value(setup) - base)
                        if there > best + _TINY:
                            best, ends[place], gained = there, end, True
                setup.put(path, middles[place] + ends[place])
        farthest = max(farthest, best)
        for (path, _), middle in zip(ranges, middles, strict=True):
            setup.put(path, middle)
    return farthest
