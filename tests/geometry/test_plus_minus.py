"""The ± of a measure contains the truth: inputs are drawn within their own ± and every value is looked up.

Half of the draws are anywhere within the ranges, half at their ends. The ± is found by moving each input to its ends
and all of them together, so a small bend between the ends may stick out: a tenth of the ± and 0.05 units are allowed.
"""

from __future__ import annotations

from math import isnan, nan
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.geometry.measuring import Measured, measure_all, spread
from advisor.sheet.readings import Known
from advisor.sheet.setup import Setup
from tests.make_setup import example_known, example_setup, known
from tests.strategies import knowns

_BEND, _LEAST = 0.1, 0.05


def _furthest(k: Known, chance: Random, draws: int = 30) -> dict[str, float]:
    """Return by how much the furthest drawn value of each measure sticks out of its range."""
    taken = {key: x for key, x in measure_all(k).items() if x.known}
    out = dict.fromkeys(taken, 0.0)
    s = k.setup.copy()
    for draw in range(draws):
        for path, half in k.moving.items():
            way = chance.uniform(-1, 1) if draw % 2 else chance.choice((-1, 1))
            s.put(path, k.setup.get(path) + way * half)
        for key, x in taken.items():
            value = x.measure.at(s, x.place)
            if not isnan(value):
                out[key] = max(out[key], x.low - value, value - x.high)
    return out


def _on_a_flat_stretch(x: Measured, k: Known) -> bool:
    """Whether the value is a bound or a corner that no single input moves (see the tests marked as known gaps)."""
    s, base = k.setup.copy(), x.value
    for path, half in k.moving.items():
        middle = s.get(path)
        moved = []
        for way in (-half, half):
            s.put(path, middle + way)
            moved.append(x.measure.at(s, x.place))
        s.put(path, middle)
        hangs_on = path in {*x.measure.paths(x.place), *x.measure.paths(x.place, optional=True)}
        if hangs_on and moved == [base, base]:
            return True
    return False


@settings(max_examples=30)
@given(knowns(), st.integers(0, 10_000))
def test_the_range_of_every_measure_contains_the_truth(k: Known, seed: int) -> None:
    taken = measure_all(k)
    for key, beyond in _furthest(k, Random(seed)).items():
        if beyond > _LEAST + _BEND * taken[key].plus_minus:
            assert _on_a_flat_stretch(taken[key], k), (key, beyond, taken[key].plus_minus)


def test_the_examples_ranges_contain_the_truth() -> None:
    k = example_known()
    taken = measure_all(k)
    for key, beyond in _furthest(k, Random(1), 400).items():
        assert beyond <= _LEAST + _BEND * taken[key].plus_minus, key


def test_a_number_without_a_range_has_none() -> None:
    for taken in measure_all(known(example_setup())).values():
        assert taken.plus_minus == 0


@given(knowns())
def test_reading_a_range_leaves_the_set_up_as_it_was(k: Known) -> None:
    before = [taken.value for taken in measure_all(k).values()]
    for taken in measure_all(k).values():
        assert taken.plus_minus >= 0
    again = [taken.measure.at(k.scratch, taken.place) for taken in measure_all(k).values()]
    assert again == pytest.approx(before, abs=0, nan_ok=True)


def test_a_straight_sum_has_the_sum_of_its_parts_ranges() -> None:
    """By hand: gap = angle - turnout, 1.5 and 2 degrees; overhang split of a straight foot moves by twice the seat."""
    taken = measure_all(known(example_setup(), {"front.angle_deg": 1.5, "front.turnout_deg": 2, "back.seat_mm": 1}))
    assert taken["turnout_gap_deg.front"].plus_minus == pytest.approx(3.5)
    assert taken["boot_offset_mm.back"].plus_minus == pytest.approx(1)
    assert taken["overhang_split_mm.back"].plus_minus == pytest.approx(2, abs=0.01)


def test_range_of_a_boot_just_inside_the_edge() -> None:
    s = example_setup()
    s.front.slot_mm = -13.5
    halves = {"front.seat_mm": 1.0, "front.slot_mm": 1.0, "boots.outsole_length_mm": 1.5}
    k = known(s, halves)
    taken = measure_all(k)["toe_contact_deg.front"]
    together = s.copy()
    for path, half in halves.items():
        together.put(path, s.get(path) + half)
    assert taken.measure.at(together, taken.place) < 89
    assert taken.low <= taken.measure.at(together, taken.place)


def test_range_of_the_needed_tilt_near_the_styles_cap() -> None:
    s = example_setup()
    s.rider.speed_kmh, s.rider.tilt_deg = 25.0, nan
    k = known(s, {"rider.speed_kmh": 3.0, "practice.style_tilt_deg": 5.0})
    taken = measure_all(k)["needed_tilt_deg"]
    together = s.copy()
    together.rider.speed_kmh, together.practice.style_tilt_deg = 28.0, 50.0
    assert taken.measure.at(together, taken.place) <= taken.high


def test_a_formula_that_fails_leaves_no_number_moved() -> None:
    known = example_known()
    before = known.scratch.board.waist_width_mm
    calls = iter([0.0, 0.0])

    def fails_in_the_middle(setup: Setup) -> float:
        return next(calls) if setup.board.waist_width_mm == before else 1 / 0

    with pytest.raises(ZeroDivisionError):
        spread(fails_in_the_middle, known.scratch, [("board.waist_width_mm", 2.0)])
    assert known.scratch.board.waist_width_mm == before
