"""The shelf: Larchfall's invented gear from spreadsheet and YAML, measured before printed, found by letters."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.cli.main import run
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.sheet.sheet import Leaf, Sheet
from advisor.shelf.items import Item, onto_sheet
from advisor.shelf.reading import read_csv, read_items
from advisor.shelf.store import Shelf

BOARDS = """label,length (cm),waist,waist measured,waist ±,radius,reference,hire,count
Larch 158 W,158,262,260.5,1,8.1,540,yes,3
Larch 150,150 cm,245,,,7.4,"52 cm",x,
Fern 132,132,226,,,6.5,440,,
"""


@pytest.fixture
def shelf(tmp_path: Path) -> Iterator[Shelf]:
    with Shelf({"ADVISOR_SHOP": str(tmp_path)}) as made:
        yield made


def test_measured_beats_printed_and_keeps_its_plus_minus() -> None:
    board = read_csv(BOARDS, "boards.csv", "board")[0]
    assert board.leaves["board.waist_width_mm"] == Leaf(260.5, "measured", 1.0)
    assert board.leaves["board.length_cm"] == Leaf(158, "looked_up")
    assert (board.label, board.fleet, board.count) == ("Larch 158 W", True, 3)


def test_a_cell_may_carry_its_own_unit() -> None:
    boards = read_csv(BOARDS, "boards.csv", "board")
    assert boards[1].leaves["board.reference_width_mm"].value == 520


def test_a_spreadsheet_with_semicolons_and_decimal_commas_is_read() -> None:
    (board,) = read_csv("label;waist;radius\nLarch;255,5;7,9\n", "boards.csv", "board")
    assert board.numbers == {"board.waist_width_mm": 255.5, "board.sidecut_radius_m": 7.9}


def test_one_file_may_hold_all_kinds() -> None:
    text = "kind,label,size,sole,notch\nboard,Larch 150,150,,\nboots,B 27,27,302,\nbindings,Clamp M,,,3\n"
    board, boots, bindings = read_csv(text, "fleet.csv")
    assert board.leaves["board.length_cm"].value == 150
    assert (boots.leaves["boots.size"].value, boots.leaves["boots.outsole_length_mm"].value) == ("mondo 27.0", 302)
    assert bindings.numbers == {"bindings.notch_deg": 3}


def test_every_fault_of_a_file_is_told_with_its_line() -> None:
    text = "label,waist,colour\nA,25.4,red\n,250,\nB,wide,\n"
    with pytest.raises(AdvisorError) as caught:
        read_csv(text, "boards.csv", "board")
    told = str(caught.value)
    assert "boards.csv:1: no field goes by 'colour'" in told
    assert "boards.csv:2" in told and "254" in told, "25.4 is 254 in another unit"
    assert "boards.csv:3: expected a label" in told and "boards.csv:4" in told


def test_yaml_laid_into_the_folder_is_taken_in_and_let_go(tmp_path: Path) -> None:
    environ = {"ADVISOR_SHOP": str(tmp_path)}
    folder = tmp_path / "shelf"
    folder.mkdir()
    file = folder / "own.yaml"
    file.write_text('board:\n  "Larch 158": {length_cm: 158, waist_width_mm: 254, measured: {waist_width_mm: 252}}\n')
    with Shelf(environ) as shelf:
        (board,) = shelf.get("larch 158")
        assert board.leaves["board.waist_width_mm"] == Leaf(252, "measured")
        with pytest.raises(AdvisorError, match="take it out there"):
            shelf.forget("Larch 158")
    file.unlink()
    with Shelf(environ) as shelf:
        assert not shelf.get("larch 158")


def test_a_few_letters_find_it_in_any_order(shelf: Shelf) -> None:
    shelf.put(read_csv(BOARDS, "boards.csv", "board"))
    assert [item.label for item in shelf.find("lar")] == ["Larch 150", "Larch 158 W"]
    assert [item.label for item in shelf.find("158 l")] == ["Larch 158 W"]
    assert [item.label for item in shelf.find("132")] == ["Fern 132"]
    assert not shelf.find("pine")
    assert not shelf.find('lar" OR *'), "what is typed is never a query"


def test_the_same_label_is_replaced_and_can_be_forgotten(shelf: Shelf) -> None:
    shelf.put([Item("board", "Larch 150", {"board.length_cm": Leaf(150.0)})])
    shelf.put([Item("board", "larch  150", {"board.length_cm": Leaf(151.0)})])
    (board,) = shelf.get("LARCH 150")
    assert board.numbers == {"board.length_cm": 151}
    assert shelf.forget("Larch 150") == 1
    assert not shelf.find("lar")


def ran(arguments: list[str], environ: dict[str, str]) -> tuple[int, str]:
    out = io.StringIO()
    return run(arguments, Surroundings(io.StringIO(), out, io.StringIO(), environ)), out.getvalue()


def test_the_shelf_is_read_back_from_its_export(tmp_path: Path) -> None:
    source = tmp_path / "boards.csv"
    source.write_text(BOARDS, encoding="utf-8")
    environ = {"ADVISOR_SHOP": str(tmp_path / "shop")}
    assert ran(["shelf", "import", str(source)], environ)[0] == 0
    assert ran(["shelf", "export", str(tmp_path / "all.yaml")], environ)[0] == 0
    again = {item.label: item for item in read_items(tmp_path / "all.yaml")}
    assert again == {item.label: item for item in read_csv(BOARDS, "boards.csv", "board")}


def test_a_board_on_the_sheet_takes_the_place_of_the_one_before() -> None:
    sheet = Sheet("", {"board.length_cm": Leaf(150.0), "board.nose_width_mm": Leaf(290.0), "mount.front.row": Leaf(1)})
    board = Item("board", "Larch 158", {"board.length_cm": Leaf(158.0, "looked_up")})
    now = onto_sheet(sheet, board)
    assert now.value("board.length_cm") == 158 and now.value("board.nose_width_mm") is None
    assert now.value("mount.front.row") == 1 and now.value("labels.board") == "Larch 158"
