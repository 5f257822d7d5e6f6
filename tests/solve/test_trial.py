"""A trial gives what the register gives, whatever was tried before."""

from __future__ import annotations

from random import Random

from advisor.geometry.register import MEASURES, places
from advisor.sheet.practice import load_practice
from advisor.sheet.resolve import resolve
from advisor.solve.options import levers
from advisor.solve.trial import Trial, reads
from advisor.solve.windows import load_windows
from tests.make_setup import example_setup
from tests.solve.brute_force import value_at
from tests.solve.random_sheets import random_document, random_sheet, sheet_from


def same(one: float, other: float) -> bool:
    return one == other or (one != one and other != other)


def test_a_number_that_a_measure_does_not_read_cannot_move_it() -> None:
    """The register's inputs are all that the search goes by, so they must hold for every path moved."""
    random = Random(4)
    for _ in range(6):
        sheet = random_sheet(random)
        known = resolve(sheet, load_practice())
        trial = Trial(known, levers(sheet, known), load_windows())
        moved = set(trial.paths)
        for path in moved:
            other = known.setup.copy()
            part, _, name = path.rpartition(".")
            holder = getattr(other, part) if part else other
            now = getattr(holder, name)
            value = {"across": "along", "along": "across"}[now] if isinstance(now, str) else not now
            setattr(holder, name, value if isinstance(now, str | bool) else now + 1)
            for measure in MEASURES.values():
                for place in places(measure):
                    if path not in reads(measure.id, place):
                        key = f"{measure.id}.{place}" if place.side else measure.id
                        assert same(value_at(other, key), value_at(known.setup, key)), (path, key)


def test_values_stay_right_whatever_was_tried_before() -> None:
    random = Random(9)
    for _ in range(5):
        sheet = random_sheet(random)
        known = resolve(sheet, load_practice())
        offered = levers(sheet, known)
        trial = Trial(known, offered, load_windows())
        keys = [f"{m.id}.{p}" if p.side else m.id for m in MEASURES.values() for p in places(m)]
        for _ in range(60):
            chosen = random.sample(range(len(offered)), 2)
            moves = [random.choice(trial.moves[i]) for i in chosen]
            direct = known.setup.copy()
            for move in moves:
                trial.put(move)
                for index, value in move:
                    part, _, name = trial.paths[index].rpartition(".")
                    setattr(getattr(direct, part) if part else direct, name, value)
            for key in random.sample(keys, 12):
                assert same(trial.meter(key).value(trial.now), value_at(direct, key)), key
            for move in moves:
                trial.take_back(move)
        assert trial.now == trial.base


def test_a_boot_that_cannot_be_measured_is_unknown_and_never_a_traceback() -> None:
    sheet = random_sheet(Random(1)).without("boots.outsole_length_mm").without("rider.height_cm")
    for foot in ("left", "right"):
        sheet = sheet.without(f"rider.foot_length_mm.{foot}")
    sheet = sheet.without("rider.inseam_cm")
    known = resolve(sheet, load_practice())
    trial = Trial(known, levers(sheet, known), load_windows())
    assert trial.meter("heel_margin_deg.back").base != trial.meter("heel_margin_deg.back").base
    assert "heel_margin_deg.back" not in {meter.key for meter in trial.guarded()}


def test_a_spoiled_value_has_left_its_window_or_gone_noticeably_further_out() -> None:
    setup = example_setup()
    setup.back.angle_deg, setup.back.turnout_deg = -27, 12  # hips held at 0, where -4 would share it
    from tests.make_setup import known as as_known

    known = as_known(setup)
    trial = Trial(known, (), load_windows())
    meter = trial.meter("turnout_gap_deg.back")
    assert meter.base == 15  # 27 to the hips, 12 of the rider's own
    assert not meter.spoils(16)  # outside before, 1 degree further is not worth a word
    assert meter.spoils(16.1)
    inside = trial.meter("turnout_gap_deg.front")
    assert inside.base == 7
    assert not inside.spoils(9)  # 8 is good, and 1 degree more is not worth a word
    assert inside.spoils(9.1)
    assert not inside.ruins(12)
    assert inside.ruins(13.1)
    assert inside.spoils(float("nan"))


def test_what_needs_the_slots_as_they_are_is_not_made_while_they_are_turned() -> None:
    """A disc is turned half round with its slots across; laid in the other way it does another job (trade rule)."""
    document = random_document(Random(3))
    for side in ("front", "back"):
        document["mount"][side] |= {"slots": "across", "slot_mm": 0}
    sheet = sheet_from(document)
    known = resolve(sheet, load_practice())
    offered = levers(sheet, known)
    trial = Trial(known, offered, load_windows())
    place = {lever.id: i for i, lever in enumerate(offered)}
    meet = lambda one, other: bool(trial.claims[place[one]] & trial.claims[place[other]])  # noqa: E731
    assert meet("turn_disc_round.back", "slots_direction.back")
    assert not meet("turn_disc_round.back", "slots_direction.front")
    assert not meet("turn_disc_round.back", "shift_across.back")
