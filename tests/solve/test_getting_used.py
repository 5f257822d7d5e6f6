"""Aches are put right with the fewest notches; what costs a rider nothing goes to the middle.

Each case is worked out by hand from the window and the step alone; common practice, no source.
"""

from __future__ import annotations

from itertools import pairwise
from random import Random
from typing import Any

import pytest

from advisor.geometry.measuring import measure_all
from advisor.sheet.practice import load_practice
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.adjustments import load_adjustments
from advisor.solve.aims import Aim
from advisor.solve.search import Search, find
from advisor.solve.whatif import what_if
from tests.solve.random_sheets import random_document, sheet_from


def roomy(mount: dict[str, dict[str, Any]] | None = None, **rider: Any) -> Sheet:
    """Return an all-mountain rider on a board with room for the boots, everything measured."""
    document = random_document(Random(3))
    document["rider"] |= {
        "style": "all_mountain", "height_cm": 178, "inseam_cm": 86, "thigh_mm": 436, "shank_mm": 440,
        "pelvis_width_mm": 250, "speed_kmh": 20, "turnout_deg": {"left": 8, "right": 8}, "leading_foot": "left",
        "foot_length_mm": {"left": 268, "right": 268},
    } | rider  # fmt: skip
    document["boots"] |= {"outsole_length_mm": 296, "ball_width_mm": 104, "heel_width_mm": 84}
    document["board"] |= {
        "waist_width_mm": 264, "sidecut_radius_m": 8, "insert_pattern": "2x4", "rows_each_way": 4,
        "reference_width_mm": 540, "reference_setback_mm": 0, "effective_edge_mm": 1200, "insert_depth_mm": 8,
    }  # fmt: skip
    document["bindings"] |= {
        "notch_deg": 3, "slot_travel_mm": 8, "hole_offset_mm": 0, "heelcup_steps": [-1, 1], "toe_ramp_mm": 122,
        "toe_ramp_steps": [0, 3], "lean_deg": {"min": 0, "max": 25, "step": 5},
    }  # fmt: skip
    for side, angle in (("front", 15), ("back", 0)):
        document["mount"][side].pop("track_mm", None)
        document["mount"][side] |= {
            "angle_deg": angle, "row": 0, "slots": "across", "slot_mm": 0, "disc_flipped": False, "heelcup": 0,
            "lean_deg": 5, "highback_turn_deg": 10 if side == "front" else 0, "seat_mm": 0, "toe_ramp": 0,
        } | (mount or {}).get(side, {})  # fmt: skip
    return sheet_from(document)


def made(search: Search) -> dict[str, Any]:
    assert search.best is not None, search.shortfall
    return search.best.values


@pytest.mark.parametrize(
    ("foot", "angle", "turnout", "expected"),
    [
        # into -9.5..8 by notches of 3; the hips, within 0..20, share: a gap is half the angle between the feet less T
        ("front", 36, 8, 30),  # hips 18, gap 36 / 2 - 8 = 10: 32 between the feet will do, two notches
        ("front", 33, 8, 30),  # hips 16.5, gap 8.5, one
        ("front", 36, 2, 18),  # gap 16: 20 between the feet will do, six
        ("front", 0, 12, 6),  # hips 0, gap -12: 5 between the feet is needed, the next notch is 6
        ("back", -27, 10, -18),  # hips held at 0 (-6 would share), gap 27 - 10 = 17, three
        ("back", -24, 10, -18),  # hips held at 0, gap 14, two
        ("back", -21, 10, -18),  # hips held at 0, gap 11, one
        ("back", 21, 8, 18),  # hips 18, gap -6 / 2 - 8 = -11: -3 between the feet will do, one
        ("back", 12, 14, 6),  # hips 13.5, gap 3 / 2 - 14 = -12.5: 9 between the feet is needed, two
    ],
)
def test_a_foot_is_turned_by_as_few_notches_as_its_turnout_needs(
    foot: str, angle: int, turnout: int, expected: int
) -> None:
    sheet = roomy({foot: {"angle_deg": angle}}, turnout_deg={"left": turnout, "right": turnout})
    values = made(find(sheet, [Aim(f"turnout_gap_deg.{foot}")]))
    assert values[f"mount.{foot}.angle_deg"] == expected
    for other in ("front", "back"):
        assert other == foot or f"mount.{other}.angle_deg" not in values


@pytest.mark.parametrize(
    ("foot", "angle", "turnout", "gap"),
    [
        # half the angle between the feet less the turnout, whichever way the stance looks; the other foot at 15 or 0
        ("front", 30, 8, 7),
        ("front", 21, 8, 2.5),
        ("front", 18, 8, 1),
        ("back", 6, 8, -3.5),
        ("back", 15, 8, -8),
        ("back", 3, 14, -8),
    ],
)
def test_a_forward_stance_that_both_legs_share_is_left_as_it_is(
    foot: str, angle: int, turnout: int, gap: float
) -> None:
    sheet = roomy({foot: {"angle_deg": angle}}, turnout_deg={"left": turnout, "right": turnout})
    taken = measure_all(resolve(sheet, load_practice()))
    for side in ("front", "back"):
        assert taken[f"turnout_gap_deg.{side}"].value == pytest.approx(gap)
    assert find(sheet, [Aim(f"turnout_gap_deg.{foot}")]).outcome == "leave"


@pytest.mark.parametrize(("least", "expected"), [(6, 10), (11, 15), (5.5, 10)])
def test_the_highback_leans_by_as_few_steps_as_are_wanted(least: float, expected: int) -> None:
    assert made(find(roomy(), [Aim("back.lean_deg", low=least)])) == {"mount.back.lean_deg": expected}


@pytest.mark.parametrize(("row", "width"), [(-4, 540 - 8 * 20), (4, 540 + 8 * 20)])
def test_a_width_far_off_is_brought_just_inside_its_window(row: int, width: int) -> None:
    """One row less at either foot would leave it outside."""
    search = find(roomy({"front": {"row": row}, "back": {"row": row}}), [Aim("stance_width_mm")])
    values, window = made(search), search.hunt.goals[0].interval
    assert not window.has(width)
    rows = sum(abs(values[f"mount.{foot}.row"] - row) for foot in ("front", "back"))
    toward = 1 if row < 0 else -1
    assert window.has(width + toward * 20 * rows)
    assert not window.has(width + toward * 20 * (rows - 2))


@pytest.mark.parametrize(("wedges_wanted", "expected"), [(0.5, 1), (1.5, 2), (2.5, 3)])
def test_a_wedge_is_no_thicker_than_the_knee_needs(wedges_wanted: float, expected: int) -> None:
    """What one degree does to the knee, as measured; so many of them are wanted. 4 mm more thread is room for three."""
    sheet = long_screws(roomy(), 4)
    search = find(sheet, [knee_moved(sheet, wedges_wanted)], allowed={"cant_wedge"})
    assert made(search)["mount.back.cant_deg"] == expected
    assert "screw_turns" not in {spoiled.key for spoiled in search.best.spoils}  # type: ignore[union-attr]


def test_a_wedge_that_leaves_too_little_thread_is_not_laid() -> None:
    """3 degrees lift the farther screws by 70 mm x tan 3 = 3.7 mm: 3.3 of 7 turns of 1 mm are left, and 6 are right."""
    search = find(roomy(), [knee_moved(roomy(), 2.5)], allowed={"cant_wedge"})
    assert search.outcome == "none"
    assert search.shortfall is not None
    (said,) = search.shortfall.binds
    assert "a wedge of 3 deg" in said
    assert "the screw turns at 3.3 turns, from 7 turns" in said


def knee_moved(sheet: Sheet, wedges: float) -> Aim:
    """Return the aim of a back knee as far out as so many degrees of wedge bring it."""
    key, path = "knee_offset_mm.back", "mount.back.cant_deg"
    now, then = (what_if(sheet, {path: wedge}).after[key].value for wedge in (0, 1))
    return Aim(key, low=now + wedges * (then - now))


def long_screws(sheet: Sheet, more_mm: int) -> Sheet:
    """Return the sheet with screws so much longer, in inserts so much deeper."""
    for path in ("bindings.screw_length_mm", "board.insert_depth_mm"):
        now = sheet.value(path)
        assert isinstance(now, int)
        sheet = sheet.with_value(path, now + more_mm)
    return sheet


@pytest.mark.parametrize(("foot", "seat"), [("front", 5), ("front", -7), ("back", 6), ("back", -6)])
def test_a_boot_is_still_centred_to_the_middle(foot: str, seat: int) -> None:
    """A slide costs nothing more once the disc is loose; here a mm moves the split by 2, so it ends within 1 of 0."""
    aim = Aim(f"overhang_split_mm.{foot}")
    search = find(roomy({foot: {"seat_mm": seat}}), [aim], allowed={"shift_across"})
    assert search.best is not None
    assert abs(search.best.after[aim.key].value) <= 1 + 1e-9
    assert abs(search.best.before[aim.key].value) > 6


def test_what_a_rider_gets_used_to_counts_more_than_any_step_inside_the_windows_gains() -> None:
    """Walks every lever of a roomy sheet step by step, between values that leave every window good."""
    search = find(roomy(), [Aim("heel_margin_deg.back", low=60)])
    trial, hunt = search.hunt.trial, search.hunt
    for i, lever in enumerate(hunt.levers):
        if lever.way.used_to < 1:
            continue
        gained = {0.0: 0.0}
        good = {0.0}
        for place, option in enumerate(lever.options):
            trial.put(trial.moves[i][place])
            meters = [meter for meter in hunt.strained if meter.mask & trial.masks[i]]
            gained[option.by] = sum(meter.strain(trial.now) for meter in meters)
            if all(meter.window.good.has(meter.value(trial.now)) for meter in meters if meter.window):
                good.add(option.by)
            trial.take_back(trial.moves[i][place])
        for one, other in pairwise(sorted(gained)):
            if {one, other} <= good:
                assert abs(gained[one] - gained[other]) < lever.way.used_to, lever.id


def test_slides_and_straps_ask_next_to_nothing_and_angles_and_rows_a_lot() -> None:
    asked = {a.id: a.ways[0].used_to for a in load_adjustments().values() if a.ways}
    free = max(asked[name] for name in ("shift_across", "turn_disc_round", "strap_recentre", "strap_length"))
    dear = ("angle_front", "angle_back", "one_foot_along", "stance_width", "stance_centre", "forward_lean")
    assert 100 * free <= min(asked[name] for name in (*dear, "cant_wedge", "riser"))


def rows_moved(search: Search, sheet: Sheet) -> dict[str, int]:
    values = made(search)
    rows = {}
    for foot in ("front", "back"):
        path = f"mount.{foot}.row"
        before, after = sheet.value(path), values.get(path, sheet.value(path))
        assert isinstance(before, int) and isinstance(after, int)
        rows[foot] = after - before
    return rows


@pytest.mark.parametrize(("wider_by", "expected"), [(20, {1, 0}), (40, {1}), (80, {2}), (-20, {-1, 0}), (-40, {-1})])
def test_both_feet_share_a_change_of_width_and_one_row_is_made_at_one_foot(wider_by: int, expected: set[int]) -> None:
    """Rows of 20 mm: one row at one foot moves the stance's middle by 10 mm, two would move it by 20."""
    sheet = roomy()
    aim = Aim("stance_width_mm", low=540 + wider_by - 1, high=540 + wider_by + 1)
    assert set(rows_moved(find(sheet, [aim]), sheet).values()) == expected


def test_a_stance_that_is_off_its_reference_is_not_moved_further_off_by_a_change_of_width() -> None:
    """The front foot stands a row out, so the middle is 10 mm forward; one row out at the back foot brings it to 0."""
    sheet = roomy({"front": {"row": 1}})
    search = find(sheet, [Aim("stance_width_mm", low=579, high=581)])
    assert rows_moved(search, sheet) == {"front": 0, "back": 1}


@pytest.mark.parametrize(
    ("aim", "setback"),
    [
        (Aim("front_load_share", low=0.44, high=0.48), (24, 72)),  # of 1200 mm of edge: 0.02 to 0.06 behind the middle
        (Aim("front_load_share", low=0.46, high=0.479), (25.2, 48)),
        (Aim("setback_mm", low=25, high=35), (25, 35)),
    ],
)
def test_a_setback_that_is_wanted_is_not_held_back_by_the_reference(aim: Aim, setback: tuple[float, float]) -> None:
    search = find(roomy(), [aim])
    assert search.best is not None
    assert setback[0] <= search.best.after["setback_mm"].value <= setback[1]
    assert "stance_centre_mm" not in {spoiled.key for spoiled in search.best.spoils}


def test_a_stance_too_far_forward_comes_back_to_the_middle_of_the_edge() -> None:
    sheet = roomy({"front": {"row": 3}, "back": {"row": -2}})
    search = find(sheet, [Aim("front_load_share", low=0.48, high=0.52)])
    assert search.best is not None
    assert abs(search.best.after["setback_mm"].value) <= 24
