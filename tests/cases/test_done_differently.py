"""A change that was made otherwise than advised: the board is what it is now."""

from __future__ import annotations

import pytest

from advisor.dialogue.done_differently import done_differently
from advisor.dialogue.visit import load_asks
from advisor.knowledge.trees import authors
from advisor.sheet.reading import parse_sheet
from advisor.sheet.sheet import Sheet

_MOUNT = """schema: 1
mount:
  front: {angle_deg: 15, slots: across, slot_mm: 0}
  back: {angle_deg: 0, slots: across, slot_mm: -4}
"""
BEFORE = parse_sheet(_MOUNT.encode(), "invented")
SLID = BEFORE.with_value("mount.back.slot_mm", 3)
BOTH = SLID.with_value("mount.front.angle_deg", 18)


@pytest.mark.parametrize(
    ("text", "advised", "front", "back"),
    [
        # 7 mm toward the toe edge had been advised, from -4 to 3: five of them end at 1.
        ("5 mm not 7", SLID, 15, 1), ("only 5", SLID, 15, 1), ("moved it 5 mm instead of 7", SLID, 15, 1),
        ("set it to 2", SLID, 15, 2), ("it is at -1 now", SLID, 15, -1), ("slid it 5,5 mm", SLID, 15, 1.5),
        ("only did the front", BOTH, 18, -4), ("just the back one", BOTH, 15, 3),
        ("the back, not the front, only", BOTH, 15, 3),
    ],
)  # fmt: skip
def test_the_board_is_what_was_told(text: str, advised: Sheet, front: float, back: float) -> None:
    told = done_differently(text, BEFORE, advised, load_asks(authors()).differently)
    assert told is not None
    assert (told.value("mount.front.angle_deg"), told.value("mount.back.slot_mm")) == (front, back)


@pytest.mark.parametrize("text", ["as advised", "yes", "no", "not done", "something else", "both"])
def test_what_says_nothing_of_an_amount_or_a_foot_is_left_to_the_question(text: str) -> None:
    assert done_differently(text, BEFORE, BOTH, load_asks(authors()).differently) is None


def test_without_an_advised_board_nothing_can_be_told_of_it() -> None:
    assert done_differently("5 mm not 7", BEFORE, None, load_asks(authors()).differently) is None
