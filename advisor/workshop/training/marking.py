"""The mark of a drill: cause, remedy with its size, economy, harm; and the explanation that goes with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.replies import Answered
from advisor.explain.telling import Telling, tell
from advisor.explain.text import Block, Heading, Say, Table, Text
from advisor.workshop.training.rehearsal import asked_and_told, harm_done, misses
from advisor.workshop.training.rider import Noise
from advisor.workshop.training.tables import training_table
from advisor.workshop.training.truth_measures import Truth

if TYPE_CHECKING:
    from advisor.workshop.training.drill import Drill


@dataclass(frozen=True)
class Mark:
    """The mark of one drill.

    Parameters
    ----------
    total
        Out of 100.
    cause, remedy, economy, harm
        Its parts.
    right_cause, right_remedy
        Whether each is right.
    minutes, advisors_minutes
        What the trainee and the advisor took.
    broken
        What the trainee's settings broke.
    left
        What the planted measures still miss, by measure.

    """

    total: float
    cause: float
    remedy: float
    economy: float
    harm: float
    right_cause: bool
    right_remedy: bool
    minutes: float
    advisors_minutes: float
    broken: tuple[str, ...]
    left: dict[str, float]


def whose_hand(drill: Drill) -> str:
    """Return who mends the fault: a key of `hands`."""
    fault = drill.rider.planted[0].fault
    table = training_table("drills")
    if fault.turn and not fault.fixable:
        return "board" if fault.skill == "board" else "tuning"
    return str(table["by_fault"].get(fault.id) or table["by_skill"][fault.skill])


def mark(drill: Drill) -> Mark:
    """Mark a drill as the trainee has left it."""
    table = training_table("drills")["mark"]
    one = drill.rider.planted[0]
    fault = one.fault
    named = drill.cause in fault.named_by or (bool(fault.referrals) and drill.sent == "clinician")
    after = Truth(drill.sheet, drill.rider.tilt_deg)
    left = misses(one, drill.rider.complaint, after)
    touched = len(drill.sheets) > 1
    if fault.turn and fault.fixable:
        before = misses(one, drill.rider.complaint, drill.rider.truth)
        mended = not any(left.values())
        halfway = all(left[name] <= before[name] / 2 for name in left)
    else:
        mended, halfway = drill.sent == whose_hand(drill), False
    _, advisors = advisors_own(drill)
    harm = harm_done(drill.rider, after) if touched else ()
    parts = (
        table["cause"] if named else 0,
        table["remedy"] if mended else table["half_remedy"] if halfway else 0,
        table["economy"] * _economy(drill.minutes, advisors, table) if named else 0,
        table["harm"] if harm else 0,
    )
    total = max(0.0, min(100.0, float(sum(parts))))
    cause, remedy, economy, lost = (float(part) for part in parts)
    return Mark(total, cause, remedy, economy, lost, named, mended, drill.minutes, advisors, harm, left)


def _economy(minutes: float, advisors: float, table: dict[str, float]) -> float:
    full = advisors + table["minutes_over"]
    none = full * table["economy_lost_at"]
    return max(0.0, min(1.0, (none - minutes) / (none - full)))


def advisors_own(drill: Drill) -> tuple[Answer, float]:
    """Return what the advisor says to the same customer, and the minutes that it takes."""
    visit = asked_and_told(
        drill.knowledge, Case(drill.rider.complaint, drill.rider.sheet), drill.rider, Noise(), 0
    )  # fmt: skip
    answer = visit.answer
    return (answer if answer.outcome != "needs" else answer_case(drill.knowledge, answer.case)), visit.minutes


def mark_text(drill: Drill, given: Mark) -> Text:
    """Return the mark with the truth and the advisor's own explanation, mechanics and picture included."""
    one = drill.rider.planted[0]
    table = training_table("drills")["mark"]
    where = f" ({one.foot} foot)" if one.foot else ""
    rows = (
        ("cause", f"{given.cause:.0f} of {table['cause']}", "right" if given.right_cause else "not this one"),
        ("remedy", f"{given.remedy:.0f} of {table['remedy']}", _remedy_words(given)),
        (
            "economy",
            f"{given.economy:.0f} of {table['economy']}",
            f"{given.minutes:g} min; the advisor took {given.advisors_minutes:g}",
        ),
        ("harm", f"{given.harm:.0f}", ", ".join(given.broken) or "none"),
    )
    answer, _ = advisors_own(drill)
    blocks: list[Block] = [
        Heading(f"{given.total:.0f} of 100"),
        Table(("part", "points", ""), rows),
        Say(
            f"The truth: {one.fault.words}{where}. "
            f"It belongs to {training_table('drills')['hands'][whose_hand(drill)]}."
        ),
        Heading("What the advisor says"),
        *tell(Answered(answer, level="training"), Telling(drill.knowledge, ascii_only=True)),
    ]
    return tuple(blocks)


def _remedy_words(given: Mark) -> str:
    if given.right_remedy:
        return "right"
    still = [f"{name} misses by {value:g}" for name, value in given.left.items() if value]
    return "; ".join(still) or "not so"
