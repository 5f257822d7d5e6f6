"""The search done the simple way: try every combination of every value on the set-up and keep the best.

Follows the words of `advisor.solve.hunt`, "What counts as an answer", and shares none of its code. It does share the
list of what a sheet offers (`options.py`), the windows and the register of measures, each of which has its own tests.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import combinations, permutations, product
from math import inf, isnan
from typing import NamedTuple

from advisor.geometry.measuring import measure
from advisor.geometry.register import MEASURES, Place, places
from advisor.sheet.readings import Known
from advisor.sheet.setup import Setup
from advisor.solve.adjustments import load_adjustments, load_most_assumed, load_most_spoiled
from advisor.solve.aims import Aim
from advisor.solve.options import Lever, Option, cost
from advisor.solve.windows import Window, load_windows

TINY = 1e-9


class Answer(NamedTuple):
    """Ordered as answers are: the smallest is the best."""

    price: int
    turns: float
    minutes: float
    left: float
    steps: float
    picks: tuple[tuple[int, int], ...]


class Nearest(NamedTuple):
    """Ordered as what misses the aims is: the smallest is the nearest."""

    short: float
    turns: float
    minutes: float
    steps: float
    picks: tuple[tuple[int, int], ...]


class Spot(NamedTuple):
    key: str
    kind: str
    place: Place
    window: Window
    base: float


def value_at(setup: Setup, key: str) -> float:
    """Return a measure or field of a set-up by its key."""
    head, _, tail = key.partition(".")
    if head not in MEASURES:
        return setup.get(key)
    place = next(place for place in places(MEASURES[head]) if str(place) == tail)
    try:
        return MEASURES[head].at(setup, place)
    except (ValueError, ZeroDivisionError):
        return float("nan")


def spots(known: Known) -> list[Spot]:
    """Return every window at every place, with the value before."""
    found = []
    for name in load_windows().ids():
        if name in MEASURES:
            for place in places(MEASURES[name]):
                base = measure(known, MEASURES[name], place).value
                key = f"{name}.{place}" if place.side else name
                found.append((key, name, place, base))
        else:
            side = name.partition(".")[0]
            foot = side if side in {"front", "back"} else None
            kind = name.replace(f"{side}.", "foot.", 1) if foot else name
            found.append((name, kind, Place(foot), known.setup.get(name)))
    windows = [load_windows().window(key, known.setup) for key, *_ in found]
    worked_on = {name for entry in load_adjustments().values() for way in entry.ways for name in way.serves}
    return [
        Spot(key, kind, place, window, base)
        for (key, kind, place, base), window in zip(found, windows, strict=True)
        if window is not None and not isnan(base) and (window.guard is not None or {kind, key} & worked_on)
    ]


def guarding(spot: Spot, aims: Iterable[str]) -> bool:
    """Return whether a window guards beside aims: not the aimed ones, and not what says the same as one of them."""
    if spot.window.guard is None:
        return False
    return all(key != spot.key and key.partition(".")[0] not in spot.window.same_as for key in aims)


def guessed(known: Known, spot: Spot) -> bool:
    """Return whether assumed numbers alone move a measure against its window's middle by half the window.

    Those that move it at all are taken to all their corners together.
    """
    guard = spot.window.guard
    if guard is None or guard.high - guard.low == inf:
        return False
    setup = known.setup.copy()

    def off_middle() -> float:
        window = load_windows().window(spot.key, setup)
        assert window and window.guard
        return value_at(setup, spot.key) - (window.guard.low + window.guard.high) / 2

    base, moving = off_middle(), []
    for path, reading in known.readings.items():
        if reading.origin == "assumed" and reading.plus_minus > 0:
            now = setup.get(path)
            ends = now - reading.plus_minus, now + reading.plus_minus
            moved = False
            for end in ends:
                setup.put(path, end)
                moved = moved or off_middle() != base
            setup.put(path, now)
            if moved:
                moving.append((path, ends))
    worst = 0.0
    for corner in product(*(ends for _, ends in moving)):
        for (path, _), value in zip(moving, corner, strict=True):
            setup.put(path, value)
        worst = max(worst, abs(off_middle() - base))
    return worst >= load_most_assumed() * (guard.high - guard.low) / 2


def worse(value: float, base: float, low: float, high: float, notice: float) -> bool:
    """Return whether a value lies further outside a range than before by more than a notice."""
    if isnan(value):
        return True

    def outside(v: float) -> float:
        return max(low - v, v - high, 0.0) if not low - TINY <= v <= high + TINY else 0.0

    return outside(value) > outside(base) + notice + TINY


def serves(lever: Lever, kind: str, key: str, place: Place) -> bool:
    """Return whether an adjustment is for a measure at a place."""
    if lever.foot is not None and place.side is not None and lever.foot != place.side:
        return False
    return kind in lever.way.serves or key in lever.way.serves


@contextmanager
def with_options(known: Known, options: Sequence[Option]) -> Iterator[Setup]:
    """Lend a set-up with values set."""
    setup = known.scratch
    undo = []
    for option in options:
        for path, value in option.sets:
            part, _, name = path.removeprefix("mount.").rpartition(".")
            holder = getattr(setup, part) if part else setup
            undo.append((holder, name, getattr(holder, name)))
            setattr(holder, name, value)
    try:
        yield setup
    finally:
        for holder, name, value in reversed(undo):
            setattr(holder, name, value)


def brute_force(known: Known, levers: Sequence[Lever], aims: Sequence[Aim], at_most: int) -> Answer | None:
    """Return the best answer, found by trying everything; repairs of repairs only where there is no other."""
    return _by_rounds(known, levers, aims, at_most, 1) or _by_rounds(known, levers, aims, at_most, 2)


def _by_rounds(known: Known, levers: Sequence[Lever], aims: Sequence[Aim], at_most: int, rounds: int) -> Answer | None:
    """Return the best answer with at most one round of repairs, or with exactly two."""
    windows = load_windows()
    ranges = {aim.key: aim.interval(windows.window(aim.key, known.setup)) for aim in aims}
    watched = spots(known)
    guards = [spot for spot in watched if guarding(spot, ranges) and not guessed(known, spot)]
    aim_places = [_place(key) for key in ranges]

    def spoiled_by(setup: Setup) -> list[Spot]:
        found = []
        for spot in guards:
            guard = spot.window.guard
            assert guard is not None
            value = value_at(setup, spot.key)
            if worse(value, spot.base, guard.low, guard.high, spot.window.notice):
                found.append(spot)
        return found

    def reached(setup: Setup) -> bool:
        return all(interval.has(value_at(setup, key)) for key, interval in ranges.items())

    def price_of(stages: tuple[tuple[int, ...], ...], picked: dict[int, int]) -> int | None:
        """Return what an answer costs in spoiled measures, None where it is none."""
        price, made, upset = 0, [], []
        for place, stage in enumerate(stages):
            if place and not all(any(serves(levers[i], s.kind, s.key, s.place) for s in upset) for i in stage):
                return None
            made += stage
            later = [i for other in stages[place + 1 :] for i in other]
            with with_options(known, [levers[i].options[picked[i]] for i in made]) as setup:
                if not reached(setup):
                    return None
                upset = spoiled_by(setup)
                left = [s for s in upset if not any(serves(levers[i], s.kind, s.key, s.place) for i in later)]
                if any(_ruined(setup, s) for s in left):
                    return None
            price = max(price, len(left))
        return price

    best: Answer | None = None
    for size in range(1, at_most + 1):
        for chosen in combinations(range(len(levers)), size):
            if not _apart([levers[i] for i in chosen]):
                continue
            working = tuple(i for i in chosen if any(serves(levers[i], *where) for where in aim_places))
            repairing = tuple(i for i in chosen if i not in working)
            if not working:
                continue
            for values in product(*(range(len(levers[i].options)) for i in chosen)):
                picked = dict(zip(chosen, values, strict=True))
                prices = []
                for stages in _stages(working, repairing, rounds):
                    price = price_of(stages, picked)
                    if price is not None and price <= load_most_spoiled():
                        prices.append(price)
                if not prices:
                    continue
                with with_options(known, [levers[i].options[picked[i]] for i in chosen]) as after:
                    left = sum(_strain_added(s, value_at(after, s.key)) for s in watched)
                left += sum(levers[i].options[picked[i]].steps * levers[i].way.used_to for i in chosen)
                turns, minutes = cost(levers[i] for i in chosen)
                steps = sum(levers[i].options[picked[i]].steps for i in chosen)
                answer = Answer(min(prices), turns, minutes, round(left, 6), steps, tuple(picked.items()))
                if best is None or answer < best:
                    best = answer
    return best


def _stages(working: tuple[int, ...], repairing: tuple[int, ...], rounds: int) -> Iterator[tuple[tuple[int, ...], ...]]:
    """Yield the work on the complaint and the rounds of repairs after it."""
    if rounds == 1:
        yield (working, repairing) if repairing else (working,)
        return
    for size in range(1, len(repairing)):
        for first in combinations(repairing, size):
            yield working, first, tuple(i for i in repairing if i not in first)


def brute_nearest(known: Known, levers: Sequence[Lever], aims: Sequence[Aim], at_most: int) -> Nearest:
    """Return what comes nearest to the aims without ruining anything, by trying everything that works on them."""
    windows = load_windows()
    goals = [(aim.key, windows.window(aim.key, known.setup), aim) for aim in aims]
    keys = [aim.key for aim in aims]
    guards = [spot for spot in spots(known) if guarding(spot, keys) and not guessed(known, spot)]
    working = [i for i, lever in enumerate(levers) if any(serves(lever, *_place(aim.key)) for aim in aims)]
    best = Nearest(_short(known.setup, goals), 0.0, 0.0, 0.0, ())
    for size in range(1, at_most + 1):
        for chosen in combinations(working, size):
            if not _apart([levers[i] for i in chosen]):
                continue
            turns, minutes = cost(levers[i] for i in chosen)
            for values in product(*(range(len(levers[i].options)) for i in chosen)):
                picks = tuple(zip(chosen, values, strict=True))
                with with_options(known, [levers[i].options[option] for i, option in picks]) as setup:
                    steps = sum(levers[i].options[option].steps for i, option in picks)
                    tried = Nearest(_short(setup, goals), turns, minutes, steps, picks)
                    if tried < best and not any(_ruined(setup, spot) for spot in guards):
                        best = tried
    return best


def _short(setup: Setup, goals: Sequence[tuple[str, Window | None, Aim]]) -> float:
    total = 0.0
    for key, window, aim in goals:
        distance = aim.interval(window).distance(value_at(setup, key))
        total += float("inf") if isnan(distance) else distance / (window.scale if window else 1)
    return round(total, 9)


def _ruined(setup: Setup, spot: Spot) -> bool:
    guard, close = spot.window.guard, spot.window.close
    assert guard is not None
    low, high = min(guard.low, close.low), max(guard.high, close.high)
    value = value_at(setup, spot.key)
    spoiled = worse(value, spot.base, guard.low, guard.high, spot.window.notice)
    return spoiled and worse(value, spot.base, low, high, spot.window.notice)


def _strain_added(spot: Spot, value: float) -> float:
    return 0.0 if isnan(value) else spot.window.strain(value) - spot.window.strain(spot.base)


def _place(key: str) -> tuple[str, str, Place]:
    head, _, tail = key.partition(".")
    if head in MEASURES:
        return head, key, next(place for place in places(MEASURES[head]) if str(place) == tail)
    if head in {"front", "back"}:
        return f"foot.{tail}", key, Place(head)  # type: ignore[arg-type]
    return key, key, Place()


def _apart(levers: Sequence[Lever]) -> bool:
    """Return whether adjustments can be made together: no field moved twice, none moved on which another depends."""
    for one, other in permutations(levers, 2):
        needed = {path.replace("{foot}", one.foot or "") for path in one.way.when}
        if set(other.before) & ({*one.before} | needed):
            return False
    return True
