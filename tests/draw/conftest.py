"""Set-ups to draw. The rider and the shop, Larchfall, are invented."""

from __future__ import annotations

import pytest

from advisor.sheet.setup import Bindings, Board, Boots, Practice, Rider, Setup


def larchfall() -> Setup:
    """Return a filled set-up: boot 302 mm on a 254 mm waist, angles 15 and 0."""
    s = Setup()
    s.rider = Rider(1780, 820, 76, 436, 438, 69.4, 240, 28)
    s.boots = Boots(302, 108, 88, 18, 25, 10, 12)
    s.board = Board(1200, 254, 298, 296, 1160, 8000, float("nan"), 9, 540, 20, 20, 3, 8, 1, 1)
    nan = float("nan")
    s.bindings = Bindings(3, 5, 3, 14, 16, 240, 128, 5, 5, nan, nan, nan, nan, 14, 6, 1, 14)
    s.practice = Practice(45, 0.29, 0.33, 9, 17, 0, 1, 45, 0.32, 0.05, 0.741, 0.134, 0.25, 0.2, 6, 1, -10)
    for f, angle, turnout, length in ((s.front, 15, 8, 268), (s.back, 0, 12, 270)):
        f.angle_deg, f.turnout_deg, f.foot_length_mm = angle, turnout, length
        f.row = f.slot_mm = f.heelcup = f.lean_deg = f.highback_turn_deg = f.cant_deg = 0
        f.riser_mm = f.seat_mm = f.toe_ramp = 0
        f.strap_left_mm, f.strap_right_mm, f.ladder_at = 40, 44, 8
    s.screw_torque_nm = 4
    return s


@pytest.fixture
def setup() -> Setup:
    return larchfall()


@pytest.fixture
def square(setup: Setup) -> Setup:
    """Both feet at 0 degrees, centred, on a board whose edges are all but straight, so that hand sums hold."""
    setup.board.sidecut_radius_mm = 1e9
    setup.bindings.hole_offset_mm = 0
    setup.front.angle_deg = setup.back.angle_deg = 0
    return setup
