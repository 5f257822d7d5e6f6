"""Screws and edges against standards' figures and workshop rules (`values.py`)."""

from __future__ import annotations

from math import radians, tan

import pytest

from advisor.geometry.fixings import (
    clamp_load_n,
    edge_corner_deg,
    engage_tilt_deg,
    screw_clamp_load_n,
    screw_turns,
)
from advisor.sheet.setup import Board, Setup
from tests.external import values
from tests.make_setup import example_setup, practice, practice_plus_minus


@pytest.mark.parametrize(("torque", "nut_factor", "diameter", "load", "share"), values.TORQUE_CLAMP)
def test_clamp_load_is_the_published_one(
    torque: float, nut_factor: float, diameter: float, load: float, share: float
) -> None:
    assert screw_clamp_load_n(torque, nut_factor, diameter) == pytest.approx(load, rel=share)


@pytest.mark.parametrize("limit", [values.M6_PROOF_88, values.M6_YIELD_A2_70])
def test_a_set_screw_stays_below_its_proof_load(limit: float) -> None:
    """At the usual 4 N·m, and even with the least friction that the ± allows."""
    s = example_setup()
    assert 0 < clamp_load_n(s) < limit
    least = s.practice.nut_factor - practice_plus_minus()["practice.nut_factor"]
    assert screw_clamp_load_n(s.screw_torque_nm, least, s.practice.screw_diameter_mm) < limit


@pytest.mark.parametrize(
    ("limit", "table_torque"),
    [
        (values.M6_YIELD_A2_70, values.M6_TABLE_TORQUE["A2-70"]),
        (values.M6_PROOF_88, values.M6_TABLE_TORQUE["8.8"]),
    ],
)
def test_the_published_table_torque_loads_a_screw_to_its_limit_but_not_past_it(
    limit: float, table_torque: float
) -> None:
    """The table goes to 90 % of yield, twist included, which leaves 0.6 to 0.9 of it for the pull."""
    load = screw_clamp_load_n(table_torque, practice().nut_factor, values.M6[0])
    assert 0.6 * limit < load < 0.9 * limit
    assert example_setup().screw_torque_nm < table_torque


def test_the_screw_is_m6_and_counts_one_turn_a_millimetre() -> None:
    s = example_setup()
    assert (s.practice.screw_diameter_mm, s.practice.screw_pitch_mm) == values.M6
    s.bindings.screw_length_mm += 1
    assert screw_turns(s) - screw_turns(example_setup()) == pytest.approx(1)


@pytest.mark.parametrize(("base", "side", "corner"), values.EDGE_CORNER)
def test_edge_corner_of_base_and_side_bevel(base: float, side: float, corner: float) -> None:
    assert edge_corner_deg(Setup(board=Board(base_bevel_deg=base, side_bevel_deg=side))) == corner


@pytest.mark.parametrize(("base", "rise"), values.RISE_AT_60_MM)
def test_the_board_tips_by_its_base_bevel_before_the_edge_bites(base: float, rise: float) -> None:
    """The 60 mm rule: a bar on the base stands off by 1 mm at 60 mm when it rests on an edge bevelled by 1 degree."""
    tilt = engage_tilt_deg(Setup(board=Board(base_bevel_deg=base)))
    assert 60 * tan(radians(tilt)) == pytest.approx(rise, abs=0.0006)
    assert 60 * tan(radians(tilt)) == pytest.approx(base, rel=0.05)
