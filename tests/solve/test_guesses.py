"""What is only assumed neither has to be repaired nor stands in the way."""

from __future__ import annotations

from random import Random

import pytest

from advisor.geometry.register import Place
from advisor.sheet.practice import load_practice
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.aims import Aim
from advisor.solve.guesses import Guesses
from advisor.solve.redraw import Redraws, signature_of
from advisor.solve.search import find
from advisor.solve.windows import load_windows
from tests.solve.brute_force import guessed as by_corners
from tests.solve.brute_force import spots
from tests.solve.random_sheets import random_sheet
from tests.solve.test_exhaustive import with_gaps
from tests.solve.test_getting_used import roomy

LEGS = ("rider.thigh_mm", "rider.shank_mm")
TURNOUTS = ("rider.turnout_deg.left", "rider.turnout_deg.right")


def guessed(sheet: Sheet, key: str) -> bool:
    kind, _, side = key.partition(".")
    return Guesses(resolve(sheet, load_practice()), load_windows()).about(key, kind, Place(side or None))  # type: ignore[arg-type]


def without(sheet: Sheet, *paths: str) -> Sheet:
    for path in paths:
        sheet = sheet.without(path)
    return sheet


def test_a_turnout_that_was_never_looked_at_leaves_the_gap_a_guess() -> None:
    """10 give or take 12 (estimates.yaml) against a window of 8 either way; measured to 2 it is known."""
    assert guessed(without(roomy(), *TURNOUTS), "turnout_gap_deg.back")
    assert not guessed(roomy(), "turnout_gap_deg.back")


def test_a_number_told_with_a_wide_plus_minus_is_no_guess() -> None:
    """Only what nobody looked at is; what the tech told stands."""
    sheet = roomy().with_value("rider.turnout_deg.right", 8.0, "told", 12.0)
    assert not guessed(sheet, "turnout_gap_deg.back")


def test_a_range_narrower_than_the_window_is_no_guess() -> None:
    """The other foot's length stands for a missing one, give or take 5 mm: the angle windows don't hang on it."""
    sheet = without(roomy(), "rider.foot_length_mm.left")
    assert not guessed(sheet, "overhang_split_mm.front")
    assert not guessed(sheet, "splay_deg")


def test_a_margin_always_guards() -> None:
    """Its window is open: whatever it is now, less is worse."""
    bare = without(roomy(), "boots.toe_rise_mm", "boots.toe_rise_length_mm", "mount.back.seat_mm")
    assert guessed(bare, "overhang_split_mm.back")
    assert not guessed(bare, "toe_margin_deg.back")


def test_whether_it_is_a_guess_is_what_all_corners_together_say() -> None:
    """Every assumed number at either end of its ±, in every combination; a knee's push turns round with its foot."""
    random = Random(11)
    found = {True: 0, False: 0}
    for _ in range(60):
        known = resolve(with_gaps(random, random_sheet(random, small=True)), load_practice())
        guesses = Guesses(known, load_windows())
        for spot in spots(known):
            expected = by_corners(known, spot)
            assert guesses.about(spot.key, spot.kind, spot.place) == expected, spot
            found[expected] += 1
    assert min(found.values()) > 30


def test_a_guess_about_a_knee_leaves_the_numbers_as_they_are() -> None:
    known = resolve(without(roomy(), *TURNOUTS, *LEGS, "mount.front.seat_mm"), load_practice())
    before = known.scratch.copy()
    Guesses(known, load_windows()).about("knee_offset_mm.front", "knee_offset_mm", Place("front"))
    assert known.scratch == before == known.setup


def test_ends_of_a_window_that_are_assumed_count_too() -> None:
    """The stance width itself is exact; where it should lie hangs on the rider's legs, here off by up to 20 cm."""
    known = resolve(roomy(), load_practice())
    legs = {path: known.readings[path]._replace(origin="assumed", plus_minus=200) for path in LEGS}
    unseen = Known(known.setup, {**known.readings, **legs})
    assert not Guesses(known, load_windows()).about("stance_width_mm", "stance_width_mm", Place())
    assert Guesses(unseen, load_windows()).about("stance_width_mm", "stance_width_mm", Place())


def duck(*left_out: str) -> Sheet:
    """Return a sheet whose back foot stands 21 out against a turnout of 8; highback and ramp leave room to turn it."""
    back = {"angle_deg": -21, "highback_turn_deg": 23, "toe_ramp": 3}
    return without(roomy({"front": {"angle_deg": 0}, "back": back}), *left_out)


@pytest.mark.parametrize(("left_out", "outcome"), [((), "none"), (TURNOUTS, "adjust")])
def test_a_gap_that_is_only_assumed_does_not_block_another_aim(left_out: tuple[str, ...], outcome: str) -> None:
    """The splay must go from 21 to 24, by the back foot alone: 24 out against a known 8 is 16, beyond a close look."""
    aims = [Aim("splay_deg", low=24, high=24)]
    search = find(duck(*left_out), aims, feet=("back",), allowed={"angle_back"})
    assert search.outcome == outcome
    if search.best:
        assert search.best.values == {"mount.back.angle_deg": -24}
        assert not search.best.spoils


def test_sheets_drawn_within_the_plus_minus_keep_the_guesses() -> None:
    aims = [Aim("splay_deg", low=24, high=24)]
    search = find(duck(*TURNOUTS), aims, feet=("back",), allowed={"angle_back"})
    assert search.outcome == "adjust"
    assert Redraws(search).winner({}) == signature_of(search)
