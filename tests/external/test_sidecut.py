"""The sidecut against published arithmetic: sources beside the rows in `values.py`."""

from __future__ import annotations

from math import isnan, sqrt

import pytest

from advisor.geometry.board import (
    half_width_mm,
    radius_from_sagitta_mm,
    radius_through_mm,
    sagitta_mm,
    sidecut_radius_mm,
)
from advisor.sheet.setup import Board
from tests.external import values

# The exact circle through the second row's points has 28.44 m where the page prints 28.5.
PAGE_ROUNDING = 0.0025


@pytest.mark.parametrize(("chord", "radius", "depth", "tolerance"), values.SAGITTA)
def test_sagitta_is_the_published_one(chord: float, radius: float, depth: float, tolerance: float) -> None:
    assert sagitta_mm(chord, radius) == pytest.approx(depth, abs=tolerance)


@pytest.mark.parametrize(("chord", "height", "radius", "tolerance"), values.MAJOR_ARC)
def test_radius_from_sagitta_holds_for_the_major_arc_too(
    chord: float, height: float, radius: float, tolerance: float
) -> None:
    assert radius_from_sagitta_mm(chord, height) == pytest.approx(radius, abs=tolerance)


@pytest.mark.parametrize(("nose", "waist", "tail", "chord", "depth", "radius"), values.SIDECUT_FROM_WIDTHS)
def test_sidecut_radius_follows_from_the_widths(
    nose: float, waist: float, tail: float, chord: float, depth: float, radius: float
) -> None:
    board = Board(waist_width_mm=waist, nose_width_mm=nose, tail_width_mm=tail, contact_length_mm=chord)
    assert sidecut_radius_mm(board) == pytest.approx(radius, abs=0.05)
    assert sagitta_mm(chord, sidecut_radius_mm(board)) == pytest.approx(depth, abs=1e-6)


@pytest.mark.parametrize(
    ("row", "short"), list(zip(values.SIDECUT_FROM_WIDTHS, values.SIDECUT_SHORT_FORM, strict=True))
)
def test_short_form_is_smaller_by_half_the_depth(row: tuple[float, ...], short: float) -> None:
    nose, waist, tail, chord, depth, _radius = row
    board = Board(waist_width_mm=waist, nose_width_mm=nose, tail_width_mm=tail, contact_length_mm=chord)
    assert sidecut_radius_mm(board) - depth / 2 == pytest.approx(short, abs=0.05)


@pytest.mark.parametrize(("tip", "waist", "tail", "length", "waist_at", "radius_m"), values.SIDECUT_THREE_POINTS)
def test_three_points_give_the_published_radius(
    tip: float, waist: float, tail: float, length: float, waist_at: float, radius_m: float
) -> None:
    radius = radius_through_mm((0, tail / 2), (waist_at, waist / 2), (length, tip / 2))
    assert radius / 1000 == pytest.approx(radius_m, rel=PAGE_ROUNDING)


@pytest.mark.parametrize(("tip", "waist", "tail", "length", "waist_at", "radius_m"), values.SIDECUT_THREE_POINTS)
def test_a_board_with_its_waist_off_the_middle_gets_the_published_radius(
    tip: float, waist: float, tail: float, length: float, waist_at: float, radius_m: float
) -> None:
    board = Board(
        waist_width_mm=waist, nose_width_mm=tip, tail_width_mm=tail, contact_length_mm=length,
        waist_place_mm=waist_at - length / 2,
    )  # fmt: skip
    assert sidecut_radius_mm(board) / 1000 == pytest.approx(radius_m, rel=PAGE_ROUNDING)


@pytest.mark.parametrize(("nose", "waist", "tail", "chord", "depth", "radius"), values.SIDECUT_FROM_WIDTHS)
def test_the_wrong_formula_on_one_web_page_is_not_ours(
    nose: float, waist: float, tail: float, chord: float, depth: float, radius: float
) -> None:
    """One page (read) prints R = L²/(4 x depth). That is near the truth only where depth means twice the sagitta.

    With the depth that the sidecut is defined by, the arc would rise by half of it between the contact points.
    """
    wrong = chord**2 / (4 * depth)
    board = Board(waist_width_mm=waist, nose_width_mm=nose, tail_width_mm=tail, contact_length_mm=chord)
    assert wrong - sqrt(wrong**2 - chord**2 / 4) == pytest.approx(depth / 2, rel=0.002)
    assert sidecut_radius_mm(board) == pytest.approx(wrong / 2 + depth / 2)


@pytest.mark.parametrize(("nose", "waist", "tail", "chord", "depth", "radius"), values.SIDECUT_FROM_WIDTHS)
def test_the_edge_passes_through_the_widths_it_was_computed_from(
    nose: float, waist: float, tail: float, chord: float, depth: float, radius: float
) -> None:
    board = Board(
        waist_width_mm=waist,
        nose_width_mm=nose,
        tail_width_mm=tail,
        contact_length_mm=chord,
        reference_setback_mm=0,
    )
    assert half_width_mm(board, 0) == pytest.approx(waist / 2, abs=0.001)
    assert half_width_mm(board, chord / 2) == pytest.approx(nose / 2, abs=1e-6)
    assert half_width_mm(board, -chord / 2) == pytest.approx(tail / 2, abs=1e-6)
    both = half_width_mm(board, 300) + half_width_mm(board, -300)
    assert both / 2 == pytest.approx(waist / 2 + radius - sqrt(radius**2 - 300**2), abs=0.001)


def test_a_waist_wider_than_nose_and_tail_gives_no_radius() -> None:
    board = Board(waist_width_mm=300, nose_width_mm=290, tail_width_mm=296, contact_length_mm=1160)
    assert isnan(sidecut_radius_mm(board))
