"""Trying changes on a scratch set-up: each measure is taken once for each set of values that it reads.

The register says which of the set-up's numbers a measure reads; a change of any other number cannot move it. That is
all this module knows of the formulas: every value comes from the register's own functions.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache
from math import isnan, nan
from operator import itemgetter
from typing import Any

from advisor.geometry.measuring import measure
from advisor.geometry.register import MEASURES, SIDES, Place, places
from advisor.sheet.readings import Known
from advisor.sheet.setup import Setup
from advisor.solve.adjustments import load_served
from advisor.solve.aims import place_of
from advisor.solve.guesses import Guesses
from advisor.solve.options import Lever, setup_place
from advisor.solve.windows import Interval, Window, Windows

_TINY = 1e-9


@cache
def reads(kind: str, place: Place) -> frozenset[str]:
    """Return the set-up paths that a measure reads at a place, those that are no numbers included.

    The slots' direction goes with the slide, and the disc's way round with the offset of its holes.
    """
    if kind not in MEASURES:
        return frozenset({f"{place.side}.{kind[5:]}" if place.side else kind})
    wanted = MEASURES[kind]
    paths = {*wanted.paths(place), *wanted.paths(place, optional=True)}
    for side in SIDES:
        if f"{side}.slot_mm" in paths:
            paths.add(f"{side}.slots")
            if "bindings.hole_offset_mm" in paths:
                paths.add(f"{side}.disc_flipped")
    return frozenset(paths)


class Meter:
    """One measure (or field) at one place, read off a trial's present values."""

    __slots__ = (
        "_guessed",
        "_memo",
        "_pick",
        "_take",
        "base",
        "base_strain",
        "guard",
        "key",
        "kind",
        "limit",
        "limit_worst",
        "mask",
        "place",
        "used",
        "weight",
        "window",
        "worst",
    )

    def __init__(
        self,
        key: str,
        kind: str,
        place: Place,
        mask: int,
        pick: Callable[[list[Any]], Any],
        take: Callable[[], float],
        guessed: Callable[[str, str, Place], bool],
    ) -> None:
        self.key = key
        self.kind = kind
        self.place = place
        self.mask = mask
        self.weight = 0
        self.used: frozenset[str] = frozenset()
        self.window: Window | None = None
        self.guard: Interval | None = None
        self.base = nan
        self.base_strain = 0.0
        self.worst = 0.0
        self.limit: Interval | None = None
        self.limit_worst = 0.0
        self._pick = pick
        self._take = take
        self._guessed = guessed
        self._memo: dict[Any, tuple[float, int, float]] = {}

    def forget(self) -> None:
        """Forget every value taken so far."""
        self._memo.clear()

    def judged(self, now: list[Any]) -> tuple[float, int, float]:
        """Return the value for the trial's present values, its state and the strain that it adds."""
        seen = self._pick(now)
        try:
            return self._memo[seen]
        except KeyError:
            value = self._take()
            state = 0 if self.guard is None or not self.spoils(value) else 2 if self.ruins(value) else 1
            taken = self._memo[seen] = (value, state, self.strain_added(value))
            return taken

    def value(self, now: list[Any]) -> float:
        """Return the value for the trial's present values."""
        return self.judged(now)[0]

    def state(self, now: list[Any]) -> int:
        """Return 0 where the trial's present values leave it right, 1 where they spoil it, 2 where they ruin it."""
        return self.judged(now)[1]

    def strain(self, now: list[Any]) -> float:
        """Return the strain that the trial's present values add."""
        return self.judged(now)[2]

    def spoils(self, value: float) -> bool:
        """Return whether a value is worse than it was in a way that must be said.

        It left its window, or went further out of it, by more than a tech would overlook. Where it lies is known, and
        not only assumed.
        """
        assert self.guard is not None
        return not self.guard.distance(value) <= self.worst and not self._guessed(self.key, self.kind, self.place)

    def ruins(self, value: float) -> bool:
        """Return whether a spoiled value is beyond what an answer may do even at a price."""
        assert self.limit is not None
        return not self.limit.distance(value) <= self.limit_worst

    def strain_added(self, value: float) -> float:
        """Return by how much nearer to wrong a value lies than before."""
        if self.window is None or isnan(value):
            return 0.0
        return self.window.strain(value) - self.base_strain


class Trial:
    """A scratch set-up with adjustable values.

    Parameters
    ----------
    known
        The set-up as it is.
    levers
        Everything that may be moved.
    windows
        What is good.
    guesses
        What is only assumed, where it is not to be taken from the set-up's own readings.

    """

    def __init__(self, known: Known, levers: Sequence[Lever], windows: Windows, guesses: Guesses | None = None) -> None:
        self.guesses = guesses or Guesses(known, windows)
        self.setup: Setup = known.setup.copy()
        self.trees = known.trees
        self._known = Known(known.setup, {}, trees=known.trees)
        self._windows = windows
        self._index: dict[str, int] = {}
        for lever in levers:
            for path in lever.before:
                self._index.setdefault(setup_place(path), len(self._index))
        self.paths = tuple(self._index)
        self._holders = [self._holder(path) for path in self._index]
        self.base: list[Any] = [getattr(holder, name) for holder, name in self._holders]
        self.now = list(self.base)
        self._held = list(self.base)
        self.moves = [self._moves(lever) for lever in levers]
        self.masks = [self._mask(setup_place(path) for path in lever.before) for lever in levers]
        self.claims = _claims(levers, self.masks, len(self._index))
        self._meters: dict[str, Meter] = {}

    def meter(self, key: str) -> Meter:
        """Return the meter of a key."""
        if key not in self._meters:
            kind, place = place_of(key, self.setup)
            self._meters[key] = self._make(key, kind, place)
        return self._meters[key]

    def meters(self) -> Iterable[Meter]:
        """Return every meter asked for so far."""
        return self._meters.values()

    def renumber(self, setup: Setup, changed: Collection[str], levers: Mapping[int, Lever]) -> None:
        """Take over other numbers: those of a set-up that differ, and adjustments that they change."""
        self._known = Known(setup, {}, trees=self.trees)
        self.now[:] = self.base
        for path in self._index:
            if path in changed:
                self.base[self._index[path]] = self.now[self._index[path]] = setup.get(path)
        for path in changed:
            if path not in self._index:
                self.setup.put(path, setup.get(path))
        for place, lever in levers.items():
            self.moves[place] = self._moves(lever)
        for meter in self._meters.values():
            if not meter.used.isdisjoint(changed):
                meter.forget()
                self._put_base(meter)

    def _moves(self, lever: Lever) -> list[tuple[tuple[int, Any], ...]]:
        return [tuple((self._index[setup_place(path)], value) for path, value in o.sets) for o in lever.options]

    def guarded(self) -> Iterator[Meter]:
        """Yield a meter for every window whose measure is known and can be moved here.

        Left out are windows that guard nothing and that no adjustment is for: they tell of the board or the boot.
        """
        served = load_served(self.trees)
        for key in self._keys():
            meter = self.meter(key)
            if meter.mask and meter.window is not None and not isnan(meter.base):
                if meter.guard is None and meter.kind not in served and key not in served:
                    continue
                yield meter

    def _keys(self) -> Iterator[str]:
        for kind in self._windows.ids():
            if kind in MEASURES:
                yield from (f"{kind}.{place}" if place.side else kind for place in places(MEASURES[kind]))
            elif kind.startswith("foot."):
                yield from (f"{side}.{kind[5:]}" for side in SIDES)
            else:
                yield kind

    def put(self, moves: Iterable[tuple[int, Any]]) -> None:
        """Set values."""
        now = self.now
        for index, value in moves:
            now[index] = value

    def take_back(self, moves: Iterable[tuple[int, Any]]) -> None:
        """Put values back to what they were at first."""
        now, base = self.now, self.base
        for index, _ in moves:
            now[index] = base[index]

    def _holder(self, path: str) -> tuple[Any, str]:
        part, _, name = path.rpartition(".")
        return (getattr(self.setup, part) if part else self.setup), name

    def _mask(self, paths: Iterable[str]) -> int:
        mask = 0
        for path in paths:
            if path in self._index:
                mask |= 1 << self._index[path]
        return mask

    def _make(self, key: str, kind: str, place: Place) -> Meter:
        used = reads(kind, place)
        indexes = [index for path, index in self._index.items() if path in used]
        pick: Callable[[list[Any]], Any] = itemgetter(*indexes) if indexes else _nothing
        meter = Meter(
            key, kind, place, self._mask(used), pick, self._taker(key, kind, place, indexes), self.guesses.about
        )
        meter.weight = len(used)
        meter.used = used | self._windows.reads(key)
        self._put_base(meter)
        return meter

    def _put_base(self, meter: Meter) -> None:
        """Set where a meter stands with the set-up as it is, and its window."""
        if meter.kind in MEASURES:
            meter.base = _safe(lambda: measure(self._known, MEASURES[meter.kind], meter.place).value)
        else:
            meter.base = float(self._known.setup.get(meter.key))
        meter.window = self._windows.window(meter.key, self._known.setup)
        if meter.window is not None and not isnan(meter.base):
            meter.base_strain = meter.window.strain(meter.base)
        if meter.window is not None and meter.window.guard is not None:
            meter.guard, close = meter.window.guard, meter.window.close
            meter.limit = Interval(min(meter.guard.low, close.low), max(meter.guard.high, close.high))
            meter.worst = _allowed(meter.guard, meter.base, meter.window.notice)
            meter.limit_worst = _allowed(meter.limit, meter.base, meter.window.notice)

    def _taker(self, key: str, kind: str, place: Place, indexes: list[int]) -> Callable[[], float]:
        setup, now, held, holders = self.setup, self.now, self._held, self._holders
        if kind not in MEASURES:
            compute: Callable[..., float] = setup.get
            arguments: tuple[Any, ...] = (key,)
        else:
            compute, arguments = MEASURES[kind].compute, (setup,)
            if place.side is not None:
                arguments = (setup, setup.foot(place.side), *((place.edge,) if place.edge else ()))

        def take() -> float:
            for index in indexes:
                if held[index] is not now[index]:
                    holder, name = holders[index]
                    setattr(holder, name, now[index])
                    held[index] = now[index]
            try:
                return float(compute(*arguments))
            except (ValueError, ZeroDivisionError):
                return nan

        return take


def _claims(levers: Sequence[Lever], masks: Sequence[int], used: int) -> list[int]:
    """Return bits by which two adjustments meet that can't be made together.

    They move the same field, or one moves what the other needs as it is; each such pair has a bit of its own.
    """
    claims = list(masks)
    keeping = [(i, lever.keeps) for i, lever in enumerate(levers) if lever.keeps]
    for i, keeps in keeping:
        for j, other in enumerate(levers):
            if not keeps.isdisjoint(other.before) and not claims[i] & claims[j]:
                claims[i] |= 1 << used
                claims[j] |= 1 << used
                used += 1
    return claims


def _allowed(interval: Interval, base: float, notice: float) -> float:
    """Return how far outside a value may go: from inside or outside, no further than a tech would notice."""
    return interval.distance(base) + notice


def _nothing(now: list[Any]) -> None:  # noqa: ARG001
    return None


def _safe(take: Callable[[], float]) -> float:
    try:
        return take()
    except (ValueError, ZeroDivisionError):
        return nan
