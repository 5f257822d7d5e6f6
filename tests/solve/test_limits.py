"""What one visit may change: kept by every advice, whatever the sheet and whatever is aimed at.

The limits are the trade's: two notches (about 6 degrees) a foot and three (9) at most, one lean step, one row, one
degree of cant, never across zero, nothing under what a ruler tells (2 mm), the boot to the middle once the disc is
loose. Common practice, no source. They stand here as numbers of their own, not read from `trees/limits.yaml`.
"""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.aims import Aim
from advisor.solve.search import Search
from advisor.solve.steps import take_steps
from advisor.solve.today import find_today
from advisor.solve.undo import taken_back
from advisor.workshop.random_riders import ordinary_sheet
from tests.solve.random_sheets import random_sheet, sheet_from

AIMS = (
    "turnout_gap_deg.front", "turnout_gap_deg.back", "knee_offset_mm.back", "splay_deg", "stance_width_mm",
    "stance_centre_mm", "heel_margin_deg.back", "toe_margin_deg.front", "overhang_split_mm.front",
    "overhang_split_mm.back", "highback_gap_deg.front", "front_load_share",
)  # fmt: skip


def breaches(search: Search, aims: list[Aim]) -> list[str]:
    """Return what of an advice goes beyond one visit."""
    found = []
    sides = {aim.key.rpartition(".")[2] for aim in aims if aim.key.endswith((".front", ".back"))}
    one_foot = len(sides) == 1 and all(aim.key.endswith((".front", ".back")) for aim in aims)
    for change in search.best.changes if search.best else ():
        field = change.path.rpartition(".")[2]
        if isinstance(change.before, bool | str) or isinstance(change.after, bool | str):
            continue
        by, ends = abs(float(change.after) - float(change.before)), float(change.after) * float(change.before)
        most = {"angle_deg": 9, "lean_deg": 5, "row": 1, "cant_deg": 1, "track_mm": 20, "riser_mm": 3}.get(field)
        if most is not None and by > most + 1e-6:
            found.append(f"{change.words}: over {most}")
        if field == "angle_deg" and ends < 0:
            found.append(f"{change.words}: across zero")
        if change.adjustment == "shift_across" and by < 2 - 1e-6:
            found.append(f"{change.words}: under what a ruler tells")
        if one_foot and change.foot and change.foot not in sides and change.adjustment not in BOTH:
            found.append(f"{change.words}: the other foot")
    return found


BOTH = {"stance_width", "stance_centre"}


def drawn_case(random: Random) -> tuple[Sheet, list[Aim]]:
    sheet = random_sheet(random, small=random.random() < 0.3)
    for foot in ("front", "back"):
        low = 0 if foot == "front" else -9
        sheet = sheet.with_value(f"mount.{foot}.angle_deg", 3.0 * random.randint(low, 12))
        sheet = sheet.with_value(f"mount.{foot}.lean_deg", 5.0 * random.randint(0, 5))
        sheet = sheet.with_value(f"mount.{foot}.row", random.randint(-3, 3))
    keys = random.sample(AIMS, random.choice((1, 1, 1, 2)))
    return sheet, [Aim(key) for key in keys]


@pytest.mark.parametrize("seed", range(4))
def test_no_advice_goes_beyond_one_visit(seed: int) -> None:
    random = Random(seed)
    advised = firsts = 0
    for _ in range(25):
        sheet, aims = drawn_case(random)
        search = find_today(sheet, aims, known=resolve(sheet), shown=random.random() < 0.5)
        assert breaches(search, aims) == [], aims
        advised += search.best is not None
        firsts += search.goal is not None or search.partial
    assert advised > 5
    assert firsts > 0


def mounted(**changes: Any) -> Sheet:
    """Return the ordinary sheet with fields such as `back__angle_deg` changed."""
    sheet = ordinary_sheet()
    for name, value in changes.items():
        sheet = sheet.with_value(f"mount.{name.replace('__', '.')}", value)
    return sheet


def today(sheet: Sheet, *keys: str, **given: Any) -> Search:
    return find_today(sheet, [Aim(key) for key in keys], known=resolve(sheet), **given)


def values(search: Search) -> dict[str, object]:
    return search.best.values if search.best else {}


def test_a_far_goal_is_told_and_today_is_two_notches() -> None:
    sheet = mounted(front__angle_deg=33.0, front__highback_turn_deg=25.0)
    search = find_today(sheet, [Aim("front.angle_deg", high=21)], known=resolve(sheet))
    assert values(search)["mount.front.angle_deg"] == 27
    assert search.goal is not None
    assert search.goal.values["mount.front.angle_deg"] == 21
    assert not search.partial


def test_three_notches_where_they_do_it_and_two_do_not() -> None:
    sheet = mounted(front__angle_deg=30.0, front__highback_turn_deg=25.0)
    search = find_today(sheet, [Aim("front.angle_deg", high=21)], known=resolve(sheet))
    assert values(search)["mount.front.angle_deg"] == 21
    assert search.goal is None


def test_a_foot_that_comes_to_zero_stops_there_today() -> None:
    sheet = mounted(back__angle_deg=3.0)
    search = find_today(sheet, [Aim("back.angle_deg", high=-3)], known=resolve(sheet))
    assert values(search)["mount.back.angle_deg"] == 0
    assert search.goal is not None
    assert search.goal.values["mount.back.angle_deg"] == -3


def test_a_highback_goes_along_with_its_foot() -> None:
    sheet = mounted(front__angle_deg=24.0, front__highback_turn_deg=23.0)
    search = find_today(sheet, [Aim("front.angle_deg", high=15)], known=resolve(sheet))
    assert values(search) == {"mount.front.angle_deg": 15, "mount.front.highback_turn_deg": 14}


def test_with_the_disc_loose_the_boot_goes_to_the_middle() -> None:
    sheet = mounted(back__seat_mm=-5.0)
    search = today(sheet, "overhang_split_mm.back", allowed={"shift_across"})
    assert search.best is not None
    assert abs(search.best.after["overhang_split_mm.back"].value) / 2 < 1
    assert abs(float(values(search)["mount.back.slot_mm"])) >= 2  # type: ignore[arg-type]


def test_nothing_is_raised_wedged_or_filed_for_what_nobody_has_looked_at() -> None:
    sheet = mounted(back__seat_mm=-14.0)
    names = {"riser", "cant_wedge", "screw_length", "heelcup_step"}
    not_shown = today(sheet, "heel_margin_deg.back", allowed=names, shown=False)
    assert "riser" not in {change.adjustment for change in (not_shown.best.changes if not_shown.best else ())}


def test_steps_by_feel_keep_to_one_visit_too() -> None:
    sheet = ordinary_sheet()
    made = take_steps(sheet, resolve(sheet), "forward_lean", ("back",), 3)
    assert made is not None
    assert made.values == {"mount.back.lean_deg": 10}


def test_a_change_is_taken_back_by_the_same_screws_the_other_way() -> None:
    before = mounted(back__slot_mm=-4.0, front__angle_deg=15.0)
    advised = before.with_value("mount.back.slot_mm", 3.0)
    back = taken_back(advised, before, advised)
    assert [change.words for change in back] == ["slide the back binding 7 mm toward the heel edge"]
    assert (back[0].before, back[0].after) == (3, -4)


def test_rows_of_both_feet_go_back_together() -> None:
    before = mounted(front__row=0, back__row=0)
    advised = before.with_value("mount.front.row", -1).with_value("mount.back.row", -1)
    back = taken_back(advised, before, advised)
    assert [change.words for change in back] == [
        "move the front binding 1 row outward (20 mm)",
        "move the back binding 1 row outward (20 mm)",
    ]


def test_nothing_goes_back_that_was_not_changed() -> None:
    sheet = sheet_from({"schema": 1})
    assert taken_back(sheet, sheet, sheet) == ()
