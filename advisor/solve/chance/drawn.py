"""What a sheet allows: the measures aimed at on sheets drawn within the ± of its numbers.

Each uncertain number is normal with its ± as two standard deviations; numbers that one measurement would give move
together. The draws are spread evenly over each number's range (a Latin hypercube), mirrored in pairs, and fixed: the same
sheet gives the same draws. A change moves the measures by what it does to the sheet as it stands; the draws' own
deviations stay the same, so each measure is drawn once and not once a change.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from random import Random
from statistics import NormalDist
from zlib import crc32

from advisor.geometry.register import MEASURES
from advisor.sheet.fields import field_rows
from advisor.sheet.readings import Known
from advisor.solve.confidence import sources_of
from advisor.solve.trial import Meter

__all__ = ["deviations"]

PAIRS = 24
_SPREAD = 0.5
"""A ± is two standard deviations."""


@cache
def _normal_scores() -> tuple[float, ...]:
    """Return the middles of as many parts of a half normal as there are pairs, each as likely as the others."""
    normal = NormalDist()
    return tuple(normal.inv_cdf(0.5 + 0.5 * (place + 0.5) / PAIRS) for place in range(PAIRS))


@cache
def _shifts(source: str) -> tuple[float, ...]:
    """Return where a number lies in each draw, in standard deviations; the second half mirrors the first."""
    random = Random(crc32(source.encode()))
    scores = list(_normal_scores())
    random.shuffle(scores)
    half = [score if random.random() < 0.5 else -score for score in scores]
    return (*half, *(-one for one in half))


def deviations(known: Known, meters: Sequence[Meter], leading_foot: str) -> list[list[float]]:
    """Return, for each measure, by how much it differs from the sheet's own value on each draw.

    Parameters
    ----------
    known
        The set-up with the reading behind each number.
    meters
        The measures, at their places.
    leading_foot
        Which foot leads, for the fields' names.

    """
    setup = known.scratch
    groups = sources_of(known, leading_foot)
    read = frozenset().union(*(meter.used for meter in meters))
    found: list[list[float]] = [[] for _ in meters]
    used = {
        source: [(path, setup.get(path), known.moving[path]) for path in paths if path in read]
        for source, paths in groups.items()
    }
    used = {source: paths for source, paths in used.items() if paths}
    try:
        for draw in range(2 * PAIRS):
            for source, paths in used.items():
                score = _shifts(source)[draw] * _SPREAD
                whole = _counted(source)
                for path, middle, half in paths:
                    setup.put(path, float(round(middle + score * half)) if whole else middle + score * half)
            for place, meter in enumerate(meters):
                found[place].append(_value(meter, known, setup) - meter.base)
    finally:
        for paths in used.values():
            for path, middle, _ in paths:
                setup.put(path, middle)
    return found


@cache
def _counted(source: str) -> bool:
    row = field_rows().get(source)
    return row is not None and row.kind == "integer"


def _value(meter: Meter, known: Known, setup: object) -> float:
    del setup
    scratch = known.scratch
    try:
        value = MEASURES[meter.kind].at(scratch, meter.place) if meter.kind in MEASURES else scratch.get(meter.key)
    except (ValueError, ZeroDivisionError):
        return meter.base
    return value if value == value else meter.base


