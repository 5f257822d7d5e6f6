"""What a change does to every measure."""

from __future__ import annotations

from random import Random

import pytest

from advisor.errors import UnknownName
from advisor.geometry.measuring import measure_all
from advisor.sheet.practice import load_practice
from advisor.sheet.resolve import resolve
from advisor.solve.whatif import what_if
from tests.solve.random_sheets import random_document, random_sheet, sheet_from


def test_changing_nothing_moves_nothing() -> None:
    sheet = random_sheet(Random(1))
    assert what_if(sheet, {}).effects == ()
    value = sheet.value("mount.back.slot_mm")
    assert value is not None
    assert what_if(sheet, {"mount.back.slot_mm": value}).effects == ()


def test_a_slide_moves_the_boot_by_as_much_and_only_at_that_foot() -> None:
    document = random_document(Random(3))
    for side in ("front", "back"):
        document["mount"][side] |= {"slots": "across", "slot_mm": 0, "angle_deg": 0}
    effects = {effect.key: effect for effect in what_if(sheet_from(document), {"mount.back.slot_mm": 3}).effects}
    assert effects["boot_offset_mm.back"].delta == pytest.approx(3)
    assert effects["boot_offset_mm.back"].unit == "mm"
    assert "boot_offset_mm.front" not in effects
    assert "stance_width_mm" not in effects


def test_it_equals_measuring_both_sheets() -> None:
    random = Random(5)
    for _ in range(10):
        sheet = random_sheet(random)
        change = {"mount.front.angle_deg": 21, "mount.back.riser_mm": 3}
        result = what_if(sheet, change)
        after = measure_all(resolve(result.sheet_after, load_practice()))
        moved = {effect.key for effect in result.effects}
        for key, taken in result.before.items():
            if key in moved:
                effect = next(effect for effect in result.effects if effect.key == key)
                assert effect.after == after[key].value
                assert effect.before == taken.value
                assert effect.delta == effect.after - effect.before
            elif taken.known:
                assert after[key].value == pytest.approx(taken.value, abs=1e-9)


def test_the_sheet_itself_is_left_alone() -> None:
    sheet = random_sheet(Random(1))
    before = sheet.to_dict()
    what_if(sheet, {"mount.back.angle_deg": 0})
    assert sheet.to_dict() == before


def test_a_field_that_does_not_exist_is_refused() -> None:
    with pytest.raises(UnknownName, match=r"did you mean mount\.back\.slots"):
        what_if(random_sheet(Random(1)), {"mount.back.slot": 3})
