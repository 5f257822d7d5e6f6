"""What a sheet allows: the measures aimed at on sheets drawn within the ± of its numbers.

Each uncertain number is normal with its ± as two standard deviations; numbers that one measurement would give move
together. The draws are spread evenly over each number's range (a Latin hypercube), mirrored in pairs, and fixed: the
same sheet gives the same draws. A change moves the measures by what it does to the sheet as it stands; the draws' own
deviations stay the same, so each measure is drawn once and not once a change.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from random import Random
from statistics import NormalDist
from zlib import crc32

from advisor.geometry.register import MEASURES
from advisor.sheet.fields import field_rows
from advisor.sheet.readings import Known
from advisor.solve.confidence import sources_of
from advisor.solve.trial import Meter

PAIRS = 24
_SPREAD = 0.5
"""A ± is two standard deviations."""


@cache
def _normal_scores() -> tuple[float, ...]:
    """Return the middles of as many parts of a half normal as there are pairs, each as likely as the others."""
    normal = NormalDist()
    return tuple(normal.inv_cdf(0.5 + 0.5 * (place + 0.5) / PAIRS) for place in range(PAIRS))


@cache
def shifts(source: str) -> tuple[float, ...]:
    """Return where a number lies in each draw, in standard deviations; the second half mirrors the first."""
    random = Random(crc32(source.encode()))
    scores = list(_normal_scores())
    random.shuffle(scores)
    half = [score if random.random() < 0.5 else -score for score in scores]
    return (*half, *(-one for one in half))


def used_sources(known: Known, meters: Sequence[Meter]) -> dict[str, list[tuple[str, float, float]]]:
    """Return the uncertain numbers that some measures read: by the field that would give them, value and ±."""
    read = frozenset[str]().union(*(meter.used for meter in meters))
    found = {
        source: [(path, known.setup.get(path), known.moving[path]) for path in paths if path in read]
        for source, paths in sources_of(known, known.leading_foot).items()
    }
    return {source: paths for source, paths in found.items() if paths}


def deviations(known: Known, meters: Sequence[Meter]) -> list[list[float]]:
    """Return, for each measure, by how much it differs from the sheet's own value on each draw.

    Parameters
    ----------
    known
        The set-up with the reading behind each number.
    meters
        The measures, at their places.

    """
    setup = known.scratch
    used = used_sources(known, meters)
    found: list[list[float]] = [[] for _ in meters]
    try:
        for draw in range(2 * PAIRS):
            for source, paths in used.items():
                score, whole = shifts(source)[draw] * _SPREAD, _counted(source)
                for path, middle, half in paths:
                    setup.put(path, float(round(middle + score * half)) if whole else middle + score * half)
            for place, meter in enumerate(meters):
                found[place].append(_value(meter, known) - meter.base)
    finally:
        for paths in used.values():
            for path, middle, _ in paths:
                setup.put(path, middle)
    return found


@cache
def _counted(source: str) -> bool:
    row = field_rows().get(source)
    return row is not None and row.kind == "integer"


def _value(meter: Meter, known: Known) -> float:
    """Return a measure on the scratch set-up; the sheet's own value where it has none there."""
    try:
        in_register = meter.kind in MEASURES
        value = MEASURES[meter.kind].at(known.scratch, meter.place) if in_register else known.scratch.get(meter.key)
    except (ValueError, ZeroDivisionError):
        return meter.base
    return value if value == value else meter.base
