"""The narrowest and widest waist: put on the board and looked at again."""

from __future__ import annotations

from math import isnan, nan

import pytest
from hypothesis import assume, given
from scipy.optimize import brentq

from advisor.geometry.board import sidecut_radius_mm
from advisor.geometry.board_size import max_waist_mm, min_waist_mm, waist_spare_mm, waists_for_overhang_mm
from advisor.geometry.carve import margin_deg, needed_tilt_deg
from advisor.geometry.overhang import overhang_mm
from advisor.sheet.setup import FootSetup, Setup
from tests.make_setup import example_setup
from tests.strategies import setups


def _on_a_board(s: Setup, waist: float) -> Setup:
    """Return the set-up on the same sidecut with another waist, each boot free to be slid across."""
    s = s.copy()
    s.board.sidecut_radius_mm = sidecut_radius_mm(s.board)
    s.board.waist_width_mm = waist
    return s


def _slide(s: Setup, f: FootSetup, balance: object, low: float = -150, high: float = 150) -> None:
    def at(slide: float) -> float:
        f.slot_mm = slide
        return balance(f)  # type: ignore[operator, no-any-return]

    f.slot_mm = float(brentq(at, low, high, xtol=1e-9))


def _even_margins(s: Setup, f: FootSetup) -> tuple[float, float]:
    """Return both edges' margins with the boot slid to where they are the same."""
    _slide(s, f, lambda foot: margin_deg(s, foot, "toe") - margin_deg(s, foot, "heel"))
    return margin_deg(s, f, "toe"), margin_deg(s, f, "heel")


@given(setups())
def test_on_the_narrowest_waist_the_worse_foot_has_no_margin_left_and_the_other_some(s: Setup) -> None:
    s.front.slots = s.back.slots = "across"
    s.ride.edge_sink_mm = 0
    assume(needed_tilt_deg(s) > 20)
    narrow = _on_a_board(s, min_waist_mm(s))
    margins = [_even_margins(narrow, f) for f in (narrow.front, narrow.back)]
    for pair in margins:
        assert pair[0] == pytest.approx(pair[1], abs=1e-4)
    assert min(pair[0] for pair in margins) == pytest.approx(0, abs=1e-4)


@given(setups())
def test_a_board_narrower_by_what_it_has_to_spare_has_no_margin_left(s: Setup) -> None:
    s.front.slots = s.back.slots = "across"
    s.ride.edge_sink_mm = 0
    assume(needed_tilt_deg(s) > 20)
    narrow = _on_a_board(s, s.board.waist_width_mm - waist_spare_mm(s))
    margins = [_even_margins(narrow, f) for f in (narrow.front, narrow.back)]
    assert min(pair[0] for pair in margins) == pytest.approx(0, abs=1e-4)


@given(setups())
def test_a_waist_narrower_still_drags_at_the_needed_tilt(s: Setup) -> None:
    s.front.slots = s.back.slots = "across"
    s.ride.edge_sink_mm = 0
    assume(needed_tilt_deg(s) > 20)
    narrow = _on_a_board(s, min_waist_mm(s) - 2)
    assert min(min(_even_margins(narrow, f)) for f in (narrow.front, narrow.back)) < 0


@given(setups())
def test_on_the_widest_waist_the_worse_boot_ends_just_as_far_inside_as_the_trade_allows(s: Setup) -> None:
    s.front.slots = s.back.slots = "across"
    wide = _on_a_board(s, max_waist_mm(s))
    ends = []
    for f in (wide.front, wide.back):
        _slide(wide, f, lambda foot: overhang_mm(wide, foot, "toe") - overhang_mm(wide, foot, "heel"))
        ends.append(overhang_mm(wide, f, "toe"))
        assert overhang_mm(wide, f, "heel") == pytest.approx(ends[-1], abs=1e-6)
    assert min(ends) == pytest.approx(s.practice.wide_board_overhang_mm, abs=1e-6)


@given(setups())
def test_both_limits_do_not_depend_on_the_present_waist_where_the_sidecut_is_printed(s: Setup) -> None:
    s.board.sidecut_radius_mm = 8000
    other = _on_a_board(s, s.board.waist_width_mm + 13)
    assert min_waist_mm(other) == pytest.approx(min_waist_mm(s), abs=1e-3)
    assert max_waist_mm(other) == pytest.approx(max_waist_mm(s), abs=1e-6)


@pytest.mark.parametrize("speed", [1.0, 2.0, 2.1, 2.12, 2.2, 3.0, 5.0])
def test_a_rider_who_hardly_tilts_can_have_any_narrow_board(speed: float) -> None:
    """A walking pace asks for hardly any tilt, so no waist above 0 drags."""
    s = example_setup()
    s.rider.speed_kmh, s.rider.tilt_deg = speed, nan
    assert min_waist_mm(s) == 0


def test_a_rider_who_does_not_tilt_gets_no_fault() -> None:
    s = example_setup()
    s.rider.tilt_deg = 0
    assert min_waist_mm(s) == 0


def test_without_a_sidecut_there_is_no_board_width_to_name() -> None:
    """The waist is not the narrowest place, so the widths give no arc."""
    s = example_setup()
    s.board.sidecut_radius_mm, s.board.waist_width_mm = nan, 310
    assert isnan(min_waist_mm(s))
    assert isnan(max_waist_mm(s))


@given(setups())
def test_on_the_waist_for_an_overhang_the_boot_slid_to_the_middle_hangs_over_by_it_at_both_edges(s: Setup) -> None:
    s.front.slots = s.back.slots = "across"
    for waist, side in zip(waists_for_overhang_mm(s, 15), ("front", "back"), strict=True):
        board = _on_a_board(s, waist)
        foot = board.foot(side)  # type: ignore[arg-type]
        _slide(board, foot, lambda f, b=board: overhang_mm(b, f, "toe") - overhang_mm(b, f, "heel"))  # type: ignore[misc]
        assert overhang_mm(board, foot, "toe") == pytest.approx(15, abs=1e-3)
        assert overhang_mm(board, foot, "heel") == pytest.approx(15, abs=1e-3)
