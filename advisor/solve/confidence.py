"""How sure the advice is: the share of sheets within the inputs' ± for which the same adjustment wins.

Every number with a ± is drawn anew, evenly within it; numbers that one measurement would give move together. The draws
come from a seed, so the same sheet always gets the same answer. They end as soon as Wilson's 95 % range for the share
lies on one side of 90 %.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log2, sqrt
from random import Random

from advisor.sheet.fields import field_rows
from advisor.sheet.paths import sheet_path
from advisor.sheet.readings import Known
from advisor.solve.guesses import Guesses
from advisor.solve.redraw import Redraws, Signature, signature_of
from advisor.solve.search import Search
from advisor.solve.windows import load_windows

__all__ = ["Confidence", "Settling", "Signature", "confidence", "share_range", "signature_of", "sources_of"]

SURE = 0.9
_LEAST = 24
_HELD = 20
_PARTS = 4
_TRIED = 3
_Z95 = 1.96


@dataclass(frozen=True, slots=True)
class Settling:
    """The one measurement that would settle the advice.

    Parameters
    ----------
    path
        The sheet's field to measure.
    plus_minus
        How far off it may be now, in the set-up's unit.
    share
        How sure the advice would be on average, if it were known.

    """

    path: str
    plus_minus: float
    share: float


@dataclass(frozen=True, slots=True)
class Confidence:
    """How often the same adjustment wins within the inputs' ±.

    Parameters
    ----------
    share
        From 0 to 1, of the sheets drawn.
    draws
        How many sheets were drawn.
    low, high
        Where the share of all sheets lies with 95 % certainty.
    instead
        What wins otherwise, with its share, most often first.
    settle
        What to measure; None where the share is at least 90 % or no one measurement helps.

    """

    share: float
    draws: int
    low: float
    high: float
    instead: tuple[tuple[Signature, float], ...]
    settle: Settling | None

    @property
    def sure(self) -> bool:
        """Whether the same adjustment wins on at least 90 % of the sheets."""
        return self.share >= SURE


def confidence(search: Search, *, draws: int = 60, seed: int = 0) -> Confidence:
    """Return how sure a search's outcome is.

    Parameters
    ----------
    search
        What `find` returned; its sheet, aims and limits are searched again for each draw.
    draws
        How many sheets to draw at most.
    seed
        Where the draws start.

    """
    readings = sources_of(search.known, str(search.sheet.value("rider.leading_foot") or "left"))
    expected = signature_of(search)
    if not readings:
        return Confidence(1.0, draws, 1.0, 1.0, (), None)
    again = Redraws(search)
    drawn: list[Mapping[str, float]] = []
    won: list[Signature] = []
    while len(drawn) < draws:
        drawn.append(_draw(readings, Random(f"{seed} {len(drawn)}"), frozenset()))
        won.append(again.winner(_moved(search.known, readings, drawn[-1])))
        low, high = share_range(won.count(expected), len(won))
        if len(won) >= _LEAST and (low >= SURE or high < SURE):
            break
    count = len(won)
    share = won.count(expected) / count
    others = Counter(signature for signature in won if signature != expected)
    instead = tuple((signature, times / count) for signature, times in others.most_common())
    settle = None
    if share < SURE:
        settle = _settling(search, readings, drawn, won, share, seed)
    return Confidence(share, count, *share_range(won.count(expected), count), instead, settle)


def share_range(hits: int, draws: int) -> tuple[float, float]:
    """Return where a share lies with 95 % certainty, by Wilson's score interval.

    Examples
    --------
    >>> [round(end, 3) for end in share_range(8, 10)]
    [0.49, 0.943]

    """
    share, square = hits / draws, _Z95 * _Z95
    middle = (share + square / (2 * draws)) / (1 + square / draws)
    half = _Z95 / (1 + square / draws) * sqrt(share * (1 - share) / draws + square / (4 * draws * draws))
    return max(0.0, middle - half), min(1.0, middle + half)


def sources_of(known: Known, leading_foot: str) -> dict[str, tuple[str, ...]]:
    """Return the set-up's uncertain numbers by the sheet's field that would give them, were it measured."""
    groups: dict[str, list[str]] = {}
    for path in known.moving:
        reading = known.readings[path]
        row = field_rows().get(reading.sheet_path)
        source = reading.sheet_path
        if reading.origin == "assumed" and (row is None or row.kind != "choice"):
            source = sheet_path(path, leading_foot) or path
        groups.setdefault(source, []).append(path)
    return {source: tuple(paths) for source, paths in groups.items()}


def _draw(readings: Mapping[str, Sequence[str]], random: Random, held: frozenset[str]) -> dict[str, float]:
    """Return, for each reading, where it lies within its ±, from -1 to 1."""
    shifts = {source: random.uniform(-1, 1) for source in readings}
    return {source: 0.0 if source in held else shift for source, shift in shifts.items()}


def _moved(known: Known, readings: Mapping[str, Sequence[str]], shifts: Mapping[str, float]) -> dict[str, float]:
    """Return the set-up's uncertain numbers, each moved by its part of its ±."""
    values = {}
    for source, paths in readings.items():
        row = field_rows().get(source)
        for path in paths:
            value = known.setup.get(path) + shifts[source] * known.moving[path]
            values[path] = float(round(value)) if row is not None and row.kind == "integer" else value
    return values


def _settling(
    search: Search,
    readings: Mapping[str, Sequence[str]],
    drawn: Sequence[Mapping[str, float]],
    won: Sequence[Signature],
    share: float,
    seed: int,
) -> Settling | None:
    """Return the reading that, once known, makes the advice surest.

    The draws are sorted by each reading and cut into parts; the readings whose parts leave the least doubt about what
    wins are tried again, held where they are.
    """
    measurable = [source for source in readings if source in field_rows()]
    measurable.sort(key=lambda source: _doubt([shifts[source] for shifts in drawn], won))
    best: Settling | None = None
    for source in measurable[:_TRIED]:
        reached = _held_share(search, readings, source, best.share if best else share, seed)
        if reached is not None:
            plus_minus = max(search.known.moving[path] for path in readings[source])
            best = Settling(source, plus_minus, reached)
            if reached >= SURE:
                break
    return best


def _held_share(
    search: Search, readings: Mapping[str, Sequence[str]], source: str, beat: float, seed: int
) -> float | None:
    """Return how often the same advice wins with one reading held; None as soon as that cannot beat a share."""
    again = Redraws(search, Guesses(search.known, load_windows(search.known.trees), readings[source]))
    won = Counter[Signature]()
    most = 0
    for number in range(_HELD):
        shifts = _draw(readings, Random(f"{seed} held {number}"), frozenset({source}))
        winner = again.winner(_moved(search.known, readings, shifts))
        won[winner] += 1
        most = max(most, won[winner])
        if most + _HELD - 1 - number <= beat * _HELD:
            return None
    return most / _HELD


def _doubt(shifts: Sequence[float], won: Sequence[Signature]) -> float:
    """Return the mean entropy of what wins, over parts of the draws sorted by one reading [bit]."""
    ranked = sorted(range(len(shifts)), key=shifts.__getitem__)
    size = -(-len(ranked) // _PARTS)
    total = 0.0
    for start in range(0, len(ranked), size):
        part = Counter(won[i] for i in ranked[start : start + size])
        count = part.total()
        total -= sum(n * log2(n / count) for n in part.values())
    return total / len(ranked)
