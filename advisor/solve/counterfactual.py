"""What would have to be different for other advice: the nearest change of one input that flips it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from math import isnan

from advisor.sheet.fields import field_rows
from advisor.sheet.paths import setup_path
from advisor.solve.options import levers
from advisor.solve.redraw import Redraws, Signature, signature_of
from advisor.solve.search import Search

_REACH = (1.0, 4.0, 16.0)
_FINE = 0.05
_SMALLEST_SHARE = 0.005


@dataclass(frozen=True, slots=True)
class Flip:
    """The nearest change of one input that flips the advice.

    Parameters
    ----------
    path
        The sheet's field.
    now, needed
        Its value now, and the nearest found at which other advice wins, in the field's own unit.
    unit
        That unit.
    away
        How far that is, in parts of the input's ± (of half a percent of its value where it has none).
    instead
        What wins there.

    """

    path: str
    now: float
    needed: float
    unit: str
    away: float
    instead: Signature


def counterfactual(search: Search) -> Flip | None:
    """Return the nearest change of one input that flips a search's outcome.

    Rider, boots, board and bindings are looked at, each by itself and up to its field's limit, outward in steps of its
    own ±, each four times as far as the last; the first that flips is then closed in on. An island of other advice
    between two steps can be missed.

    Parameters
    ----------
    search
        What `find` returned.

    Returns
    -------
    Flip or None
        None where nothing within sixteen times its ± and the field's limits flips it.

    """
    expected = signature_of(search)
    again = Redraws(search)
    inputs = list(_inputs(search, again.reads()))
    for near, far in zip((0.0, *_REACH), _REACH, strict=False):
        best: Flip | None = None
        for path, place, step in inputs:
            for way in (1.0, -1.0):
                reach = far if best is None else best.away
                flip = _between(search, again, expected, (path, place, way * step), near, reach)
                if flip is not None and (best is None or flip.away < best.away):
                    best = flip
        if best is not None:
            return best
    return None


def _inputs(search: Search, read: Collection[str]) -> Iterator[tuple[str, str, float]]:
    """Yield each input that an answer could hang on: the sheet's field, the set-up's number, one step."""
    known = search.known
    moved = {path for lever in levers(search.sheet, known) for path in lever.before}
    leading = str(search.sheet.value("rider.leading_foot") or "left")
    for path, row in field_rows().items():
        if row.kind != "number" or path.startswith("mount.") or path in moved:
            continue
        place = setup_path(path, leading)
        if place not in read or isnan(known.setup.get(place)):
            continue
        value = known.setup.get(place)
        step = max(known.plus_minus(place), abs(value) * _SMALLEST_SHARE)
        if step > 0:
            yield path, place, step


def _between(
    search: Search, again: Redraws, expected: Signature, moved: tuple[str, str, float], near: float, far: float
) -> Flip | None:
    """Return the flip of one input between two distances, None where the farther one still gives the same advice."""
    path, place, step = moved
    row = field_rows()[path]
    now = search.known.setup.get(place)
    told = search.sheet.value(path)
    factor = now / told if isinstance(told, int | float) and told else 1.0
    limit = row.high if step > 0 else row.low
    far = min(far, (limit * factor - now) / step)
    if far <= near:
        return None
    instead = again.winner({place: now + step * far})
    if instead == expected:
        return None
    while far - near > _FINE * max(1.0, near):
        middle = (near + far) / 2
        there = again.winner({place: now + step * middle})
        if there == expected:
            near = middle
        else:
            far, instead = middle, there
    return Flip(path, now / factor, (now + step * far) / factor, row.unit, far, instead)
