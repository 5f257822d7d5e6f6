"""What would flip an answer: the nearest values that a human or a board can have, checked by a walk.

For each uncertain number that the measures aimed at hang on, one way brings them inside their window, so that the
cause is shown no more; the other takes them further out, until today's step no longer reaches its chance. Where that
happens is estimated from what the number does to the measures; then the whole conversation is walked again with that
value, and what does not flip it is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor
from typing import TYPE_CHECKING

from advisor.dialogue.answer import answer_case
from advisor.graph.knowledge import Knowledge
from advisor.sheet.fields import field_rows

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer
    from advisor.solve.chance.likely import Likely

_PAST = 1.05
"""A little past where it flips, so that the walk is not left on the line itself."""
_FARTHEST = 8.0
"""How far to look, in parts of a number's ±."""
_TRIED = 3
_READ_TO = {"m": 0.1, "cm": 0.5}
_MM_PER_UNIT = {"cm": 10.0, "m": 1000.0}


@dataclass(frozen=True, slots=True)
class Flipped:
    """A value that flips an answer.

    Parameters
    ----------
    path
        The sheet's field.
    now, needed
        Its value now, and one that flips it, in the field's own unit.
    away
        How far that is, in parts of its ±.
    instead
        The answer there.

    """

    path: str
    now: float
    needed: float
    away: float
    instead: Answer


def what_flips(knowledge: Knowledge, answer: Answer) -> tuple[Flipped, ...]:
    """Return the nearest values that flip an answer, at most one either way, the nearest first.

    Parameters
    ----------
    knowledge
        The compiled knowledge.
    answer
        With a chance known.

    """
    found = answer.likely
    if found is None:
        return ()
    told: list[Flipped] = []
    for way in (1, -1):
        candidates = sorted(one for one in _candidates(answer, found) if one[3] == way)
        for away, path, needed, _ in candidates[:_TRIED]:
            flipped = _walked(knowledge, answer, path, needed, away)
            if flipped is not None:
                told.append(flipped)
                break
    return tuple(sorted(told, key=lambda one: one.away))


def _candidates(answer: Answer, found: Likely) -> Iterator[tuple[float, str, float, int]]:
    """Yield how far, which field, to which value, and whether it takes the measures out (1) or in (-1)."""
    from advisor.solve.chance.drawn import used_sources

    usual = _usual(answer)
    goals = found.model.goals
    for path, moved in used_sources(answer.case.known, [goal.meter for goal in goals]).items():
        row = field_rows().get(path)
        if row is None or row.kind != "number" or path.startswith("mount.") or len(moved) != 1 or path not in usual:
            continue
        place, value, half = moved[0]
        slopes = _slopes(answer, found, place, half)
        for way, away in _distances(found, slopes):
            if 0 < abs(away) <= _FARTHEST:
                factor = _MM_PER_UNIT.get(row.unit, 1.0)
                needed = _as_read((value + _PAST * away * half) / factor, value / factor, row.unit)
                low, high = usual[path]
                if max(low, row.low) <= needed <= min(high, row.high):
                    yield abs(away), path, needed, way


def _as_read(value: float, now: float, unit: str) -> float:
    """Return a value as it is read off a ruler or told, on the far side from where it is now."""
    step = _READ_TO.get(unit, 1.0)
    return round((ceil(value / step - 1e-9) if value > now else floor(value / step + 1e-9)) * step, 3)


def _slopes(answer: Answer, found: Likely, place: str, half: float) -> list[float]:
    """Return what one ± more of a number does to each measure aimed at."""
    from advisor.geometry.register import MEASURES

    scratch = answer.case.known.scratch
    middle = scratch.get(place)
    slopes = []
    try:
        scratch.put(place, middle + half / 2)
        for goal in found.model.goals:
            kind = goal.meter.kind
            value = MEASURES[kind].at(scratch, goal.meter.place) if kind in MEASURES else scratch.get(goal.meter.key)
            slopes.append(2 * (value - goal.meter.base) if value == value else 0.0)
    except (ValueError, ZeroDivisionError):
        return [0.0 for _ in found.model.goals]
    finally:
        scratch.put(place, middle)
    return slopes


def _distances(found: Likely, slopes: Sequence[float]) -> Iterator[tuple[int, float]]:
    """Yield where the measures come inside (-1), and where today's step falls under its chance (1), in parts of a ±."""
    from advisor.solve.chance.doses import load_doses

    model = found.model
    base = [goal.meter.base for goal in model.goals]
    after = model.values(found.today.way)
    wanted = load_doses(model.trees).wanted

    def severity(away: float) -> float:
        return max(
            max(goal.interval.low - value, value - goal.interval.high) / reach
            for goal, reach, value in zip(
                model.goals, model.reach, [b + away * s for b, s in zip(base, slopes, strict=True)], strict=True
            )
        )

    steps = [part * _FARTHEST / 32 for part in range(1, 33)]
    for sign in (1.0, -1.0):
        inside = next((sign * step for step in steps if severity(sign * step) <= 0), 0.0)
        if inside:
            yield -1, inside
        if found.enough:
            missed = next(
                (
                    sign * step
                    for step in steps
                    if severity(sign * step) > 0
                    and model.cured_at([a + sign * step * s for a, s in zip(after, slopes, strict=True)]) < wanted
                ),
                0.0,
            )
            if missed:
                yield 1, missed


def _usual(answer: Answer) -> Mapping[str, tuple[float, float]]:
    """Return what a human or a board can have, by field."""
    table = answer.case.trees.table("telling.yaml")["fields"]
    found: dict[str, tuple[float, float]] = {}
    for path, entry in table.items():
        low, high = (float(end) for end in entry["usual"])
        for side in ("left", "right") if "{side}" in path else ("",):
            found[path.replace("{side}", side)] = (low, high)
    return found


def _walked(knowledge: Knowledge, answer: Answer, path: str, needed: float, away: float) -> Flipped | None:
    """Return a value as what flips the answer where the whole walk with it answers otherwise."""
    told = answer.case.sheet.value(path)
    row = field_rows()[path]
    known = answer.case.known
    place = next(place for place, reading in known.readings.items() if reading.sheet_path == path)
    now = float(told) if isinstance(told, int | float) else known.setup.get(place) / _MM_PER_UNIT.get(row.unit, 1.0)
    again = answer_case(knowledge, replace(answer.case, sheet=answer.case.sheet.with_value(path, needed, "told", None)))
    if again.outcome == "needs" or _signature(again) == _signature(answer):
        return None
    return Flipped(path, now, needed, away, again)


def _signature(answer: Answer) -> tuple[object, ...]:
    changes = answer.choice.changes if answer.choice else ()
    return answer.referral and answer.referral.id, tuple((c.adjustment, c.path, c.by > 0) for c in changes)
