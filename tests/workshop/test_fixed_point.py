"""The first set-up survives its own questions: nothing that it mounts is changed by an entry when nothing is wrong."""

from __future__ import annotations

import pytest

from advisor.sheet.reading import read_sheet
from advisor.solve.whole_mount import whole_mount
from advisor.workshop.fixed_point import what_still_moves
from tests.conftest import ROOT


@pytest.mark.slow
@pytest.mark.parametrize("style", ["all_mountain", "first_season", "freestyle"])
def test_a_mount_by_the_first_set_up_is_left_alone_by_every_entry(style: str) -> None:
    """tests/bench/bench_fixed_point.py draws riders for the same."""
    sheet = read_sheet(ROOT / "trees" / "ordinary_sheet.yaml").with_value("rider.style", style)
    for side in ("left", "right"):
        sheet = sheet.with_value(f"rider.turnout_deg.{side}", 12)
    assert list(what_still_moves(whole_mount(sheet).setup.sheet_after)) == []
