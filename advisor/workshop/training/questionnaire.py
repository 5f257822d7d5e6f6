"""A naive questionnaire beside the dialogue: the same questions for a complaint, always in the same order.

For each fault that can give the complaint, in the order of the data, the one fact or the one measurement that shows it
is asked for. The first that shows ends it. It does not know what is likelier or cheaper, and works nothing out.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from advisor.workshop.training.planted_faults import Fault, load_faults
from advisor.workshop.training.rider import Noise, TrueRider
from advisor.workshop.training.tables import training_table


@dataclass(frozen=True)
class Asked:
    """What the questionnaire comes to: the fault named, if any, and how many questions it took."""

    fault: str
    found: bool
    questions: int


def ask_in_order(rider: TrueRider, noise: Noise, seed: int) -> Asked:
    """Take a rider through the questionnaire."""
    felt = {one.fault.id for one in rider.still_feels()}
    asked: dict[str, str | None] = {}
    questions = 0
    for fault in load_faults().values():
        if rider.complaint not in fault.complaints:
            continue
        if fault.turn:
            questions += 1
            shows = _measured(rider, fault, noise, seed)
        else:
            fact, wanted = _telling(fault, rider.complaint)
            if fact not in asked:
                questions += 1
                asked[fact] = _answer(rider, fact, noise, seed)
            shows = asked[fact] == wanted
        if shows:
            return Asked(fault.id, fault.id in felt, questions)
    return Asked("", False, questions)


def _telling(fault: Fault, complaint: str) -> tuple[str, str]:
    """Return the fact that shows a fault, with its answer: the first that a sound rider would tell otherwise."""
    sound = training_table("answers")["sound"]
    own = fault.complaints[complaint].get("facts") or {}
    told = {**fault.facts, **{str(name): str(value) for name, value in own.items()}}
    for name, value in fault.facts.items():
        if sound.get(name) != value:
            return name, told[name]
    return next(iter(told.items()))


def _answer(rider: TrueRider, fact: str, noise: Noise, seed: int) -> str | None:
    random = Random(f"{seed} {fact}")
    chance = random.random()
    if chance < noise.unsure:
        return None
    true = rider.told_plainly(fact)
    return "?" if chance < noise.unsure + noise.wrong else true


def _measured(rider: TrueRider, fault: Fault, noise: Noise, seed: int) -> bool:
    """Return whether a measurement shows a turned fault, at whichever foot it is looked for."""
    random = Random(f"{seed} {fault.id}")
    chance = random.random()
    if chance < noise.unsure:
        return False
    at = str(fault.until["at"])
    least, most = fault.until["reach"]
    truth = rider.truth
    feet = ("front", "back") if at == "foot" else (at,)
    values = [truth.value(str(fault.until["measure"]), foot, None) for foot in feet]
    shows = any(value >= least if most > least else value <= least for value in values)
    return not shows if chance < noise.unsure + noise.wrong else shows
