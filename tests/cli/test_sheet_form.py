"""The sheet as a form, driven through prompt_toolkit's own pipe: tab, type, check, keep or leave."""

from __future__ import annotations

import io
from collections.abc import Iterator

import pytest
from prompt_toolkit.data_structures import Size
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output.vt100 import Vt100_Output

from advisor.cli.sheet_form import Form, fill_in
from advisor.cli.surroundings import Surroundings
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.sheet.sheet import Leaf, Sheet

KEEP, LEAVE, TAB, BACK_TAB = "\x13", "\x1b", "\t", "\x1b[Z"


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge()


@pytest.fixture
def keys() -> Iterator[PipeInput]:
    with create_pipe_input() as pipe:
        yield pipe


def filled(keys: PipeInput, typed: str, sheet: Sheet, knowledge: Knowledge) -> tuple[Sheet | None, str]:
    shown = io.StringIO()
    screen = Vt100_Output(shown, lambda: Size(rows=24, columns=80), term="xterm")
    keys.send_text(typed)
    around = Surroundings(io.StringIO(), io.StringIO(), io.StringIO(), {"COLUMNS": "80"})
    return fill_in(sheet, knowledge, around, keys, screen), shown.getvalue()


def test_tab_goes_through_and_what_is_typed_is_on_the_sheet(keys: PipeInput, knowledge: Knowledge) -> None:
    sheet, _ = filled(keys, f"goofy{TAB}178{TAB}76{KEEP}", Sheet("", {}), knowledge)
    assert sheet is not None
    assert sheet.value("rider.leading_foot") == "right"
    assert (sheet.value("rider.height_cm"), sheet.value("rider.weight_kg")) == (178, 76)
    assert len(sheet.leaves) == 3, "an empty cell is unknown, never zero"


def test_back_tab_comes_back_to_correct(keys: PipeInput, knowledge: Knowledge) -> None:
    sheet, _ = filled(keys, f"{TAB}17{TAB}{BACK_TAB}8{KEEP}", Sheet("", {}), knowledge)
    assert sheet is not None and sheet.value("rider.height_cm") == 178


def test_leaving_changes_nothing(keys: PipeInput, knowledge: Knowledge) -> None:
    sheet, _ = filled(keys, f"{TAB}178{LEAVE}", Sheet("", {}), knowledge)
    assert sheet is None


def test_a_form_with_a_fault_is_not_kept(keys: PipeInput, knowledge: Knowledge) -> None:
    sheet, _ = filled(keys, f"{TAB}17{KEEP}8{KEEP}", Sheet("", {}), knowledge)
    assert sheet is not None and sheet.value("rider.height_cm") == 178, "the first Ctrl-S goes to the fault"


def test_what_is_not_in_the_form_stays_as_it_was(keys: PipeInput, knowledge: Knowledge) -> None:
    before = Sheet("", {"rider.turnout_deg.left": Leaf(9.0), "rider.height_cm": Leaf(178.0, "measured", 1.0)})
    sheet, _ = filled(keys, KEEP, before, knowledge)
    assert sheet == before


def test_the_whole_form_and_its_keys_fit_80_by_24(keys: PipeInput, knowledge: Knowledge) -> None:
    _, shown = filled(keys, LEAVE, Sheet("", {"rider.height_cm": Leaf(178.0)}), knowledge)
    for words in ("Ctrl-S keeps", "Rider", "height", "178", "body height", "foot in front"):
        assert (words in shown) == (words != "body height")


def test_every_cell_is_checked_while_it_is_typed(knowledge: Knowledge) -> None:
    form = Form(Sheet("", {}), knowledge)
    form.cells["boots.outsole_length_mm"].text = "30.2"
    assert "302 mm" in form.says("boots.outsole_length_mm")
    form.cells["boots.outsole_length_mm"].text = "302"
    assert not form.faults and form.sheet.value("boots.outsole_length_mm") == 302
    form.cells["rider.height_cm"].text, form.cells["rider.weight_kg"].text = "178", "172"
    assert "in pounds" in form.says("rider.weight_kg")


def test_the_picture_follows_what_is_typed(knowledge: Knowledge) -> None:
    form = Form(Sheet("", {}), knowledge)
    empty = form.picture()
    for path, text in {
        "rider.leading_foot": "regular",
        "boots.outsole_length_mm": "302",
        "board.waist_width_mm": "254",
        "board.reference_width_mm": "540",
        "board.sidecut_radius_m": "8",
        "mount.front.angle_deg": "15",
        "mount.back.angle_deg": "-6",
    }.items():
        form.cells[path].text = text
    first = form.picture()
    assert first != empty and "From above" in first
    form.cells["mount.front.angle_deg"].text = "30"
    assert form.picture() != first
