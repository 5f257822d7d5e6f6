"""The forward model: from a planted fault to what the rider complains of, tells, and shows at the bench.

It knows nothing of the entries. Complaints and answers follow from the data of the fault, from the set-up as it truly
is and from the tilt truly ridden; only the names of complaints, facts and options are shared with `trees/`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from random import Random
from typing import Any

from advisor.geometry.carve import needed_tilt_deg
from advisor.graph.nodes import Fact
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.workshop.training.measured_sheet import off_by_ruler
from advisor.workshop.training.planted_faults import Fault, Planted, load_faults, plant
from advisor.workshop.training.sound_rider import Fitted, fit_rider
from advisor.workshop.training.tables import chosen, drawn, training_table
from advisor.workshop.training.truth_measures import Truth, holds

_TRIES = 400
_TILT = "rider.tilt_deg"


@dataclass(frozen=True)
class Noise:
    """How well the rider and the bench tell.

    Parameters
    ----------
    wrong, unsure
        Shares of wrong and of missing answers.
    ruler, blank
        How far readings are off, and the share of blank fields; `seen.py` says of what.

    """

    wrong: float = 0.0
    unsure: float = 0.0
    ruler: float = 0.0
    blank: float = 0.0


@dataclass(frozen=True)
class TrueRider:
    """A rider as he truly is.

    Parameters
    ----------
    sound
        The set-up before anything was planted.
    sheet
        The set-up with the faults; the tech has the whole of it.
    tilt_deg
        The tilt ridden, which nobody has written down.
    planted
        The faults, that of the complaint first.
    complaint
        What the rider comes with.
    drawn
        What was drawn of answers that are left to chance.

    """

    sound: Sheet
    sheet: Sheet
    tilt_deg: float
    planted: tuple[Planted, ...]
    complaint: str
    drawn: Mapping[str, str] = field(default_factory=dict)

    @property
    def truth(self) -> Truth:
        """Return the set-up with the tilt ridden."""
        return Truth(self.sheet, self.tilt_deg)

    def on(self, sheet: Sheet) -> TrueRider:
        """Return the rider on a changed set-up."""
        return replace(self, sheet=sheet)

    def without(self, fault: Fault) -> TrueRider:
        """Return the rider with one fault mended."""
        return replace(self, planted=tuple(one for one in self.planted if one.fault.id != fault.id))

    # ------------------------------------------------------------------ complaints

    def complains_of(self, one: Planted, complaint: str, truth: Truth) -> bool:
        """Return whether a planted fault makes itself felt so on the set-up as it is now."""
        told = one.fault.complaints.get(complaint)
        if told is None:
            return False
        styles = told.get("styles")
        if styles and truth.setup.rider.style not in styles:
            return False
        if one.fault.turn and not _still_there(one, truth):
            return False
        return all(holds(truth, condition, one.foot) for condition in told.get("when", ()))

    def still_feels(self) -> tuple[Planted, ...]:
        """Return the planted faults that still give the complaint."""
        truth = self.truth
        return tuple(one for one in self.planted if self.complains_of(one, self.complaint, truth))

    # ------------------------------------------------------------------ answers

    def honest(self, fact: Fact) -> LeafValue | None:
        """Return what an honest rider or a careful look gives for a fact; None where nobody can tell."""
        if fact.id == _TILT:
            return round(self.tilt_deg)
        if fact.kind == "number" or "." in fact.id:
            return self.sheet.value(fact.id)
        option = self.told_plainly(fact.id)
        return option if option in fact.options else None

    def told_plainly(self, name: str) -> str:
        """Return the true option of a fact that is no field of the sheet; empty where the data have none."""
        for one in self.planted:
            own = one.fault.complaints.get(self.complaint, {})
            for facts in (own.get("facts") or {}, one.fault.facts):
                if name in facts:
                    return str(facts[name])
            if name == "snow" and own.get("snow"):
                return str(own["snow"])
        table = training_table("answers")
        by_nature = (table["by_complaint"].get(self.complaint) or {}).get(name)
        if by_nature is not None:
            return str(by_nature)
        if name in table["scuffs"]:
            return self._scuff(table["scuffs"][name])
        if name in table["read_off"]:
            truth = self.truth
            return next(str(rule["told"]) for rule in table["read_off"][name] if holds(truth, rule, None))
        return self.drawn.get(name, "")

    def _scuff(self, parts: Mapping[str, Any]) -> str:
        part = self.truth.first_part(str(parts["edge"]))
        return str(parts["otherwise"]) if part is None else str(parts.get(part, parts["otherwise"]))

    def told(self, fact: Fact, noise: Noise, seed: int) -> LeafValue | None:
        """Return what is told for a fact, with wrong and missing answers; None is "don't know".

        The same fact is told alike each time it is asked.
        """
        random = Random(f"{seed} {fact.id}")
        chance = random.random()
        if chance < noise.unsure:
            return None
        true = self.honest(fact)
        if true is not None and fact.kind == "number":
            true = off_by_ruler(true, noise.ruler * fact.plus_minus, random.gauss(0, 1))
        if true is None or chance >= noise.unsure + noise.wrong:
            return true
        if fact.options:
            others = [option for option in fact.options if option != str(true)]
            return random.choice(others) if others else true
        if isinstance(true, int | float) and not isinstance(true, bool):
            times = drawn(random, training_table("answers")["wrong_number_times"])
            missed = float(true) + random.choice((-1, 1)) * times * (fact.plus_minus or 1.0)
            return round(missed) if isinstance(true, int) else round(missed, 1)
        return true


def _still_there(one: Planted, truth: Truth) -> bool:
    """Return whether a turned fault is still beyond where it is just noticed."""
    until = one.fault.until
    least, most = until["reach"]
    value = truth.value(str(until["measure"]), str(until["at"]), one.foot)
    return bool(value >= least if most > least else value <= least)


def draw_rider(random: Random, two: float = 0.0, only: str | None = None) -> TrueRider:
    """Draw a rider with one fault, or two, and a complaint that follows from the first.

    Parameters
    ----------
    random
        Seeded by the caller.
    two
        Share of riders with a second fault.
    only
        Name of the one fault to plant; any by default.

    """
    faults = load_faults()
    kinds = [[name for name, fault in faults.items() if bool(fault.turn) == turned] for turned in (True, False)]
    share = float(training_table("riders")["turned_share"])
    fitted = fit_rider(random)
    for number in range(1, _TRIES + 1):
        fault = faults[only or random.choice(kinds[random.random() >= share])]
        rider = _with_fault(fitted, fault, random)
        if rider is not None:
            return _with_second(rider, random) if random.random() < two else rider
        if number % 3 == 0:
            fitted = fit_rider(random)
    raise RuntimeError(f"no rider could be given the fault {only or 'drawn'}")


def _with_fault(fitted: Fitted, fault: Fault, random: Random) -> TrueRider | None:
    sheet = fitted.sheet
    needed = needed_tilt_deg(resolve(sheet).setup)
    tilt = max(1.0, needed + drawn(random, training_table("riders")["tilt_besides_deg"]))
    planted = plant(fault, sheet, tilt, random)
    if planted is None:
        return None
    rider = TrueRider(sheet, planted.sheet, tilt, (planted,), "", sound_answers(random))
    truth = rider.truth
    felt = {
        name: float(told["weight"])
        for name, told in fault.complaints.items()
        if rider.complains_of(planted, name, truth)
    }
    return replace(rider, complaint=chosen(random, felt)) if felt else None


def sound_answers(random: Random) -> dict[str, str]:
    """Return what a rider and a bench tell where nothing is wrong, with what is left to chance drawn."""
    return {
        name: chosen(random, given) if isinstance(given, dict) else str(given)
        for name, given in training_table("answers")["sound"].items()
    }


def _with_second(rider: TrueRider, random: Random) -> TrueRider:
    """Return the rider with a second fault that does not touch the fields or facts of the first."""
    first = rider.planted[0]
    others = [one for one in load_faults().values() if not _alike(one, first.fault)]
    for _ in range(6):
        second = plant(random.choice(others), rider.sheet, rider.tilt_deg, random)
        if second is None:
            continue
        both = replace(rider, sheet=second.sheet, planted=(first, second))
        if both.complains_of(first, rider.complaint, both.truth):
            return both
    return rider


def _alike(one: Fault, other: Fault) -> bool:
    fields = [{path.rpartition(".")[2] for way in fault.turn for path in way} for fault in (one, other)]
    return one.id == other.id or bool(fields[0] & fields[1]) or bool(set(one.facts) & set(other.facts))
