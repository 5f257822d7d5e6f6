"""What holds for every piece of advice, whatever the sheet."""

from __future__ import annotations

from math import inf
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import UnknownName
from advisor.geometry.measuring import measure_all
from advisor.sheet.practice import load_practice
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.aims import Aim
from advisor.solve.options import levers
from advisor.solve.search import Search, find
from advisor.solve.windows import load_windows
from tests.solve.random_sheets import random_document, random_sheet, sheet_from

AIMS = (
    (Aim("heel_margin_deg.back"),),
    (Aim("heel_margin_deg.back", low=15),),
    (Aim("toe_margin_deg.front", low=18), Aim("heel_margin_deg.front", low=12)),
    (Aim("overhang_split_mm.front"), Aim("overhang_split_mm.back")),
    (Aim("turnout_gap_deg.back"),),
    (Aim("stance_width_mm"),),
    (Aim("highback_gap_deg.front"), Aim("highback_gap_deg.back")),
    (Aim("knee_offset_mm.back"), Aim("heel_margin_deg.back")),
    (Aim("screw_gap_mm"), Aim("screw_turns")),
    (Aim("front_load_share"),),
    (Aim("toe_past_ramp_mm.front"),),
    (Aim("screw_torque_nm"),),
)


def searches() -> st.SearchStrategy[tuple[Sheet, tuple[Aim, ...]]]:
    """Draw a random sheet and something to put right."""
    return st.tuples(st.integers(0, 10_000).map(lambda seed: random_sheet(Random(seed))), st.sampled_from(AIMS))


def wanted(aim: Aim, search: Search) -> tuple[float, float]:
    interval = aim.interval(load_windows().window(aim.key, search.known.setup))
    return interval.low, interval.high


def value(sheet: Sheet, key: str) -> float:
    known = resolve(sheet, load_practice())
    taken = measure_all(known)
    return taken[key].value if key in taken else known.setup.get(key)


@given(searches())
def test_the_sheet_after_it_is_valid_and_every_aim_is_in_its_range(case: tuple[Sheet, tuple[Aim, ...]]) -> None:
    sheet, aims = case
    search = find(sheet, aims)
    if search.best is None:
        return
    after = sheet_from(search.best.sheet_after.to_dict())
    for aim in aims:
        low, high = wanted(aim, search)
        assert low - 1e-6 <= value(after, aim.key) <= high + 1e-6


@given(searches())
def test_asking_again_after_it_gives_leave_it(case: tuple[Sheet, tuple[Aim, ...]]) -> None:
    sheet, aims = case
    search = find(sheet, aims)
    if search.best is not None:
        assert find(search.best.sheet_after, aims).outcome == "leave"


@given(searches())
def test_nothing_right_is_spoiled_without_being_said(case: tuple[Sheet, tuple[Aim, ...]]) -> None:
    sheet, aims = case
    search = find(sheet, aims)
    if search.best is None:
        return
    said = {spoiled.key for spoiled in search.best.spoils}
    named = said | {grazed.key for grazed in search.best.grazes}
    for effect in search.best.effects:
        window = load_windows().window(effect.key, search.known.setup)
        if window is None or window.guard is None or effect.key in {aim.key for aim in aims}:
            continue
        if window.guard.has(effect.before) and not window.guard.has(effect.after):
            assert effect.key in named, effect
    assert all(spoiled.key in {effect.key for effect in search.best.effects} for spoiled in search.best.spoils)
    if said:
        assert "price" in search.best.reason


@given(searches())
def test_no_change_leaves_a_travel_a_notch_or_a_row(case: tuple[Sheet, tuple[Aim, ...]]) -> None:
    """Checked by the sheet's own rules, which know nothing of the search; the front angle by itself."""
    sheet, aims = case
    search = find(sheet, aims)
    chosen = [search.best] if search.best else []
    chosen += search.runners_up
    if search.shortfall:
        chosen.append(search.shortfall.nearest)
    for choice in chosen:
        after = sheet_from(choice.sheet_after.to_dict())
        angle = after.value("mount.front.angle_deg")
        assert isinstance(angle, int | float)
        assert angle >= 0


@given(searches())
def test_the_aimed_measure_never_gets_worse(case: tuple[Sheet, tuple[Aim, ...]]) -> None:
    sheet, aims = case
    search = find(sheet, aims)
    nearest = search.best or (search.shortfall.nearest if search.shortfall else None)
    if nearest is None or not nearest.changes:
        return
    missed_before = missed_after = 0.0
    for aim in aims:
        low, high = wanted(aim, search)
        scale = getattr(load_windows().window(aim.key, search.known.setup), "scale", 1.0)
        now, after = value(sheet, aim.key), value(nearest.sheet_after, aim.key)
        missed_before += max(low - now, now - high, 0) / scale
        missed_after += max(low - after, after - high, 0) / scale
    assert missed_after <= missed_before + 1e-6


@given(searches())
def test_each_runner_up_says_why_it_lost(case: tuple[Sheet, tuple[Aim, ...]]) -> None:
    sheet, aims = case
    search = find(sheet, aims)
    for choice in search.runners_up:
        assert any(digit in choice.reason for digit in "0123456789") or "larger change" in choice.reason
        assert choice.changes
        if choice.short > 0:
            assert choice.reason.startswith("falls short")
        elif choice.spoils:
            assert "but puts" in choice.reason
        elif search.best is not None:
            assert (choice.turns, choice.minutes) >= (search.best.turns, search.best.minutes)


@given(searches())
def test_a_shortfall_says_how_near_and_what_binds(case: tuple[Sheet, tuple[Aim, ...]]) -> None:
    sheet, aims = case
    search = find(sheet, aims)
    assert (search.shortfall is not None) == (search.outcome == "none")
    if search.shortfall is None:
        return
    assert search.shortfall.binds
    for missed in search.shortfall.missed:
        after = value(search.shortfall.nearest.sheet_after, missed.key)
        assert after == pytest.approx(missed.reached, abs=1e-6)
        assert not missed.low <= after <= missed.high


def test_where_two_are_needed_the_next_best_sets_are_told_too() -> None:
    """For each of them what there is without it, if anything; found by forbidding it, which the search cannot see."""
    random, told = Random(15), 0
    aims = [Aim("overhang_split_mm.front"), Aim("overhang_split_mm.back")]
    for _ in range(40):
        sheet = random_sheet(random)
        search = find(sheet, aims)
        if search.found is None or len(search.found.picks) < 2:
            continue
        whole = [choice for choice in search.runners_up if choice.short == 0]
        for lever, _ in search.found.picks:
            name, foot = search.hunt.levers[lever].adjustment.id, search.hunt.levers[lever].foot
            if {n for n, f, _ in search.best.signature if f != foot} & {name}:  # type: ignore[union-attr]
                continue
            names = {other.adjustment.id for other in search.hunt.levers} - {name}
            without = find(sheet, aims, allowed=names)
            if without.best is not None and len(whole) < 3:
                assert any(choice.turns <= without.best.turns for choice in whole)
                told += 1
    assert told > 5


def heel_drag_document(waist: float) -> dict[str, object]:
    document = random_document(Random(3))
    document["rider"] |= {"tilt_deg": 50}
    document["boots"] |= {"outsole_length_mm": 310, "ball_width_mm": 110, "heel_width_mm": 90}
    document["board"] |= {"waist_width_mm": waist, "insert_pattern": "2x4", "rows_each_way": 2, "sidecut_radius_m": 8}
    document["rider"]["foot_length_mm"] = {"left": 275, "right": 275}
    for side, angle in (("front", 15), ("back", 0)):
        document["mount"][side].pop("track_mm", None)
        document["mount"][side] |= {"angle_deg": angle, "row": 0, "slots": "across", "slot_mm": 0, "seat_mm": 0}
        document["mount"][side] |= {"heelcup": 0, "disc_flipped": False}
    return document


def test_a_board_too_narrow_is_said_with_the_waist_that_would_do() -> None:
    aims = [Aim(f"{edge}_margin_deg.{foot}") for edge in ("heel", "toe") for foot in ("front", "back")]
    search = find(sheet_from(heel_drag_document(222)), aims)
    assert search.outcome == "none"
    assert search.shortfall is not None
    waist = next(fix for fix in search.shortfall.fixes if fix.path == "board.waist_width_mm")
    assert waist.needed > 222
    wide = sheet_from(heel_drag_document(round(waist.needed + 4)))
    assert find(wide, aims, at_most=3).outcome in {"leave", "adjust"}
    narrow = sheet_from(heel_drag_document(round(waist.needed - 12)))
    assert find(narrow, aims, at_most=3).outcome == "none"


def short_binding_document(waist: float) -> dict[str, object]:
    """Return the narrow board with a binding that ends well inside the edges, so that the boot alone can touch."""
    document = heel_drag_document(waist)
    document["bindings"] |= {"base_length_mm": 202, "toe_ramp_mm": 100}  # type: ignore[operator]
    return document


def test_where_the_ramp_touches_too_no_boot_would_do() -> None:
    """The ramp ends past the edge whatever the boot's length.

    It ends 132 mm from the disc's centre. The edge is 120 + 4 (a sidecut of 8 m, 0.26 m from the waist) from it.
    """
    aims = [Aim("heel_margin_deg.back"), Aim("toe_margin_deg.back")]
    search = find(sheet_from(heel_drag_document(240)), aims)
    assert search.shortfall is not None
    nearest = search.shortfall.nearest.sheet_after
    assert value(nearest, "ramp_to_edge_mm.back") < 0
    assert value(nearest.with_value("boots.outsole_length_mm", 230), "toe_margin_deg.back") < 5
    assert [fix.path for fix in search.shortfall.fixes] == ["board.waist_width_mm"]


def test_a_boot_short_enough_would_do_too() -> None:
    aims = [Aim("heel_margin_deg.back"), Aim("toe_margin_deg.back")]
    search = find(sheet_from(short_binding_document(240)), aims)
    assert search.shortfall is not None
    fix = next(fix for fix in search.shortfall.fixes if fix.path == "boots.outsole_length_mm")
    nearest = search.shortfall.nearest.sheet_after
    for aim in aims:
        assert value(nearest.with_value(fix.path, fix.needed), aim.key) >= 5 - 1e-6
    assert any(value(nearest.with_value(fix.path, fix.needed + 0.5), aim.key) < 5 for aim in aims)


def test_one_adjustment_is_enough_where_one_is_allowed() -> None:
    random = Random(8)
    for _ in range(20):
        search = find(random_sheet(random), [Aim("overhang_split_mm.back")], at_most=1)
        if search.best:
            assert len({(c.adjustment, c.foot) for c in search.best.changes}) == 1


def test_a_foot_that_may_not_be_touched_stays() -> None:
    random = Random(8)
    for _ in range(20):
        search = find(random_sheet(random), [Aim("splay_deg"), Aim("heel_margin_deg.back", low=12)], feet=("back",))
        if search.best:
            assert all(change.foot != "front" for change in search.best.changes)


def test_a_missing_number_is_named_instead_of_guessed() -> None:
    sheet = random_sheet(Random(1)).without("board.waist_width_mm")
    search = find(sheet, [Aim("heel_margin_deg.back")])
    assert search.outcome == "none"
    assert search.needs == ("board.waist_width_mm",)
    assert search.best is None
    assert search.shortfall is None
    assert search.runners_up == ()


@pytest.mark.parametrize(
    ("aims", "complaint"),
    [
        ([Aim("heel_margin.back")], "heel_margin_deg"),
        ([Aim("heel_margin_deg.left")], "heel_margin_deg.front"),
        ([Aim("heel_margin_deg")], "heel_margin_deg.front"),
        ([Aim("local_width_mm.back")], "no window"),
        ([Aim("heel_margin_deg.back", low=5, high=1)], "low end first"),
        ([Aim("heel_margin_deg.back", low=float("nan"))], "no number"),
        ([], "nothing to aim at"),
    ],
)
def test_an_aim_that_makes_no_sense_is_refused_in_words(aims: list[Aim], complaint: str) -> None:
    with pytest.raises(UnknownName, match=complaint):
        find(random_sheet(Random(1)), aims)


def test_a_field_can_be_aimed_at() -> None:
    document = random_document(Random(6))
    document["mount"]["back"]["lean_deg"] = 0
    search = find(sheet_from(document), [Aim("back.lean_deg", low=8, high=inf)])
    assert search.best is not None
    assert [(c.adjustment, c.before, c.after) for c in search.best.changes] == [("forward_lean", 0, 10)]


def test_every_offered_adjustment_is_for_something_known() -> None:
    sheet = random_sheet(Random(2))
    for lever in levers(sheet, resolve(sheet, load_practice())):
        assert lever.way.serves, lever.id
