"""How much longer the labelled boot is made than the foot, against the standard and a published table.

ISO 9407 (clause excerpt read): a Mondopoint number is the foot's length in millimetres. A published shop table (see
`size_table` in trees/sources.yaml) has JP 27 = EU 42.5 = US M 9, so all three stand for a foot of 270 mm.
"""

from __future__ import annotations

import pytest

from advisor.geometry.measuring import Measured, measure_all
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import parse_sheet
from advisor.sheet.resolve import resolve


def room(size: str, foot: float, back: float | None = None) -> dict[str, Measured]:
    feet = f"{{left: {foot}, right: {back or foot}}}"
    text = f'schema: 1\nrider: {{leading_foot: left, foot_length_mm: {feet}}}\nboots: {{size: "{size}"}}\n'
    return measure_all(resolve(parse_sheet(text.encode(), "s.yaml"), load_practice()))


@pytest.mark.parametrize(
    ("size", "foot", "expected"), [("mondo 27", 270, 0), ("mondo 27.5", 268, 7), ("JP 26", 264, -4)]
)
def test_mondopoint_is_the_foot_itself(size: str, foot: float, expected: float) -> None:
    taken = room(size, foot)["boot_room_mm.front"]
    assert taken.value == pytest.approx(expected)
    assert taken.plus_minus == pytest.approx(1)  # the ruler's


@pytest.mark.parametrize("size", ["EU 42.5", "US M 9"])
def test_other_systems_hold_the_published_pair_within_their_spread(size: str) -> None:
    taken = room(size, 270)["boot_room_mm.front"]
    assert taken.low <= 0 <= taken.high
    assert taken.plus_minus > 1


def test_each_foot_has_its_own_room_and_the_left_is_in_front_where_it_leads() -> None:
    taken = room("mondo 27", 262, 270)
    assert (taken["boot_room_mm.front"].value, taken["boot_room_mm.back"].value) == (8, 0)


def test_without_a_foot_length_the_label_alone_says_nothing_sure() -> None:
    taken = measure_all(resolve(parse_sheet(b'schema: 1\nboots: {size: "mondo 27"}\n', "s.yaml"), load_practice()))
    one = taken["boot_room_mm.front"]
    assert (one.value, one.plus_minus >= 5) == (0, True)


def test_without_a_label_the_label_is_what_is_missing() -> None:
    taken = measure_all(
        resolve(parse_sheet(b"schema: 1\nrider: {foot_length_mm: {left: 270}}\n", "s.yaml"), load_practice())
    )
    assert taken["boot_room_mm.front"].needs == ("boots.size",)
