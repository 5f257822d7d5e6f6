"""One rider through the real dialogue: asked, advised, the advice done, and what came of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isnan
from random import Random
from typing import TYPE_CHECKING, Any

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.geometry.measuring import measure_all
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Fact
from advisor.knowledge.trees import authors
from advisor.sheet.fields import field_rows
from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import Leaf, LeafValue, Sheet
from advisor.solve.windows import load_windows
from advisor.workshop.training.measured_sheet import seen_sheet
from advisor.workshop.training.planted_faults import Fault, Planted
from advisor.workshop.training.rider import Noise, TrueRider, draw_rider
from advisor.workshop.training.tables import training_table
from advisor.workshop.training.truth_measures import Truth

if TYPE_CHECKING:
    from advisor.match import Matcher

_MOST_QUESTIONS = 40
_VISITS = 2
_MOST_OFFERED = 3


@dataclass(frozen=True)
class Rehearsed:
    """What came of one rider.

    Parameters
    ----------
    number, seed
        Which rider; the two draw the same one again.
    faults
        What was planted, that of the complaint first.
    complaint, entry
        What the rider came with, and the entry that was taken up.
    cause, outcome
        What the dialogue named, and how it ended.
    found
        Whether it named the planted fault; of two, either: both are there, and what is left brings the rider back.
    found_later
        Whether it did at the latest when the rider came back.
    right
        Whether the advice, once done, mends the fault: the planted measure back in its window, or a fault that no
        measure shows named and not answered by moving something else.
    aims_met
        Whether every measure that the advice aimed at lies in its range on the true set-up afterwards; None without.
    residual
        How far the planted measure lies from its window afterwards, by measure; 0 in it.
    before
        The same before.
    questions, minutes
        How many questions were put, and what they cost at the bench.
    harm
        Measures that were good and are out now, or edges that drag now and did not.
    fixable
        Whether a hand at the fitting bench can mend the fault.
    told
        Every fact asked with the answer given; None is "don't know".
    changes
        The advice in words.
    for_clinician
        Whether the fault belongs to a clinician.
    words, entry_found
        What the rider said, and whether it led to the complaint's entry; where words were spoken.

    """

    number: int
    seed: int
    faults: tuple[str, ...]
    complaint: str
    entry: str
    cause: str
    outcome: str
    found: bool
    found_later: bool
    right: bool
    aims_met: bool | None
    residual: Mapping[str, float]
    before: Mapping[str, float]
    questions: int
    minutes: float
    harm: tuple[str, ...]
    fixable: bool
    told: tuple[tuple[str, LeafValue | None], ...] = ()
    changes: tuple[str, ...] = ()
    for_clinician: bool = False
    words: str = ""
    entry_found: bool | None = None


@dataclass
class _Visit:
    answer: Answer
    told: list[tuple[str, LeafValue | None]]
    minutes: float


def rehearse_one(
    knowledge: Knowledge,
    number: int,
    seed: int,
    noise: Noise = Noise(),  # noqa: B008
    two: float = 0.0,
    only: str | None = None,
    all_known: bool = False,
    matcher: Matcher | None = None,
) -> Rehearsed:
    """Draw one rider and take him through the dialogue.

    Parameters
    ----------
    knowledge
        The compiled knowledge.
    number, seed
        Which rider.
    noise
        How well is told.
    two
        Share of riders with two faults.
    only
        The fault to plant, any by default.
    all_known
        Every fact is told honestly before anything is asked: the best that the knowledge can do.
    matcher
        Takes the complaint up from free words; by default its entry is taken up at once.

    """
    random = Random(f"{seed} rider {number}")
    rider = draw_rider(random, two, only)
    seen = seen_sheet(rider.sheet, noise.ruler, noise.blank, random)
    case, words, heard = _taken_up(knowledge, rider, seen, matcher, random)
    if all_known:
        case = _all_told(knowledge, case, rider)
    visit = asked_and_told(knowledge, case, rider, noise, random.randrange(1 << 30))
    scored = _scored(knowledge, rider, visit, number, seed, noise)
    return replace(scored, words=words, entry_found=heard)


def _taken_up(
    knowledge: Knowledge, rider: TrueRider, seen: Sheet, matcher: Matcher | None, random: Random
) -> tuple[Case, str, bool | None]:
    """Return the case as it is taken up: from the complaint's own words where there is a matcher.

    Where the matcher is not sure it asks which of three is meant, and the rider says which, if it is among them.
    """
    if matcher is None:
        return Case(rider.complaint, seen), "", None
    words = random.choice(training_table("voices")["voices"][rider.complaint])
    matching = matcher.match(words)
    offered = [one.id for one in matching.matches[: 1 if matching.sure else _MOST_OFFERED]]
    if matching.understood and rider.complaint in offered:
        return Case(rider.complaint, seen), words, True
    likely = [name for name in offered if name in knowledge.entry_ids]
    return Case(likely[0] if likely else rider.complaint, seen), words, False


def asked_and_told(knowledge: Knowledge, case: Case, rider: TrueRider, noise: Noise, seed: int) -> _Visit:
    """Walk one complaint to its answer."""
    told: list[tuple[str, LeafValue | None]] = []
    minutes = 0.0
    answer = answer_case(knowledge, case)
    while answer.walk.question and answer.outcome == "needs" and len(told) < _MOST_QUESTIONS:
        fact = answer.walk.question.fact
        value = rider.told(fact, noise, seed)
        told.append((fact.id, value))
        minutes += fact.minutes
        case = _with_told(case, fact, value)
        answer = answer_case(knowledge, case)
    return _Visit(answer, told, minutes)


def _with_told(case: Case, fact: Fact, value: LeafValue | None) -> Case:
    if value is None:
        return case.with_unsure(fact.id)
    if fact.id not in field_rows():
        return case.with_answer(fact.id, str(value))
    if fact.kind == "number":
        return case.with_number(fact.id, value, fact.plus_minus)
    return case.with_told(fact.id, value)


def _all_told(knowledge: Knowledge, case: Case, rider: TrueRider) -> Case:
    """Return the case with every fact of the entry told honestly."""
    from advisor.graph.nodes import Ask

    for node in knowledge.entry(case.entry).nodes.values():
        if isinstance(node, Ask):
            fact = knowledge.facts[node.fact]
            value = rider.honest(fact)
            if value is not None and case.sheet.leaves.get(fact.id) is None:
                case = _with_told(case, fact, value)
    return _with_told(case, knowledge.facts["rider.tilt_deg"], round(rider.tilt_deg))


def _names(answer: Answer, fault: Fault) -> bool:
    if answer.cause is not None:
        return answer.cause.id in fault.named_by
    return answer.referral is not None and answer.referral.id in fault.referrals


def _scored(knowledge: Knowledge, rider: TrueRider, visit: _Visit, number: int, seed: int, noise: Noise) -> Rehearsed:
    answer = visit.answer
    named = [one for one in rider.planted if _names(answer, one.fault)]
    after = answer.choice.sheet_after if answer.choice else answer.case.sheet
    about = named[0] if named else rider.planted[0]
    truth_after = Truth(_made(rider.sheet, answer.case.sheet, after), rider.tilt_deg)
    residual = misses(about, rider.complaint, truth_after)
    harm = harm_done(rider, truth_after) if answer.choice else ()
    right = bool(named) and (not any(residual.values()) if about.fault.turn else True)
    later = bool(named) or _later(knowledge, rider, answer, noise, seed + number)
    return Rehearsed(
        number=number,
        seed=seed,
        faults=tuple(one.fault.id for one in rider.planted),
        complaint=rider.complaint,
        entry=answer.case.entry,
        cause=answer.cause.id if answer.cause else f"referred: {answer.referral.id}" if answer.referral else "",
        outcome=answer.outcome,
        found=bool(named),
        found_later=later,
        right=right,
        aims_met=_aims_met(answer, truth_after),
        residual=residual,
        before=misses(about, rider.complaint, rider.truth),
        questions=len(visit.told),
        minutes=visit.minutes,
        harm=harm,
        fixable=about.fault.fixable,
        told=tuple(visit.told),
        changes=tuple(change.words for change in answer.choice.changes) if answer.choice else (),
        for_clinician=bool(about.fault.referrals),
    )


def _later(knowledge: Knowledge, rider: TrueRider, answer: Answer, noise: Noise, seed: int) -> bool:
    """Return whether the fault is found when the rider comes back and nothing has changed."""
    ruled_out: set[str] = set()
    for visit in range(_VISITS - 1):
        if answer.line is None or answer.outcome == "needs":
            return False
        ruled_out.add(answer.line.suspect.name)
        case = replace(answer.case, answers={}, unsure=frozenset(), ruled_out=frozenset(ruled_out))
        again = asked_and_told(knowledge, case, rider, noise, seed + visit)
        answer = again.answer
        if any(_names(answer, one.fault) for one in rider.planted):
            return True
    return False


def _made(true: Sheet, seen: Sheet, advised: Sheet) -> Sheet:
    """Return the true set-up with the change that the advice makes to the sheet as the tech has it.

    What is turned by so much moves by so much from where it truly is; a yes or no, a name or a field that the sheet
    did not have is set.
    """
    leaves = dict(true.leaves)
    for path, leaf in advised.leaves.items():
        before = seen.leaves.get(path)
        if before is not None and before.value == leaf.value:
            continue
        now = leaves.get(path)
        values = (leaf.value, before.value if before else None, now.value if now else None)
        if all(isinstance(value, int | float) and not isinstance(value, bool) for value in values):
            to, was, truly = (float(str(value)) for value in values)
            leaves[path] = Leaf(round(truly + to - was, 2))
        else:
            leaves[path] = leaf
    return Sheet(true.name, leaves)


def misses(one: Planted, complaint: str, truth: Truth) -> dict[str, float]:
    """Return how far the measures that show a fault lie from where they are right, in each measure's unit."""
    found = {}
    for wanted in one.fault.right_for(complaint):
        measure, at = str(wanted["measure"]), str(wanted.get("at", "board"))
        value = truth.value(measure, at, one.foot)
        found[measure] = round(_beyond(value, wanted, measure, truth), 2)
    return found


def _beyond(value: float, wanted: Mapping[str, Any], measure: str, truth: Truth) -> float:
    low, high = wanted.get("low"), wanted.get("high")
    if low is None and high is None:
        window = load_windows(authors()).window(measure, truth.setup)
        if window is None:
            return 0.0
        low, high = window.good.low, window.good.high
    below = float(low) - value if low is not None else 0.0
    above = value - float(high) if high is not None else 0.0
    return max(0.0, below, above) if max(below, above) > 1e-6 else 0.0


def _aims_met(answer: Answer, after: Truth) -> bool | None:
    """Return whether every aim of the advice holds on the true set-up after it, read from the measures alone."""
    if answer.choice is None or not answer.aims:
        return None
    taken = {key: one.value for key, one in measure_all(Known(after.setup, {})).items()}
    for aim in answer.aims:
        value = taken[aim.key] if aim.key in taken else after.setup.get(aim.key)
        if not aim.interval(load_windows(authors()).window(aim.key, after.setup)).has(value):
            return False
    return True


def harm_done(rider: TrueRider, after: Truth) -> tuple[str, ...]:
    """Return what the advice broke: measures that were good and are out now, edges that drag now and did not."""
    windows, before = load_windows(authors()), rider.truth
    found = []
    was = {key: one.value for key, one in measure_all(Known(before.setup, {})).items()}
    now = {key: one.value for key, one in measure_all(Known(after.setup, {})).items()}
    for key, value in now.items():
        window = windows.window(key, after.setup)
        if window is None or window.guard is None or isnan(value) or "margin" in key:
            continue
        if windows.window(key, before.setup) and window.state(value) == "out" and window.state(was[key]) == "good":
            found.append(key)
    sides: Sequence[FootSide] = ("front", "back")
    for edge in ("heel", "toe"):
        for side in sides:
            room = f"{edge}_room_deg"
            if before.value(room, side, None) >= 0 > after.value(room, side, None):
                found.append(f"{room}.{side}")
    return tuple(found)
