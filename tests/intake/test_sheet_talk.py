"""A sheet from nothing in the talk: any order, read back, asked on, corrected, cleared, kept, exported, imported."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from advisor.cli.main import run
from advisor.cli.surroundings import Surroundings
from advisor.sheet.reading import read_sheet

LINE = "252 waist, ref 54, sole 302, +15 -6, regular, 178 cm tall"


def talk(lines: list[str], folder: Path, *arguments: str) -> tuple[str, str]:
    """Return what was said and what was noted beside it, through a pipe."""
    out, err = io.StringIO(), io.StringIO()
    environ = {"ADVISOR_SHOP": str(folder / "shop"), "ADVISOR_DATA": str(folder / "data")}
    source = io.StringIO("".join(f"{line}\n" for line in lines))
    run([*arguments, "--plain"], Surroundings(source, out, err, environ))
    return " ".join(out.getvalue().split()), err.getvalue()


def test_several_numbers_in_one_sentence_are_read_back_and_open_no_complaint(tmp_path: Path) -> None:
    out, _ = talk([LINE], tmp_path)
    for words in (
        "waist width 252 mm",
        "reference width 540 mm",
        "outsole length 302 mm",
        "height 178 cm",
        "front angle 15",
    ):
        assert words in out
    assert "Assumed until measured" in out and "±" in out
    assert "What helps most next" in out and "radius" not in out


def test_what_is_asked_next_is_answered_by_a_bare_number(tmp_path: Path) -> None:
    out, _ = talk(["new sheet", "178", "sheet"], tmp_path)
    assert "How tall is the rider?" in out
    assert "height 178 cm ± 1 cm measured" in out or "height 178 ± 1 cm measured" in out


def test_dont_know_is_free_and_asks_for_something_else(tmp_path: Path) -> None:
    out, _ = talk(["new sheet", "don't know", "don't know"], tmp_path)
    asked = [part.partition("?")[0] for part in out.split("What helps most next: ")[1:]]
    assert len(set(asked)) == 3


def test_a_value_is_corrected_by_saying_it(tmp_path: Path) -> None:
    out, _ = talk([LINE, "waist 254 not 252", "sheet"], tmp_path)
    assert "waist width 254 mm (was 252 mm)" in out
    assert "waist width 254 mm told" in out and "waist width 252 mm told" not in out


def test_a_field_is_forgotten_by_its_name(tmp_path: Path) -> None:
    out, _ = talk([LINE, "forget the waist", "sheet"], tmp_path)
    assert "Unknown again" in out and "waist width 252 mm told" not in out


def test_a_sheet_is_exported_and_imported_the_same(tmp_path: Path) -> None:
    file, page = tmp_path / "kim.yaml", tmp_path / "kim.html"
    out, _ = talk(
        [LINE, f"export sheet {file}", f"export sheet {page}", "new sheet", f"import sheet {file}", "sheet"], tmp_path
    )
    sheet = read_sheet(file)
    assert sheet.value("boots.outsole_length_mm") == 302 and sheet.value("mount.back.angle_deg") == -6
    assert "The sheet is empty" in out and "Taken from" in out and "outsole length 302 mm told" in out
    assert "302 mm" in page.read_text(encoding="utf-8")
    again, _ = talk([LINE, f"export sheet {file}"], tmp_path)
    assert "is there already" in again


def test_a_sheet_is_kept_under_an_alias_and_offered_at_the_next_visit(tmp_path: Path) -> None:
    shelf = tmp_path / "shop" / "shelf"
    shelf.mkdir(parents=True)
    (shelf / "boards.csv").write_text("label,length,waist\nLarch 158,158,254\n")
    out, _ = talk([LINE, "take larch"], tmp_path, "--customer", "Kim 7")
    assert "On the sheet now: Larch 158" in out
    out, noted = talk(["sheet"], tmp_path, "--customer", "kim 7")
    assert "Larch 158" in noted
    assert "waist width 254 mm printed" in out and "outsole length 302 mm told" in out


def test_the_shelf_says_which_where_letters_fit_several(tmp_path: Path) -> None:
    shelf = tmp_path / "shop" / "shelf"
    shelf.mkdir(parents=True)
    (shelf / "boards.csv").write_text("label,length\nLarch 158,158\nLarch 150,150\n")
    out, _ = talk(["take lar", "take pine", "take"], tmp_path)
    assert "Which one? Larch 150 (board), Larch 158 (board)" in out
    assert "Nothing on the shelf is called 'pine'" in out and "Say the label" in out


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("new sheet", "The sheet is empty"),
        ("edit sheet", "The sheet so far"),
        ("save sheet", "Say under which alias"),
        ("save sheet Kim 7", "Kept in the shop's folder as 'Kim 7'"),
        ("I want to enter a sheet", "The sheet is empty"),
        ("export sheet", "Say where to"),
        ("import sheet /nowhere/larchfall.yaml", "cannot be read"),
        ("form", "needs a terminal"),
        ("help sheet", "take larch 158"),
        ("forget the waist", "is not on the sheet"),
    ],
)
def test_everyday_lines_about_the_sheet_have_their_reply(line: str, words: str, tmp_path: Path) -> None:
    out, _ = talk([line], tmp_path)
    assert words.lower() in out.lower()


@pytest.mark.parametrize(
    "line", ["boots are too big", "board is slow from edge to edge", "bindings are biting my ankles"]
)
def test_a_complaint_that_names_the_gear_is_no_word_about_the_sheet(line: str, tmp_path: Path) -> None:
    out, _ = talk([line], tmp_path)
    assert "on the shelf" not in out and "The sheet so far" not in out and "Noted: " not in out.partition("Heard")[0]


def test_a_set_up_asked_for_in_passing_is_taken_up(tmp_path: Path) -> None:
    out, _ = talk(["set this up for a beginner", "sheet"], tmp_path)
    assert "The whole set-up" in out or "Which foot is in front" in out
    assert "style first season told" in out


def test_a_complaint_with_numbers_is_still_a_complaint(tmp_path: Path) -> None:
    out, _ = talk(["my heel edge lets go on hard snow, waist 252 and sole 302"], tmp_path)
    assert "the heel edge lets go" in out and "waist width 252 mm" in out


def test_a_doubtful_number_is_said_when_it_is_read_back(tmp_path: Path) -> None:
    out, _ = talk(["178 cm tall, sole 302, foot length 268, 172 kg"], tmp_path)
    assert "172 kg" in out and "in pounds" in out


def test_deleting_a_customer_deletes_the_kept_sheet(tmp_path: Path) -> None:
    from advisor.intake.kept_sheets import kept_aliases

    environ = {"ADVISOR_SHOP": str(tmp_path / "shop")}
    talk([LINE, "my toes touch the snow"], tmp_path, "--customer", "Kim 7")
    assert list(kept_aliases(environ)) == ["kim 7"]
    talk([], tmp_path, "cases", "delete", "Kim 7", "--yes")
    assert list(kept_aliases(environ)) == []
