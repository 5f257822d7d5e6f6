"""Why a choice wins or loses, in one plain sentence with its number."""

from __future__ import annotations

from collections.abc import Sequence
from math import isnan

from advisor.geometry.register import MEASURES, in_percent
from advisor.geometry.workings import number
from advisor.solve.aims import spoken
from advisor.solve.found import Found, Goal
from advisor.solve.hunt import Hunt
from advisor.solve.windows import Interval

_TINY = 1e-6
_MOST_TOLD = 4
_UNITS = {"deg": "degrees", "1": "", "N": "N"}
_FIELD_UNITS = {"mm": "mm", "deg": "deg", "nm": "N·m"}


def unit_of(key: str) -> str:
    """Return the unit of a measure or a field."""
    head = key.partition(".")[0]
    if head in MEASURES:
        return MEASURES[head].unit
    return _FIELD_UNITS.get(key.rpartition("_")[2], "")


def value_words(key: str, value: float) -> str:
    """Return a value with its unit, as a tech says it.

    Examples
    --------
    >>> value_words("heel_margin_deg.back", 4.96), value_words("front_load_share", 0.4833)
    ('5 degrees', '48.3 %')

    """
    unit = unit_of(key)
    if in_percent(key):
        return "unknown" if isnan(value) else f"{number(value * 100)} %"
    text = "unknown" if isnan(value) else number(value, 3 if unit == "1" else 1)
    words = _UNITS.get(unit, unit)
    return f"{text} {words}" if words else text


def range_words(key: str, interval: Interval) -> str:
    """Return a range with its unit, as a tech says it.

    Examples
    --------
    >>> range_words("turnout_gap_deg.back", Interval(-8, 8)), range_words("front_load_share", Interval(0.44, 0.48))
    ('-8 to 8 degrees', '44 to 48 %')

    """
    if in_percent(key):
        return Interval(interval.low * 100, interval.high * 100).words("%")
    unit = unit_of(key)
    return interval.words(_UNITS.get(unit, unit))


def work_words(turns: float, minutes: float) -> str:
    """Return what a choice takes at the bench.

    Examples
    --------
    >>> work_words(16, 3), work_words(0, 1)
    ('16 screwdriver turns, 3 minutes', 'no screw to turn, 1 minute')

    """
    time = f"{number(minutes)} {'minute' if minutes == 1 else 'minutes'}"
    return f"{number(turns)} screwdriver turns, {time}" if turns else f"no screw to turn, {time}"


def reached_values(hunt: Hunt, found: Found) -> dict[str, float]:
    """Return every guarded or aimed value with a combination set."""
    trial = hunt.trial
    for lever, option in found.picks:
        trial.put(trial.moves[lever][option])
    values = {meter.key: meter.value(trial.now) for meter in (*hunt.strained, *(g.meter for g in hunt.goals))}
    for lever, option in found.picks:
        trial.take_back(trial.moves[lever][option])
    return values


def missed_words(goals: Sequence[Goal], values: dict[str, float]) -> str:
    """Return what the aim that is missed by most comes to, or where it stays."""
    worst = max(goals, key=lambda goal: goal.short(values[goal.meter.key]))
    key = worst.meter.key
    value, needed = value_words(key, values[key]), range_words(key, worst.interval)
    if value == value_words(key, worst.meter.base):
        return f"the {spoken(key)} {'stay' if _many(key) else 'stays'} at {value}; you need {needed}"
    return f"it brings the {spoken(key)} to {value}; you need {needed}"


def spoiling_words(hunt: Hunt, found: Found, values: dict[str, float]) -> str:
    """Return the worst of what a combination spoils, with its numbers."""
    meters = [meter for meter in hunt.guards if meter.key in found.spoiled]
    worst = max(meters, key=lambda meter: meter.strain_added(values[meter.key]))
    assert worst.window is not None
    good = range_words(worst.key, worst.guard or worst.window.good)
    more = f" (and {len(meters) - 1} more)" if len(meters) > 1 else ""
    return (
        f"puts the {spoken(worst.key)} at {value_words(worst.key, values[worst.key])}, "
        f"from {value_words(worst.key, worst.base)}; {good} is right{more}"
    )


def why_lost(hunt: Hunt, found: Found, best: Found | None) -> str:
    """Return why a combination is not the one to take."""
    values = reached_values(hunt, found)
    if found.short > 0:
        return f"falls short: {missed_words(hunt.goals, values)}"
    if found.spoiled:
        return f"does it, but {spoiling_words(hunt, found, values)}"
    if best is None:
        return "does it"
    if found.turns > best.turns + _TINY:
        enough = f"{number(best.turns)} are enough" if best.turns else "it can be done without any"
        return f"does it too, but takes {number(found.turns)} screwdriver turns; {enough}"
    if found.minutes > best.minutes + _TINY:
        return f"does it too, but takes {number(found.minutes)} minutes; {number(best.minutes)} are enough"
    if hunt.used_to(found.picks) > hunt.used_to(best.picks) + _TINY:
        steps = number(hunt.steps(found.picks)), number(hunt.steps(best.picks))
        return f"the same work, but more to get used to for the rider: steps in all {steps[0]}, not {steps[1]}"
    theirs = reached_values(hunt, best)
    worse = max(
        hunt.strained, key=lambda meter: meter.strain_added(values[meter.key]) - meter.strain_added(theirs[meter.key])
    )
    if worse.strain_added(values[worse.key]) - worse.strain_added(theirs[worse.key]) > _TINY:
        return (
            f"the same work, but it leaves the {spoken(worse.key)} at {value_words(worse.key, values[worse.key])} "
            f"instead of {value_words(worse.key, theirs[worse.key])}"
        )
    return "the same work and the same result, with a larger change"


def why_won(hunt: Hunt, found: Found) -> str:
    """Return what speaks for the combination to take."""
    values = reached_values(hunt, found)
    reached = ", ".join(_reached_words(goal, values) for goal in hunt.goals[:_MOST_TOLD])
    work = work_words(found.turns, found.minutes)
    if found.spoiled:
        return f"{reached}; {work}. Nothing does it without a price: it {spoiling_words(hunt, found, values)}"
    return f"{reached}; {work}, and nothing that was right is spoiled"


def _reached_words(goal: Goal, values: dict[str, float]) -> str:
    key = goal.meter.key
    wanted = range_words(key, goal.interval)
    return f"the {spoken(key)} {'come' if _many(key) else 'comes'} to {value_words(key, values[key])} ({wanted} wanted)"


def _many(key: str) -> bool:
    """Return whether a measure's name is of many: the screw turns come, the screw gap comes."""
    return unit_of(key) in {"turns", "teeth"}
