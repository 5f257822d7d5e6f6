"""The states of a window in words (`out below`, `close`, `good`, `above` ...), and the range that each is."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from math import inf, nextafter

from advisor.solve.windows import TINY, Window

STATES = ("out below", "close below", "good", "close above", "out above")
"""From the lowest numbers to the highest."""

STATE_WORDS: dict[str, tuple[str, ...]] = {
    **{state: (state,) for state in STATES},
    "out": ("out below", "out above"),
    "close": ("close below", "close above"),
    "below": ("out below", "close below"),
    "above": ("close above", "out above"),
}
"""What a branch may say, and the states that it stands for."""


def ranges_of(words: Collection[str], window: Window) -> Iterator[tuple[float, float]]:
    """Yield the ranges, from the low end (included) to the high end (excluded), of what a branch says of a window.

    An end of a window lies in it, as for the search: `good` up to 8 takes a value of 8.

    Examples
    --------
    >>> from advisor.solve.windows import Interval
    >>> window = Window(Interval(0, 6), Interval(-3, 10), None, 1, 3, "", "")
    >>> [(round(low, 6), round(high, 6)) for low, high in ranges_of(["close", "good"], window)]
    [(-3.0, 10.0)]
    >>> [(round(low, 6), round(high, 6)) for low, high in ranges_of(["out"], window)]
    [(-inf, -3.0), (10.0, inf)]

    """
    wanted = {state for word in words for state in STATE_WORDS[word]}
    found: list[tuple[float, float]] = []
    for state, (low, high) in regions(window).items():
        if state not in wanted or not low < high:
            continue
        if found and found[-1][1] == low:
            low = found.pop()[0]
        found.append((low, high))
    yield from found


def regions(window: Window) -> dict[str, tuple[float, float]]:
    """Return the range of each state; it is empty (its ends the same) where a window does not have that state."""
    good, close = window.good, window.close
    cuts = (
        -inf,
        min(close.low, good.low) - TINY,
        good.low - TINY,
        nextafter(good.high + TINY, inf),
        nextafter(max(close.high, good.high) + TINY, inf),
        inf,
    )
    return {state: (cuts[place], cuts[place + 1]) for place, state in enumerate(STATES)}
