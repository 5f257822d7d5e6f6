"""Set-ups to draw. The rider and the shop, Larchfall, are invented."""

from __future__ import annotations

import pytest

from advisor.sheet.setup import Setup
from tests.make_setup import example_setup


def larchfall() -> Setup:
    """Return a filled set-up: boot 302 mm on a 254 mm waist, angles 15 and 0."""
    return example_setup()


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
