"""Files that never end, terminals that can't show what is said, settings that make no sense: a plain word, at once."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.cli.exits import Exit
from tests.cli.running import DEMO, advisor, process
from tests.conftest import ROOT


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
@pytest.mark.parametrize("arguments", [("measure",), ("replay",), ("--sheet",), ("cases", "import")])
def test_a_named_pipe_is_refused_and_not_waited_for(tmp_path: Path, arguments: tuple[str, ...]) -> None:
    pipe = tmp_path / "sheet.yaml"
    os.mkfifo(pipe)
    ran = process(*arguments, pipe, environ={"ADVISOR_DATA": str(tmp_path)})
    assert ran.code == Exit.BAD_INPUT and "no ordinary file" in ran.err


@pytest.mark.parametrize("encoding", ["latin-1", "ascii", "cp850", "utf-8"])
def test_a_terminal_of_any_encoding_gets_its_answer(encoding: str) -> None:
    pexpect = pytest.importorskip("pexpect")
    environ = {**os.environ, "PYTHONIOENCODING": encoding, "TERM": "xterm", "PYTHONUTF8": "0"}
    child = pexpect.spawn(
        sys.executable, ["-m", "advisor", "--sheet", str(DEMO)], cwd=str(ROOT), env=environ, timeout=30,
        dimensions=(50, 80),
    )  # fmt: skip
    child.expect("What does the rider say")
    child.send("\x1b[1;1R")
    child.send("picture\r")
    child.expect("Along the board")
    child.expect_exact("\x1b[?2004h")  # the prompt is back: what is sent before that, the terminal keeps for itself
    child.sendeof()
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == Exit.DONE


@pytest.mark.parametrize("columns", ["²", "9" * 400, "-3", "0"])
def test_a_width_that_makes_no_sense_is_passed_over(columns: str) -> None:
    environ = {**os.environ, "COLUMNS": columns}
    ran = subprocess.run([sys.executable, "-m", "advisor", "--help"], env=environ, cwd=ROOT, capture_output=True)
    assert ran.returncode == Exit.DONE


def test_for_a_program_errors_are_json_too(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.yaml"
    sheet.write_text("schema: 1\nbord: {}\nrider: {height_cm: tall}\n")
    ran = advisor("measure", sheet, "--json")
    assert ran.code == Exit.BAD_INPUT and ran.json["error"] == "SheetError" and len(ran.json["faults"]) == 2
    assert "did you mean board" in ran.err
