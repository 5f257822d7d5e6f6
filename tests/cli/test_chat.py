"""The conversation through a pipe, and the line editor without a terminal."""

from __future__ import annotations

import io
import os
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from prompt_toolkit.input import PipeInput, create_pipe_input
from prompt_toolkit.output import DummyOutput

from advisor.cli import chat, kept_case
from advisor.cli.exits import Exit
from advisor.cli.prompting import Prompt
from advisor.cli.surroundings import Surroundings
from advisor.dialogue.talk import Conversation, State
from advisor.errors import AdvisorError
from advisor.sheet.reading import read_sheet
from tests.cli.running import DEMO, advisor, process
from tests.dialogue.test_talk import SHARP_BEVEL, new_conversation


@pytest.fixture(autouse=True)
def own_data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep cases in a folder of the test's own."""
    monkeypatch.setattr(kept_case, "kept_folder", lambda _: tmp_path / "data" / "kept")
    return tmp_path / "data" / "kept_case.json"


# ------------------------------------------------------------------ through a pipe


def test_a_complaint_through_a_pipe_is_answered() -> None:
    ran = advisor("--sheet", DEMO, typed="where should my boots sit between the edges\n")
    assert (ran.code, ran.err) == (Exit.DONE, "")
    assert "> where should my boots sit" in ran.out
    assert "'more' tells all numbers" in ran.out


def test_a_question_left_open_is_named_on_stderr_with_exit_2() -> None:
    ran = advisor(typed="my heel edge lets go\n")
    assert ran.code == Exit.BAD_INPUT
    assert ran.err.startswith("the input ended with a question open: ")


@pytest.mark.parametrize("typed", ["", "\n\n  \n"])
def test_no_complaint_is_exit_2(typed: str) -> None:
    ran = advisor(typed=typed)
    assert ran.code == Exit.BAD_INPUT
    assert "without a complaint" in ran.err


def test_stop_ends_before_what_follows() -> None:
    ran = advisor(typed="stop\nmy heel edge lets go\n")
    assert ran.code == Exit.DONE
    assert "my heel edge" not in ran.out


def test_a_reader_that_goes_away_ends_it_quietly() -> None:
    import subprocess
    import sys

    from tests.conftest import ROOT

    command = f'"{sys.executable}" -m advisor measure "{DEMO}" | head -1'
    done = subprocess.run(["bash", "-c", command], capture_output=True, cwd=ROOT, timeout=60, check=False)
    assert len(done.stdout.splitlines()) == 1
    assert done.stderr == b""


def test_a_fault_of_the_advisor_leaves_the_case_and_shows_no_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    real = Conversation.hear

    def hear(self: Conversation, state: State, line: str) -> object:
        if line.strip() == "break":
            raise ZeroDivisionError
        return real(self, state, line)

    monkeypatch.setattr(Conversation, "hear", hear)
    ran = advisor("--sheet", DEMO, typed="try back slot 3\nbreak\ntry back slot 3\n")
    assert ran.out.count("With back slot 3 mm:") == 2
    assert "at fault here (ZeroDivisionError)" in ran.out


def test_no_color_and_a_dumb_terminal_have_no_escapes_in_a_process() -> None:
    for environ in ({"NO_COLOR": "1"}, {"TERM": "dumb"}, {}):
        assert "\x1b" not in process("--sheet", DEMO, typed=b"help\npicture\n", environ=environ).out


# ------------------------------------------------------------------ taken up again


def test_resume_without_a_kept_case_says_so() -> None:
    ran = advisor("--resume", typed="help\n")
    assert (ran.code, ran.out) == (Exit.BAD_INPUT, "")
    assert "no case is kept" in ran.err


def test_resume_brings_its_own_sheet() -> None:
    assert "leave --sheet out" in advisor("--resume", "--sheet", DEMO).err


def test_a_kept_case_is_taken_up_at_its_question(own_data_folder: Path) -> None:
    from advisor.dialogue.keeping import keep

    talk = chat.start(chat.load_knowledge())
    state = talk.hear(talk.begin(read_sheet(DEMO).without("rider.tilt_deg"))[0], "the edge chatters")[0]
    kept = kept_case.KeptCase({})
    kept.write(keep(state))
    assert kept.file.stat().st_mode & 0o077 == 0
    assert "larchfall" not in kept.file.read_text()
    ran = advisor("--resume", typed="help\n")
    question = state.question
    if question:
        assert question.fact.question.split()[0] in ran.out
    assert ran.code in {Exit.DONE, Exit.BAD_INPUT}


@pytest.mark.parametrize("content", ["", "{", "[]", "3", '{"kept": 1}', '{"kept": 1, "sheet": 3}', "\x00", "[" * 10000])
def test_a_kept_file_that_is_none_is_one_message(own_data_folder: Path, content: str) -> None:
    own_data_folder.parent.mkdir(parents=True)
    own_data_folder.write_text(content)
    ran = advisor("--resume", typed="help\n")
    assert (ran.code, ran.out) == (Exit.BAD_INPUT, "")
    assert len(ran.err.splitlines()) == 1


# ------------------------------------------------------------------ the line editor


@pytest.fixture
def keys() -> Iterator[PipeInput]:
    with create_pipe_input() as pipe:
        yield pipe


def prompt_on(keys: PipeInput, *options: str) -> tuple[Prompt, io.StringIO]:
    out = io.StringIO()
    around = Surroundings(io.StringIO(), out, io.StringIO(), {})
    return Prompt(around, lambda: options, None, keys, DummyOutput()), out


def test_a_line_is_returned(keys: PipeInput) -> None:
    prompt, _ = prompt_on(keys)
    keys.send_text("my heel edge lets go\r")
    assert prompt.ask(State(SHARP_BEVEL)) == "my heel edge lets go"


@pytest.mark.parametrize("typed", ["sha", "along", "SHARP"])
def test_tab_completes_to_what_can_be_said_now(keys: PipeInput, typed: str) -> None:
    prompt, _ = prompt_on(keys, "dull somewhere", "sharp all along", "don't know")
    keys.send_text(f"{typed}\t")
    # The line editor looks for completions beside the typing: Enter comes when it has found them, as from a hand.
    enter = threading.Timer(0.5, keys.send_text, ["\r"])
    enter.start()
    assert prompt.ask(State(SHARP_BEVEL)) == "sharp all along"
    enter.join()


def test_ctrl_c_drops_the_line_and_keeps_the_case(keys: PipeInput) -> None:
    prompt, out = prompt_on(keys)
    keys.send_text("half a li\x03yes\r")
    assert prompt.ask(State(SHARP_BEVEL)) == "yes"
    assert "the case is kept" in out.getvalue()


def test_ctrl_d_ends_on_an_empty_line_only(keys: PipeInput) -> None:
    prompt, _ = prompt_on(keys)
    keys.send_text("ab\x1b[D\x04\r\x04")  # in a line it deletes the character at the cursor
    assert prompt.ask(State(SHARP_BEVEL)) == "a"
    assert prompt.ask(State(SHARP_BEVEL)) is None


def test_lines_pasted_together_are_one_turn(keys: PipeInput) -> None:
    prompt, _ = prompt_on(keys)
    keys.send_text("\x1b[200~my heel edge\nlets go\nyes\x1b[201~\r")
    pasted = prompt.ask(State(SHARP_BEVEL))
    assert pasted == "my heel edge\nlets go\nyes"
    talk = new_conversation()
    state, _ = talk.hear(talk.begin(SHARP_BEVEL)[0], "it\nslides\n")
    assert state.said == ("it slides",)


def test_the_line_before_comes_back_with_the_up_key(keys: PipeInput) -> None:
    prompt, _ = prompt_on(keys)
    keys.send_text("first\r")
    prompt.ask(State(SHARP_BEVEL))
    keys.send_text("\x1b[A\r")
    assert prompt.ask(State(SHARP_BEVEL)) == "first"


def test_what_was_typed_is_written_nowhere(keys: PipeInput, tmp_path: Path) -> None:
    prompt, _ = prompt_on(keys)
    keys.send_text("Anna says it slides\r")
    prompt.ask(State(SHARP_BEVEL))
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == []


def test_each_window_has_a_case_of_its_own_and_resume_takes_the_last_or_the_one_named() -> None:
    first, second, third = (kept_case.KeptCase({}) for _ in range(3))
    first.write({"kept": 1, "words": "å"})
    os.utime(first.file, (1, 1))
    second.write({"kept": 1, "words": "second"})
    assert third.take(2) == ({"kept": 1, "words": "å"}, 1)
    assert not first.file.exists() and third.file.exists()
    with pytest.raises(AdvisorError, match="from 1 to 2"):
        kept_case.KeptCase({}).take(3)
    third.forget()
    second.forget()
    second.forget()
    with pytest.raises(AdvisorError, match="no case is kept"):
        kept_case.KeptCase({}).take(1)


def test_what_was_just_taught_is_taken_back_by_back_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from advisor.match.shop import read_file, shop_file

    monkeypatch.setenv("ADVISOR_DATA", str(tmp_path))
    monkeypatch.delenv("ADVISOR_SHOP", raising=False)
    lines = ["it goes all wibbly like pudding", "meant unstable_at_speed", "remember"]
    advisor("--plain", typed="\n".join(lines))
    assert [phrase.entry for phrase in read_file(shop_file())[0]] == ["unstable_at_speed"]
    advisor("--plain", typed="\n".join([*lines, "back up"]))
    assert read_file(shop_file()) == ([], [])
