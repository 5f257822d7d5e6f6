"""The rehearsal counts fairly: on faults whose answer is known by construction, intervals against a textbook."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.graph.knowledge import load_knowledge
from advisor.workshop.training.parallel import Plan, rehearse
from advisor.workshop.training.questionnaire import ask_in_order
from advisor.workshop.training.rehearsal import harm_done, misses, rehearse_one
from advisor.workshop.training.rider import Noise
from advisor.workshop.training.scoring import Scores, wilson
from advisor.workshop.training.transcript import lines_of, rider_again
from advisor.workshop.training.truth_measures import Truth


@pytest.mark.parametrize(
    ("hits", "of", "low", "high"),
    [(10, 20, 0.299, 0.701), (0, 10, 0.0, 0.278), (81, 263, 0.255, 0.366)],
)
def test_intervals_are_wilsons(hits: int, of: int, low: float, high: float) -> None:
    """Values of Newcombe, Statistics in Medicine 17 (1998) 857-872, score method; 10 of 20 and 0 of 10 from memory."""
    assert wilson(hits, of) == pytest.approx((low, high), abs=0.001)


@pytest.mark.slow
def test_the_same_seed_rides_the_same_riders_in_one_process_and_in_two() -> None:
    plan = Plan(60, seed=5, noise=Noise(0.1, 0.2), beside=False)
    assert rehearse(plan, jobs=1).as_json() == rehearse(plan, jobs=2).as_json()


def test_honest_riders_with_a_turned_back_foot_are_found_and_turned_back() -> None:
    knowledge = load_knowledge()
    for number in range(12):
        one = rehearse_one(knowledge, number, 1, only="back_foot_turned_out")
        assert one.found, one
        out, left = one.before["turnout_gap_deg"], one.residual["turnout_gap_deg"]
        # One visit turns a foot three notches at most, of which each leg takes half: what was further out comes nearer.
        assert out > 0 and (left == 0 if out <= 6 else out - left >= 6), one


def test_a_rider_who_tells_nothing_is_not_found_by_luck_alone() -> None:
    knowledge = load_knowledge()
    silent = [rehearse_one(knowledge, n, 1, Noise(unsure=1.0), only="washer_missing") for n in range(4)]
    assert all(one.told and all(value is None for _, value in one.told) for one in silent)
    assert not any(one.found for one in silent)


def test_harm_is_what_was_good_and_is_out_now() -> None:
    rider, _ = rider_again(3, 1, Noise(), only="edge_dull")
    assert harm_done(rider, rider.truth) == ()
    turned = rider.sheet.with_value("mount.back.angle_deg", 36.0)
    assert "turnout_gap_deg.back" in harm_done(rider, Truth(turned, rider.tilt_deg))


def test_a_miss_is_the_distance_to_the_window() -> None:
    rider, _ = rider_again(3, 1, Noise(), only="strap_off_centre")
    one = rider.planted[0]
    offset = rider.truth.value("strap_offset_mm", "foot", one.foot)
    assert misses(one, rider.complaint, rider.truth)["strap_offset_mm"] == pytest.approx(abs(offset) - 4)


def test_the_questionnaire_asks_in_one_order_and_finds_what_it_asks_for() -> None:
    rider, _ = rider_again(1, 1, Noise(), only="tips_sharp")
    asked = ask_in_order(rider, Noise(), 1)
    assert asked.found and asked.fault == "tips_sharp" and asked.questions > 1
    assert not ask_in_order(rider, Noise(unsure=1.0), 1).found


def test_counts_of_two_halves_are_those_of_the_whole() -> None:
    knowledge = load_knowledge()
    ridden = [rehearse_one(knowledge, number, 2, Noise(0.2, 0.2)) for number in range(20)]
    whole, first, second = Scores(), Scores(), Scores()
    for number, one in enumerate(ridden):
        whole.add(one)
        (first if number < 9 else second).add(one)
    first.merge(second)
    assert first.as_json() == whole.as_json()
    assert [one.number for one in first.worst_first()] == [one.number for one in whole.worst_first()]


def test_a_walk_can_be_typed_again() -> None:
    knowledge = load_knowledge()
    one = rehearse_one(knowledge, 8, 1, Noise(unsure=0.4), only="edge_dull")
    lines = lines_of(knowledge, replace(one, words="my edge slips"))
    assert lines[0] == "my edge slips"
    assert len(lines) == len(one.told) + 1
