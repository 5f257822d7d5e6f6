"""The invented demo sheet: its heel hangs over by plain arithmetic, and it loads without the slow libraries."""

from __future__ import annotations

import subprocess
import sys
from math import atan, degrees

import pytest

from advisor.geometry.board import waist_place_mm
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import read_sheet
from advisor.sheet.resolve import resolve
from tests.sheet.samples import DEMO


def test_the_back_boot_hangs_over_the_heel_edge_and_meets_the_snow_before_the_ridden_tilt() -> None:
    """At 0 degrees the boot lies square across, so a pencil does: half board against half boot."""
    setup = resolve(read_sheet(DEMO), load_practice()).setup
    back, board = setup.back, setup.board
    x = -board.reference_setback_mm - board.reference_width_mm / 2
    away = x - waist_place_mm(setup.board)
    half_board = board.waist_width_mm / 2 + away**2 / (2 * board.sidecut_radius_mm)
    half_boot = setup.boots.outsole_length_mm / 2
    slid = back.slot_mm - setup.bindings.hole_offset_mm + back.seat_mm
    heel, toe = half_boot - slid - half_board, half_boot + slid - half_board
    assert heel == pytest.approx(26.4, abs=0.2)
    assert toe == pytest.approx(12.4, abs=0.2)
    height = board.thickness_mm + setup.bindings.base_height_heel_mm + setup.boots.heel_rise_mm
    assert degrees(atan(height / heel)) < setup.rider.tilt_deg
    to_the_middle = -slid
    assert back.slot_mm + to_the_middle <= setup.bindings.slot_travel_mm
    assert degrees(atan(height / (heel - to_the_middle))) > setup.rider.tilt_deg + 5


def test_the_demo_says_that_it_is_invented() -> None:
    text = DEMO.read_text(encoding="utf-8")
    assert text.startswith("# An invented scenario.")
    assert "Larchfall is an invented resort" in text


def test_reading_and_resolving_a_sound_sheet_imports_no_slow_library() -> None:
    code = (
        "import sys; from pathlib import Path\n"
        "from advisor.sheet.reading import read_sheet\n"
        "from advisor.sheet.resolve import resolve\n"
        "from advisor.sheet.practice import load_practice\n"
        f"resolve(read_sheet(Path({str(DEMO)!r})), load_practice())\n"
        "print(sorted({'pydantic', 'numpy', 'networkx', 'rich', 'prompt_toolkit', 'difflib'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
