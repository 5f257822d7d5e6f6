"""How sure the advice is: the share of sheets within the inputs' ± for which the same adjustment wins.

Every number with a ± is drawn anew, evenly within it; numbers that one measurement would give move together. The draws
come from a seed, so the same sheet always gets the same answer.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log2
from random import Random

from advisor.sheet.fields import field_rows
from advisor.sheet.readings import Known
from advisor.sheet.resolve import sheet_path
from advisor.solve.aims import Aim
from advisor.solve.guesses import Guesses
from advisor.solve.search import Search, hunt_for
from advisor.solve.windows import load_windows

__all__ = ["Confidence", "Settling", "Signature", "confidence", "signature_of", "winner"]

SURE = 0.9
_PARTS = 4
_TRIED = 3

Signature = tuple[tuple[str, int], ...] | str
"""Which adjustments win, and which way each goes; or `leave`, or `none`."""


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
        From 0 to 1.
    draws
        How many sheets were drawn.
    instead
        What wins otherwise, with its share, most often first.
    settle
        What to measure; None where the share is at least 90 % or no one measurement helps.

    """

    share: float
    draws: int
    instead: tuple[tuple[Signature, float], ...]
    settle: Settling | None

    @property
    def sure(self) -> bool:
        """Whether the same adjustment wins on at least 90 % of the sheets."""
        return self.share >= SURE


def signature_of(search: Search) -> Signature:
    """Return which adjustments a search chose and which way each goes, their sizes left out."""
    if search.found is None:
        return search.outcome
    levers = search.hunt.levers
    return tuple(_step(levers[lever].id, levers[lever].options[option].by) for lever, option in search.found.picks)


def _step(name: str, by: float) -> tuple[str, int]:
    return name, (by > 0) - (by < 0)


def winner(search: Search, aims: Sequence[Aim], known: Known, guesses: Guesses | None = None) -> Signature:
    """Return what would win on the same sheet if its numbers were others; what is a guess stays one."""
    hunt = hunt_for(
        search.sheet, known, aims, feet=search.feet, at_most=search.hunt.at_most, allowed=search.allowed,
        guesses=guesses or search.hunt.trial.guesses,
    )  # fmt: skip
    if hunt.met:
        return "leave"
    found = hunt.best()
    if found is None:
        return "none"
    return tuple(_step(hunt.levers[i].id, hunt.levers[i].options[option].by) for i, option in found.picks)


def confidence(search: Search, *, draws: int = 100, seed: int = 0) -> Confidence:
    """Return how sure a search's outcome is.

    Parameters
    ----------
    search
        What `find` returned; its sheet, aims and limits are searched again for each draw.
    draws
        How many sheets to draw.
    seed
        Where the draws start.

    """
    readings = _readings(search.known, str(search.sheet.value("rider.leading_foot") or "left"))
    expected = signature_of(search)
    if not readings:
        return Confidence(1.0, draws, (), None)
    drawn = [_draw(readings, Random(f"{seed} {number}"), frozenset()) for number in range(draws)]
    won = [winner(search, search.aims, _moved(search.known, readings, shifts)) for shifts in drawn]
    share = won.count(expected) / draws
    others = Counter(signature for signature in won if signature != expected)
    instead = tuple((signature, count / draws) for signature, count in others.most_common())
    settle = None
    if share < SURE:
        settle = _settling(search, readings, drawn, won, share, seed)
    return Confidence(share, draws, instead, settle)


def _readings(known: Known, leading_foot: str) -> dict[str, tuple[str, ...]]:
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


def _moved(known: Known, readings: Mapping[str, Sequence[str]], shifts: Mapping[str, float]) -> Known:
    setup = known.setup.copy()
    for source, paths in readings.items():
        row = field_rows().get(source)
        for path in paths:
            value = setup.get(path) + shifts[source] * known.moving[path]
            if row is not None and row.kind == "integer":
                value = float(round(value))
            setup.put(path, value)
    return Known(setup, {})


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
    draws = max(20, len(drawn) // 2)
    for source in measurable[:_TRIED]:
        guesses = Guesses(search.known, load_windows(), readings[source])
        known = [
            winner(
                search,
                search.aims,
                _moved(search.known, readings, _draw(readings, Random(f"{seed} held {number}"), frozenset({source}))),
                guesses,
            )
            for number in range(draws)
        ]
        reached = max(Counter(known).values()) / draws
        if reached > share and (best is None or reached > best.share):
            plus_minus = max(search.known.moving[path] for path in readings[source])
            best = Settling(source, plus_minus, reached)
    return best


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
