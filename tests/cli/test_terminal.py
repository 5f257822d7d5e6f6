"""A few conversations on a real terminal of 24 lines, with the screen as a person would see it."""

from __future__ import annotations

import os
import re
import signal
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.cli.running import DEMO, process
from tests.conftest import ROOT

pexpect = pytest.importorskip("pexpect")
pyte = pytest.importorskip("pyte")

LIMIT_S = 10


class Terminal:
    """`advisor` on a pseudo-terminal, its output kept as a screen."""

    def __init__(self, data: Path, *arguments: str, columns: int = 80, lines: int = 24, **environ: str) -> None:
        kept = {key: value for key, value in os.environ.items() if key not in {"NO_COLOR", "COLUMNS", "LINES", "TERM"}}
        self.screen = pyte.Screen(columns, lines)
        self.stream = pyte.ByteStream(self.screen)
        self.raw = b""
        self.environ = {"XDG_DATA_HOME": str(data), **environ}
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "advisor", *arguments],
            dimensions=(lines, columns),
            cwd=str(ROOT),
            timeout=LIMIT_S,
            env={**kept, "TERM": "xterm-256color", "PYTHONUTF8": "1", **self.environ},
        )

    def read_until(self, words: str) -> str:
        """Read until words stand on the screen, answering the terminal's questions; fail with the screen."""
        until = time.monotonic() + LIMIT_S
        while time.monotonic() < until:
            if words in self.shown:
                return self.shown
            self.read_some()
        assert words in self.shown, f"expected {words!r} on the screen, found:\n{self.shown}"
        return self.shown

    def read_some(self) -> None:
        """Read what has been written within a tenth of a second, and answer where the cursor is."""
        try:
            data = self.child.read_nonblocking(65536, 0.1)
        except (pexpect.TIMEOUT, pexpect.EOF):
            return
        if b"\x1b[6n" in data:
            self.child.send(f"\x1b[{self.screen.cursor.y + 1};{self.screen.cursor.x + 1}R")
        self.raw += data
        self.stream.feed(data)

    def say(self, line: str) -> None:
        """Type a line."""
        self.child.send(f"{line}\r")

    @property
    def shown(self) -> str:
        """Return the visible screen."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def leave(self) -> int:
        """Wait for the prompt, end the input there, and return the exit code."""
        until = time.monotonic() + LIMIT_S
        while self.shown.rstrip().rpartition("\n")[2] not in {">", "answer>"} and time.monotonic() < until:
            self.read_some()
        self.child.sendeof()
        return self.end()

    def end(self) -> int:
        """Wait for the end and return the exit code."""
        while True:
            try:
                self.raw += (data := self.child.read_nonblocking(65536, LIMIT_S))
                self.stream.feed(data)
            except pexpect.EOF:
                break
        self.child.close()
        return int(self.child.exitstatus)


@pytest.fixture
def data(tmp_path: Path) -> Iterator[Path]:
    yield tmp_path / "data"


def test_a_whole_complaint_ends_with_what_to_do_still_on_the_screen(data: Path) -> None:
    terminal = Terminal(data, "--sheet", str(DEMO))
    terminal.read_until("\n>")
    terminal.say("where should my boots sit between the edges")
    terminal.read_until("'done' when it is made")
    shown = terminal.read_until("\n>")
    todo = shown.partition("Do this\n")[2]
    assert re.search(r"Slide the back binding \d+ mm toward the toe edge", todo)
    assert "Why: " in todo and "Mind: " in todo and "'more' tells all" in todo
    assert max(map(len, shown.splitlines())) <= 80
    assert terminal.leave() == 0
    assert b"\x1b[5m" not in terminal.raw  # nothing blinks
    assert not list(data.rglob("*.json"))  # an answered case is not kept


def test_an_open_case_is_kept_at_ctrl_d_and_taken_up_again(data: Path) -> None:
    terminal = Terminal(data)
    terminal.read_until("\n>")
    terminal.say("my heel edge lets go")
    terminal.read_until("answer>")
    terminal.child.send("half a word\x03")
    terminal.read_until("Line dropped")
    assert terminal.leave() == 0
    assert "--resume" in terminal.shown
    kept = list(data.rglob("kept/*.json"))
    assert len(kept) == 1
    assert "lets go" not in kept[0].read_text(encoding="utf-8")
    again = Terminal(data, "--resume")
    again.read_until("answer>")
    again.say("stop")
    assert again.end() == 0


def test_a_narrower_window_is_written_into_from_the_next_reply_on(data: Path) -> None:
    terminal = Terminal(data, "--sheet", str(DEMO), columns=100, lines=40)
    terminal.read_until("\n>")
    terminal.child.setwinsize(40, 60)
    terminal.screen.resize(40, 60)
    time.sleep(0.2)
    terminal.say("help")
    terminal.read_until("these words")
    assert terminal.leave() == 0
    assert max(map(len, terminal.shown.splitlines())) <= 60


@pytest.mark.parametrize(("environ", "arguments"), [({"NO_COLOR": "1"}, []), ({}, ["--plain"])])
def test_without_colour_no_colour_is_sent(data: Path, environ: dict[str, str], arguments: list[str]) -> None:
    terminal = Terminal(data, *arguments, "--sheet", str(DEMO), **environ)
    terminal.read_until("\n>")
    terminal.say("try back slot 3")
    terminal.read_until("Nothing has been changed")
    assert terminal.leave() == 0
    import re

    colours = re.findall(rb"\x1b\[(?:\d+;)*(?:3[0-7]|4[0-7]|9[0-7]|38|48)(?:;\d+)*m", terminal.raw)
    assert colours == []


def test_a_dumb_terminal_gets_plain_lines(data: Path) -> None:
    terminal = Terminal(data, "--sheet", str(DEMO), TERM="dumb")
    terminal.read_until("What does the rider say?")
    terminal.say("picture")
    terminal.read_until("Along the board")
    terminal.child.sendeof()
    terminal.end()
    assert b"\x1b" not in terminal.raw


@pytest.mark.parametrize("ended_by", [signal.SIGHUP, signal.SIGTERM])
def test_a_closed_window_costs_nothing(data: Path, ended_by: signal.Signals) -> None:
    terminal = Terminal(data, "--customer", "Kim 7")
    terminal.read_until("\n>")
    terminal.say("my heel edge lets go")
    terminal.read_until("answer>")
    terminal.child.kill(ended_by)
    terminal.child.expect(pexpect.EOF, timeout=20)
    again = Terminal(data, "--resume")
    again.read_until("Taken up: ")
    again.read_until("answer>")
    again.say("stop")
    assert again.end() == 0
    told = process("cases", "list", "--json", environ=again.environ).json["cases"]
    assert [case["alias"] for case in told] == ["Kim 7"]
