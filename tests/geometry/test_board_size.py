"""The narrowest and widest waist: put on the board and looked at again."""

from __future__ import annotations

from math import cos, isnan, nan, pi, sin

import pytest
from hypothesis import assume, given
from scipy.optimize import brentq

from advisor.geometry.board import edge_arc
from advisor.geometry.board_size import max_waist_mm, min_waist_mm, waist_spare_mm, waists_for_overhang_mm
from advisor.geometry.carve import margin_deg, needed_tilt_deg
from advisor.geometry.overhang import overhang_mm
from advisor.geometry.parts import beyond_edge_mm
from advisor.geometry.placing import boot_middle_along_mm
from advisor.sheet.setup import FootSetup, Setup
from tests.make_setup import example_setup
from tests.strategies import setups


def _on_a_board(s: Setup, waist: float) -> Setup:
    """Return the set-up on the same sidecut with another waist, each boot free to be slid across."""
    s = s.copy()
    arc = edge_arc(s.board)
    under_the_waist = arc.half_mm - s.board.waist_width_mm / 2
    s.board.sidecut_radius_mm, s.board.waist_place_mm = arc.radius_mm, arc.x_mm
    s.board.waist_width_mm = waist + 2 * under_the_waist
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
    s.ride.edge_sink_mm, s.practice.most_overhang_mm = 0, 500
    assume(needed_tilt_deg(s) > 20)
    narrow = _on_a_board(s, min_waist_mm(s))
    margins = [_even_margins(narrow, f) for f in (narrow.front, narrow.back)]
    for pair in margins:
        assert pair[0] == pytest.approx(pair[1], abs=1e-4)
    assert min(pair[0] for pair in margins) == pytest.approx(0, abs=1e-4)


@given(setups())
def test_a_board_narrower_by_what_it_has_to_spare_has_no_margin_left(s: Setup) -> None:
    s.front.slots = s.back.slots = "across"
    s.ride.edge_sink_mm, s.practice.most_overhang_mm = 0, 500
    assume(needed_tilt_deg(s) > 20)
    narrow = _on_a_board(s, s.board.waist_width_mm - waist_spare_mm(s))
    margins = [_even_margins(narrow, f) for f in (narrow.front, narrow.back)]
    assert min(pair[0] for pair in margins) == pytest.approx(0, abs=1e-4)


@given(setups())
def test_a_waist_narrower_still_drags_at_the_needed_tilt(s: Setup) -> None:
    s.front.slots = s.back.slots = "across"
    s.ride.edge_sink_mm, s.practice.most_overhang_mm = 0, 500
    assume(needed_tilt_deg(s) > 20)
    narrow = _on_a_board(s, min_waist_mm(s) - 2)
    assert min(min(_even_margins(narrow, f)) for f in (narrow.front, narrow.back)) < 0


@given(setups())
def test_on_the_widest_waist_the_foot_that_reaches_less_ends_as_far_inside_as_the_trade_allows(s: Setup) -> None:
    """The bare foot drawn by points: its own length, half its widths round, in the boot's place.

    It is not slid to the middle here, and the edges' curve makes up to half a millimetre of that.
    """
    wide = _on_a_board(s, max_waist_mm(s))
    inside = []
    for f in (wide.front, wide.back):
        ball = f.foot_length_mm * wide.practice.foot_width_share / 2
        heel = f.foot_length_mm * wide.practice.foot_heel_width_share / 2
        ends = [
            max(
                beyond_edge_mm(wide, f, edge, middle + r * cos(t), 0.0, r * sin(t))
                for t in (step * 2 * pi / 720 for step in range(720))
            )
            for edge, r, middle in (
                ("toe", ball, boot_middle_along_mm(wide, f) + f.foot_length_mm / 2 - ball),
                ("heel", heel, boot_middle_along_mm(wide, f) - f.foot_length_mm / 2 + heel),
            )
        ]
        inside.append(-sum(ends) / 2)
    assert max(inside) == pytest.approx(wide.practice.foot_inside_edge_mm, abs=0.6)


def test_the_widths_that_suit_are_near_what_width_tables_say() -> None:
    """A 270 mm foot in a 302 mm sole at 15 and 0: about 240 to 270 mm (one stored page says 246 to 269; weak)."""
    s = example_setup()
    s.rider.tilt_deg = 35
    assert 236 < min_waist_mm(s) < 250
    assert 260 < max_waist_mm(s) < 275


def test_a_childs_boot_suits_no_board_of_97_mm() -> None:
    s = example_setup()
    s.boots.outsole_length_mm, s.boots.ball_width_mm, s.boots.heel_width_mm = 228, 86, 70
    s.front.foot_length_mm = s.back.foot_length_mm = 200
    s.bindings.base_length_mm, s.rider.tilt_deg = 180, 25
    assert 165 < min_waist_mm(s) < max_waist_mm(s) < 220


@given(setups())
def test_both_limits_do_not_depend_on_the_present_waist_where_the_sidecut_is_printed(s: Setup) -> None:
    s.board.sidecut_radius_mm = 8000
    other = _on_a_board(s, s.board.waist_width_mm + 13)
    assert min_waist_mm(other) == pytest.approx(min_waist_mm(s), abs=1e-3)
    assert max_waist_mm(other) == pytest.approx(max_waist_mm(s), abs=1e-6)


@pytest.mark.parametrize("tilt", [0.0, 1.0, 5.0])
def test_however_little_a_rider_tilts_overhang_beyond_the_trades_limit_is_too_narrow(tilt: float) -> None:
    s = example_setup()
    s.rider.tilt_deg = tilt
    assert min_waist_mm(s) == pytest.approx(max(waists_for_overhang_mm(s, 25)))


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
