"""How sure the advice is, what would settle it, what would flip it, and several complaints at once."""

from __future__ import annotations

from random import Random

import pytest
from scipy.stats import binomtest

from advisor.errors import UnknownName
from advisor.sheet.fields import field_rows
from advisor.sheet.practice import load_practice
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.aims import Aim
from advisor.solve.confidence import confidence, share_range
from advisor.solve.counterfactual import counterfactual
from advisor.solve.options import levers
from advisor.solve.redraw import Redraws, signature_of
from advisor.solve.search import find, hunt_for
from advisor.solve.tradeoff import trade_off
from tests.solve.random_sheets import random_document, random_sheet, sheet_from

HEEL = [Aim("heel_margin_deg.back", low=10)]


def heel_sheet(**slot: float) -> Sheet:
    document = random_document(Random(3))
    document["board"] |= {"waist_width_mm": 252, "sidecut_radius_m": 8, "insert_pattern": "2x4", "rows_each_way": 2}
    document["boots"] |= {"outsole_length_mm": 300}
    document["rider"] |= {
        "tilt_deg": 48,
        "foot_length_mm": {"left": 268, "right": 268},
        "height_cm": 178,
        "inseam_cm": 84,
    }
    document["bindings"] |= {"hole_offset_mm": 0, "slot_travel_mm": 6, "toe_ramp_mm": 128, "toe_ramp_steps": [0, 1]}
    for side in ("front", "back"):
        document["mount"][side].pop("track_mm", None)
        document["mount"][side] |= {
            "row": 0,
            "slots": "across",
            "slot_mm": 0,
            "seat_mm": 0,
            "heelcup": 0,
            "toe_ramp": 0,
        }
        document["mount"][side] |= {"angle_deg": 15 if side == "front" else 0, "highback_turn_deg": 0}
    document["mount"]["back"] |= {"slot_mm": -5, **slot}
    return sheet_from(document)


def with_plus_minus(sheet: Sheet, factor: float) -> Sheet:
    """Return the sheet with the ± of every number a multiple of what a plain reading has."""
    known = resolve(sheet, load_practice())
    for reading in known.readings.values():
        leaf = sheet.leaves.get(reading.sheet_path)
        row = field_rows().get(reading.sheet_path)
        if leaf is not None and row is not None and row.kind == "number" and isinstance(leaf.value, int | float):
            sheet = sheet.with_value(reading.sheet_path, leaf.value, "measured", reading.plus_minus * factor)
    return sheet


def test_the_same_seed_gives_the_same_confidence() -> None:
    search = find(heel_sheet(), HEEL)
    assert confidence(search, draws=30, seed=4) == confidence(search, draws=30, seed=4)


def test_the_winner_at_the_sheet_itself_is_the_advice() -> None:
    random = Random(2)
    for _ in range(10):
        search = find(random_sheet(random), HEEL)
        assert Redraws(search).winner({}) == signature_of(search)


def test_a_search_run_again_with_other_numbers_finds_what_a_new_one_finds() -> None:
    """What is kept between the runs must not change what wins, whichever numbers moved before."""
    random = Random(31)
    compared = 0
    for _ in range(8):
        search = find(random_sheet(random), HEEL)
        again = Redraws(search)
        moving = search.known.moving
        for _ in range(12):
            paths = random.sample(sorted(moving), k=min(4, len(moving)))
            values = {path: search.known.setup.get(path) + random.uniform(-2, 2) * moving[path] for path in paths}
            setup = search.known.setup.copy()
            for path, value in values.items():
                setup.put(path, value)
            hunt = hunt_for(
                search.sheet, Known(setup, {}), HEEL, feet=search.feet, at_most=search.hunt.at_most,
                guesses=search.hunt.trial.guesses,
            )  # fmt: skip
            found = None if hunt.met else hunt.best()
            expected = "leave" if hunt.met else "none"
            if found is not None:
                expected = tuple(
                    (hunt.levers[lever].id, (by > 0) - (by < 0))
                    for lever, option in found.picks
                    for by in (hunt.levers[lever].options[option].by,)
                )
            assert again.winner(values) == expected
            compared += 1
    assert compared == 96


@pytest.mark.parametrize(("hits", "draws"), [(0, 24), (20, 24), (24, 24), (37, 60), (59, 60)])
def test_the_range_of_a_share_is_wilsons(hits: int, draws: int) -> None:
    """Against SciPy's score interval (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927, 209-212)."""
    theirs = binomtest(hits, draws).proportion_ci(0.95, method="wilson")
    assert share_range(hits, draws) == pytest.approx((theirs.low, theirs.high), abs=1e-4)


def test_what_is_known_exactly_is_sure() -> None:
    sheet = heel_sheet()
    known = resolve(sheet, load_practice())
    search = find(sheet, HEEL, known=type(known)(known.setup, {}))
    assert search.outcome == "adjust"
    assert confidence(search, draws=10).share == 1


def test_wider_readings_never_make_it_surer_here() -> None:
    sheet = heel_sheet()
    narrow, wide = (find(with_plus_minus(sheet, factor), HEEL) for factor in (0.1, 4.0))
    assert signature_of(narrow) == signature_of(wide)
    assert confidence(wide, draws=40).share < confidence(narrow, draws=40).share


def test_the_one_unsure_reading_is_named() -> None:
    """Only the tilt is uncertain, so nothing else can settle it; known, it settles it wholly."""
    sheet = with_plus_minus(heel_sheet(), 0.0).with_value("rider.tilt_deg", 48.0, "told", 12.0)
    known = resolve(sheet, load_practice())
    tilt = {path: reading for path, reading in known.readings.items() if path == "rider.tilt_deg"}
    search = find(sheet, HEEL, known=type(known)(known.setup, tilt))
    found = confidence(search, draws=60)
    assert found.share < 0.9
    assert not found.sure
    assert found.settle is not None
    assert found.settle.path == "rider.tilt_deg"
    assert found.settle.plus_minus == 12
    assert found.settle.share == 1
    assert sum(share for _, share in found.instead) == pytest.approx(1 - found.share)


def test_a_flip_really_flips_and_less_does_not() -> None:
    search = find(heel_sheet(), HEEL)
    flip = counterfactual(search)
    assert flip is not None
    there = find(search.sheet.with_value(flip.path, flip.needed), HEEL)
    assert signature_of(there) != signature_of(search)
    short = flip.now + (flip.needed - flip.now) * (flip.away - 0.2 * max(1.0, flip.away)) / flip.away
    assert signature_of(find(search.sheet.with_value(flip.path, short), HEEL)) == signature_of(search)


def test_no_single_input_flips_sooner_than_the_flip_named() -> None:
    search = find(heel_sheet(), HEEL)
    flip = counterfactual(search)
    assert flip is not None
    fixed = {path for lever in levers(search.sheet, search.known) for path in lever.before}
    for path, leaf in search.sheet.leaves.items():
        row = field_rows()[path]
        if (
            row.kind != "number"
            or path.startswith("mount.")
            or path in fixed
            or not isinstance(leaf.value, int | float)
        ):
            continue
        reading = next((r for r in search.known.readings.values() if r.sheet_path == path), None)
        step = max(reading.plus_minus if reading else 0.0, abs(search.known.setup.get(_place(path))) * 0.005)
        share = 0.5 * flip.away * step * leaf.value / (search.known.setup.get(_place(path)) or 1)
        for value in (leaf.value + share, leaf.value - share):
            if row.low <= value <= row.high:
                assert signature_of(find(search.sheet.with_value(path, value), HEEL)) == signature_of(search), path


def _place(path: str) -> str:
    from advisor.sheet.paths import setup_path

    return setup_path(path) or "rider.height_mm"


def test_a_choice_for_both_complaints_solves_both() -> None:
    result = trade_off(heel_sheet(), {"heel drag": HEEL, "sore back knee": [Aim("turnout_gap_deg.back")]})
    both = [trade for trade in result.choices if len(trade.solves) == 2]
    assert (result.together.outcome == "adjust") == bool(both)
    assert all(trade.missed == {"heel drag": 0, "sore back knee": 0} for trade in both)


def test_no_choice_of_a_trade_off_dominates_another() -> None:
    random = Random(12)
    for _ in range(6):
        sheet = random_sheet(random)
        complaints = {"heel": [Aim("heel_margin_deg.back", low=12)], "toe": [Aim("toe_margin_deg.back", low=12)]}
        trades = trade_off(sheet, complaints).choices
        vectors = [
            (*trade.missed.values(), len(trade.choice.spoils), trade.choice.turns, trade.choice.minutes)
            for trade in trades
        ]
        assert len(set(vectors)) == len(vectors)
        for one in vectors:
            assert not any(other != one and all(b <= a for a, b in zip(one, other, strict=True)) for other in vectors)


def test_leaving_it_is_always_among_the_choices_or_beaten_for_free() -> None:
    """Doing nothing costs nothing, so only another choice without work could dominate it."""
    trades = trade_off(heel_sheet(), {"heel": HEEL, "toe": [Aim("toe_margin_deg.back", low=60)]}).choices
    assert any(not trade.choice.changes for trade in trades) or any(
        trade.choice.turns == trade.choice.minutes == 0 for trade in trades
    )


def test_what_a_choice_does_not_move_is_said_to_stay() -> None:
    result = trade_off(heel_sheet(), {"heel drag": HEEL, "back knee": [Aim("turnout_gap_deg.back", low=1)]})
    for trade in result.choices:
        for name, key in (("heel drag", "heel_margin_deg.back"), ("back knee", "turnout_gap_deg.back")):
            if trade.missed[name] > 0:
                before, after = trade.choice.before[key].value, trade.choice.after[key].value
                stays = abs(after - before) < 0.05
                part = next(part for part in trade.choice.reason.split("; ") if f"not {name}" in part)
                assert ("stays at" in part) == stays, trade.choice.reason


def test_two_edges_that_want_the_same_millimetres_are_a_conflict() -> None:
    """Each mm toward the toe edge is one from the heel edge: both margins high at once is out of reach."""
    complaints = {"heel": [Aim("heel_margin_deg.back", low=34)], "toe": [Aim("toe_margin_deg.back", low=34)]}
    result = trade_off(heel_sheet(), complaints)
    assert result.conflict
    assert not any(len(trade.solves) == 2 and not trade.choice.spoils for trade in result.choices)
    assert len(result.short_list(3)) <= 3


def test_complaints_that_want_different_things_of_one_measure_are_refused() -> None:
    with pytest.raises(UnknownName, match="different ranges"):
        trade_off(heel_sheet(), {"a": [Aim("splay_deg", low=9)], "b": [Aim("splay_deg", high=3)]})
