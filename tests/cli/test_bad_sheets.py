"""Sheets that are wrong, through the real command: one clear message, exit 2, nothing on stdout, nothing written."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.cli.exits import Exit
from tests.cli.running import DEMO, advisor, process

DEMO_TEXT = DEMO.read_text(encoding="utf-8")
BOMB = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(
    f"{chr(98 + n)}: &{chr(98 + n)} [{','.join(['*' + chr(97 + n)] * 9)}]\n" for n in range(8)
)


def changed(old: str, new: str) -> bytes:
    assert DEMO_TEXT.count(old) >= 1
    return DEMO_TEXT.replace(old, new, 1).encode()


BAD: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "empty"),
    "binary": (bytes(range(256)) * 40, ""),
    "anchor bomb": (b"schema: 1\n" + BOMB.encode(), "anchor"),
    "deep nesting": (b"schema: 1\nrider: " + b"[" * 5000, ""),
    "unknown field": (changed("height_cm: 178", "heigth_cm: 178"), "height_cm"),
    "nan": (changed("height_cm: 178", "height_cm: .nan"), "height_cm"),
    "infinite": (changed("height_cm: 178", "height_cm: .inf"), "height_cm"),
    "negative size": (changed("waist_width_mm: 254", "waist_width_mm: -254"), "waist_width_mm"),
    "units mixed up": (changed("waist_width_mm: 254", "waist_width_mm: 25.4"), "cm"),
    "sides swapped": (changed("leading_foot: left", "leading_foot: front"), "leading_foot"),
    "a row the board lacks": (changed("row: 0", "row: 5"), "row"),
    "a duplicate field": (changed("height_cm: 178", "height_cm: 178\n  height_cm: 179"), "height_cm"),
    "no schema": (changed("schema: 1", "schema: 99"), "schema"),
    "a list": (b"- 1\n- 2\n", ""),
    "broken YAML": (b"schema: 1\nrider: {height_cm: 178\n", ""),
    "escapes in a name": (b'schema: 1\n"\\e[31mred\\e]0;title\\a": 3\n', "red"),
    "escapes in a value": (changed("leading_foot: left", 'leading_foot: "\\e[2Jleft"'), "leading_foot"),
}
COMMANDS = (("measure",), ("advise", "--entry", "heel_washout"), ("try", "mount.back.slot_mm=3"))


def with_sheet(command: tuple[str, ...], sheet: Path) -> list[str]:
    return [command[0], str(sheet), *command[1:]]


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("command", COMMANDS, ids=[one[0] for one in COMMANDS])
def test_a_wrong_sheet_is_one_clear_message(tmp_path: Path, name: str, command: tuple[str, ...]) -> None:
    content, words = BAD[name]
    sheet = tmp_path / "sheet.yaml"
    sheet.write_bytes(content)
    ran = advisor(*with_sheet(command, sheet), "--json")
    assert (ran.code, ran.json["faults"]) == (Exit.BAD_INPUT, ran.err.splitlines())
    assert str(sheet) in ran.err
    assert words in ran.err
    assert "Traceback" not in ran.err
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", ran.err)
    assert len(ran.err.splitlines()) <= 3
    assert [one.name for one in tmp_path.iterdir()] == ["sheet.yaml"]
    assert sheet.read_bytes() == content


@pytest.mark.parametrize("name", BAD)
def test_the_conversation_does_not_begin_on_a_wrong_sheet(tmp_path: Path, name: str) -> None:
    sheet = tmp_path / "sheet.yaml"
    sheet.write_bytes(BAD[name][0])
    ran = advisor("--sheet", sheet, typed="my heel edge lets go\n")
    assert (ran.code, ran.out) == (Exit.BAD_INPUT, "")


def test_all_faults_of_a_sheet_are_told_at_once_with_their_lines(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.yaml"
    sheet.write_text("schema: 1\nrider:\n  height_cm: -3\nboots:\n  ball_width_mm: wide\nboard:\n  colour: red\n")
    told = advisor("measure", sheet).err.splitlines()
    assert [re.search(r"sheet\.yaml:(\d+)", line)[1] for line in told] == ["3", "5", "7"]  # type: ignore[index]


def test_a_file_of_100_mb_is_refused_without_reading_it(tmp_path: Path) -> None:
    sheet = tmp_path / "huge.yaml"
    with sheet.open("wb") as file:
        file.truncate(100_000_000)
    ran = process("measure", sheet, "--json")
    assert (ran.code, ran.json["faults"]) == (2, ran.err.splitlines())
    assert "100.0 MB" in ran.err


@pytest.mark.parametrize("name", ["missing.yaml", ".", "x" * 300, "nul\x00byte"])
def test_a_file_that_is_none_is_one_message(tmp_path: Path, name: str) -> None:
    ran = advisor("measure", tmp_path / name)
    assert (ran.code, ran.out) == (Exit.BAD_INPUT, "")
    assert len(ran.err.splitlines()) == 1


def test_escapes_in_a_sheets_name_never_reach_the_terminal(tmp_path: Path) -> None:
    sheet = tmp_path / "a\x1b[31mred\x9b2J\u202e.yaml"
    sheet.write_bytes(DEMO.read_bytes())
    for ran in (
        advisor("--sheet", sheet, typed="help\n"),
        advisor("measure", sheet, "--json"),
        advisor("measure", str(sheet) + "gone"),
        advisor("nosuch\x1b[31m"),
        advisor("try", DEMO, "\x1b[31mred=3"),
        advisor("try", DEMO, "\x1b[31mred"),
        advisor("advise", DEMO, "--entry", "\x1b[31mred"),
        advisor("advise", DEMO, "--entry", "heel_washout", "--answer", "\x1b[31mred=\x9b2J"),
        advisor("match", "\x1b[31mred\x9b2J heel"),
        advisor(typed="\x1b[31mheel\x9b2J\u202e\x07 edge\ntry \x1b[31mred 3\nnumbers \x1b[31mred\n"),
    ):
        assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", ran.out + ran.err)


def test_bytes_that_are_no_text_are_taken_as_words_not_as_a_fault() -> None:
    ran = process(typed=b"my heel \xff\xfe edge lets go\n\x00\x01\nstop\n")
    assert ran.code == 0
    assert "at fault" not in ran.out
