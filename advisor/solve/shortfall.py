"""Where no adjustment does it: how near the best comes, which bound binds, and the number that would fix it."""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan

from advisor.geometry.carve import needed_tilt_deg
from advisor.geometry.register import MEASURES, Place
from advisor.geometry.workings import number
from advisor.sheet.fields import field_rows
from advisor.sheet.readings import Known
from advisor.sheet.setup import Setup
from advisor.solve.adjustments import load_fixes
from advisor.solve.aims import spoken
from advisor.solve.choice import Choice, changes_of
from advisor.solve.found import Found, Goal
from advisor.solve.hunt import Hunt
from advisor.solve.options import Lever, setup_place
from advisor.solve.reasons import reached_values, spoiling_words, value_words

_CLOSE = 0.05
_MARGINS = ("toe_margin_deg", "heel_margin_deg", "toe_contact_deg", "heel_contact_deg")


@dataclass(frozen=True, slots=True)
class Missed:
    """An aim with what it reaches at best, and the range that was wanted."""

    key: str
    before: float
    reached: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Fix:
    """A number that no hand can turn, and the value at which the aims would hold."""

    path: str
    now: float
    needed: float
    unit: str
    words: str


@dataclass(frozen=True, slots=True)
class Shortfall:
    """How near the best combination comes, whatever it spoils.

    `binds` says, in sentences, which ends of travel stand in the way, and what an adjustment that comes nearer would
    spoil; `fixes` which number would do it (for `refer`).
    """

    nearest: Choice
    missed: tuple[Missed, ...]
    binds: tuple[str, ...]
    fixes: tuple[Fix, ...]


def shortfall_of(hunt: Hunt, found: Found, nearest: Choice, known: Known) -> Shortfall:
    """Return what stands in the way of the aims.

    Parameters
    ----------
    hunt
        The search that found no answer.
    found, nearest
        What comes nearest, and the same as a choice.
    known
        The set-up.

    """
    reached = known.setup.copy()
    for path, value in nearest.values.items():
        part, _, name = setup_place(path).rpartition(".")
        setattr(getattr(reached, part) if part else reached, name, value)
    missed = tuple(
        Missed(goal.meter.key, goal.meter.base, value, goal.interval.low, goal.interval.high)
        for goal in hunt.goals
        if not goal.interval.has(value := _at(reached, goal))
    )
    return Shortfall(nearest, missed, tuple(_binds(hunt, found, known)), tuple(_fixes(hunt, known.setup, reached)))


def _at(setup: Setup, goal: Goal) -> float:
    kind, place = goal.meter.kind, goal.meter.place
    try:
        return MEASURES[kind].at(setup, place) if kind in MEASURES else setup.get(goal.meter.key)
    except (ValueError, ZeroDivisionError):
        return float("nan")


def _binds(hunt: Hunt, found: Found, known: Known) -> list[str]:
    """Return a sentence for each adjustment of the nearest combination that stands at an end of its travel.

    And one for each aim that one adjustment would bring nearer, were it not for what it spoils.
    """
    said = []
    for lever, option in found.picks:
        offered = hunt.levers[lever]
        if offered.way.turns_over:
            continue
        by = offered.options[option].by
        ends = [other.by for other in offered.options]
        if by in (min(ends), max(ends)):
            said.append(_end_words(offered, option))
    reached = reached_values(hunt, found)
    said += dict.fromkeys(filter(None, (_held_back(hunt, goal, reached, known) for goal in hunt.goals)))
    if not said and not found.picks:
        names = ", ".join(dict.fromkeys(spoken(goal.meter.key) for goal in hunt.goals))
        return [f"nothing that a hand can turn here brings the {names} nearer"]
    return said or ["no further step of any adjustment brings it nearer"]


def _held_back(hunt: Hunt, goal: Goal, reached: dict[str, float], known: Known) -> str:
    """Return what the least adjustment that reaches an aim spoils, where the nearest combination misses it."""
    if goal.interval.has(reached[goal.meter.key]):
        return ""
    best: Found | None = None
    for lever in hunt.movers:
        for option in range(len(hunt.levers[lever].options) if hunt.trial.masks[lever] & goal.meter.mask else 0):
            found = hunt.weigh(((lever, option),))
            if goal.interval.has(reached_values(hunt, found)[goal.meter.key]) and found.spoiled:
                best = found if best is None or found.order < best.order else best
    if best is None:
        return ""
    values, key = reached_values(hunt, best), goal.meter.key
    lever, option = best.picks[0]
    offered = hunt.levers[lever]
    words = " and ".join(change.words for change in changes_of([(offered, offered.options[option])], known))
    brings = f"brings the {spoken(key)} to {value_words(key, values[key])}"
    return f"to {words}, {brings}, but {spoiling_words(hunt, best, values)}"


def _end_words(lever: Lever, option: int) -> str:
    value = lever.options[option].sets[-1][1]
    foot = f", {lever.foot} foot" if lever.foot and lever.adjustment.feet == "each" else ""
    limit = lever.way.bounds if isinstance(lever.way.bounds, str) else lever.way.bounds[lever.options[option].by > 0]
    named = f" ({field_rows()[limit.lstrip('-')].words})" if isinstance(limit, str) else ""
    text = number(float(value), 2) if isinstance(value, int | float) else str(value)
    unit = f" {lever.way.unit}" if lever.way.unit in {"mm", "deg"} else ""
    return f"{lever.adjustment.words}{foot}: at its end, {text}{unit}{named}"


def _fixes(hunt: Hunt, present: Setup, reached: Setup) -> list[Fix]:
    """Return the numbers of another board or boot that would do it.

    A board for the boot at its present angles, centred; a boot, or what else there is, on the nearest that is reached.
    """
    found = []
    for rule in load_fixes(hunt.trial.trees):
        now = reached.get(rule.path)
        if isnan(now):
            continue
        needed = _narrowest_waist(hunt, present) if rule.path == "board.waist_width_mm" else float("nan")
        if isnan(needed):
            needed = _least_change(hunt, reached, rule.path, rule.within if rule.toward == "more" else -rule.within)
        if not isnan(needed) and abs(needed - now) > _CLOSE:
            found.append(Fix(rule.path, now, needed, rule.unit, rule.words))
    return found


def _narrowest_waist(hunt: Hunt, present: Setup) -> float:
    """Return the narrowest waist on which, boots centred, every margin aimed at holds; `nan` where none is aimed at."""
    if not all(goal.meter.kind in _MARGINS for goal in hunt.goals):
        return float("nan")
    needed = needed_tilt_deg(present)
    return narrowest_waist_mm(
        present,
        max(goal.interval.low + (needed if goal.meter.kind.endswith("margin_deg") else 0.0) for goal in hunt.goals),
    )


def narrowest_waist_mm(setup: Setup, tilt_deg: float) -> float:
    """Return the narrowest waist on which, boots centred, nothing touches the snow before a tilt [mm]."""
    scratch = setup.copy()
    scratch.rider.tilt_deg = tilt_deg
    try:
        return MEASURES["min_waist_mm"].at(scratch, Place())
    except (ValueError, ZeroDivisionError):
        return float("nan")


def _least_change(hunt: Hunt, reached: Setup, path: str, within: float) -> float:
    """Return the nearest value of a number, within a distance, at which every aim holds; `nan` where there is none.

    Looks outward in even steps for the first value that does it, then halves the last step.
    """
    scratch = reached.copy()
    now = reached.get(path)

    def holds(value: float) -> bool:
        scratch.put(path, value)
        return all(goal.interval.has(_at(scratch, goal)) for goal in hunt.goals)

    steps = 40
    for step in range(1, steps + 1):
        if holds(now + within * step / steps):
            out, inside = now + within * (step - 1) / steps, now + within * step / steps
            while abs(inside - out) > _CLOSE:
                middle = (out + inside) / 2
                out, inside = (out, middle) if holds(middle) else (middle, inside)
            return inside
    return float("nan")
