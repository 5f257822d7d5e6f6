"""What a ruler gives at the edge and between the bindings places boot and stance, whatever the fields say."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.geometry.measuring import measure
from advisor.geometry.register import MEASURES, Place
from advisor.sheet.reading import read_sheet
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.whatif import what_if

DEMO = Path(__file__).parents[2] / "transcripts_demo" / "larchfall_heel.yaml"


def value(sheet: Sheet, name: str, side: str | None = None) -> float:
    return measure(resolve(sheet), MEASURES[name], Place(side)).value  # type: ignore[arg-type]


def by_ruler(sheet: Sheet, toe: float, heel: float) -> Sheet:
    told = sheet.with_value("measured.back.toe_overhang_mm", toe, "measured")
    return told.with_value("measured.back.heel_overhang_mm", heel, "measured")


@pytest.mark.parametrize(("toe", "heel"), [(12, 24), (24, 12), (10, 10)])
def test_half_the_difference_of_the_overhangs_is_the_boots_offset(toe: float, heel: float) -> None:
    """By hand: the boot's middle lies half the difference toward the larger overhang."""
    assert value(by_ruler(read_sheet(DEMO), toe, heel), "boot_offset_mm", "back") == pytest.approx((toe - heel) / 2)


def test_the_ruler_beats_fields_that_say_another_thing() -> None:
    sheet = read_sheet(DEMO).with_value("mount.back.seat_mm", 15.0).with_value("bindings.hole_offset_mm", 5.0)
    assert value(by_ruler(sheet, 12, 24), "boot_offset_mm", "back") == pytest.approx(-6)


def test_what_goes_into_the_sum_counts_its_doubt_no_second_time() -> None:
    bare = read_sheet(DEMO)
    for path in ("seat_mm", "slot_mm", "heelcup"):
        bare = bare.without(f"mount.back.{path}")
    rough = measure(resolve(bare), MEASURES["boot_offset_mm"], Place("back")).plus_minus
    sharp = measure(resolve(by_ruler(bare, 12, 24)), MEASURES["boot_offset_mm"], Place("back")).plus_minus
    assert sharp < 6 < rough


def test_a_measured_width_is_the_stance_width() -> None:
    sheet = read_sheet(DEMO).with_value("measured.stance_width_mm", 523.0, "measured")
    assert value(sheet, "stance_width_mm") == pytest.approx(523)
    bare = sheet.without("board.reference_width_mm")
    taken = measure(resolve(bare), MEASURES["stance_width_mm"], Place(None))
    assert taken.value == pytest.approx(523) and taken.plus_minus <= 4


def test_rows_that_nobody_told_leave_the_stances_middle_open() -> None:
    sheet = read_sheet(DEMO).with_value("measured.stance_width_mm", 523.0, "measured")
    bare = sheet.without("mount.front.row").without("mount.back.row").without("board.reference_width_mm")
    # A row of 20 mm more or less at either foot: the middle of both is known to 20 mm over the root of two.
    assert measure(resolve(bare), MEASURES["stance_centre_mm"], Place(None)).plus_minus >= 14.1


def test_a_boot_that_is_moved_hangs_elsewhere() -> None:
    """A slide of 4 mm moves the boot 4 mm, and the ruler's reading holds no more."""
    sheet = by_ruler(read_sheet(DEMO).with_value("mount.back.slot_mm", -2.0), 12, 24)
    moved = what_if(sheet, {"mount.back.slot_mm": 2.0}).sheet_after
    assert value(moved, "boot_offset_mm", "back") == pytest.approx(-2, abs=0.06)
    assert not any(path.startswith("measured.back") for path in moved.leaves)
