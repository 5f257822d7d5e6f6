"""Every command: exit codes, streams apart, one JSON object of the contract's shape, help, a place in the README."""

from __future__ import annotations

import json
import re
from math import isfinite

import pytest
import yaml

from advisor import __version__
from advisor.cli import arguments as command_line
from advisor.cli import main
from advisor.cli.exits import Exit
from advisor.errors import AdvisorError
from advisor.geometry.measuring import measure_all
from advisor.geometry.register import MEASURES
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import parse_sheet, read_sheet
from advisor.sheet.resolve import resolve
from tests.cli.running import DEMO, advisor, process
from tests.conftest import ROOT

COMMANDS = sorted(command_line.COMMANDS)
ANSWERS = ("--answer", "snow=hard", "--answer", "toe_scuff=don't know", "--answer", "heel_scuff=don't know")


# ------------------------------------------------------------------ help and README


def test_there_are_commands() -> None:
    assert {"measure", "advise", "try", "match", "trees", "replay"} <= set(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_with_an_example_and_is_in_the_readme(command: str) -> None:
    ran = advisor(command, "--help")
    assert (ran.code, ran.err) == (Exit.DONE, "")
    assert "example: advisor" in ran.out
    assert f"`advisor {command}" in (ROOT / "README.md").read_text(encoding="utf-8")


def test_help_lists_every_command_with_words() -> None:
    ran = advisor("--help")
    assert ran.code == Exit.DONE
    for command in COMMANDS:
        assert re.search(rf"^ +{command} +\w", ran.out, re.M), command


def test_every_word_of_the_conversation_is_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    talk = yaml.safe_load((ROOT / "trees" / "talk.yaml").read_text(encoding="utf-8"))
    for command in talk["commands"].values():
        assert f"`{command['words'][0]}" in readme, command["words"][0]


def _first_cells() -> list[list[str]]:
    """Return what each row of the README's tables has in its first cell between backticks."""
    rows = [line for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines() if line.startswith("| `")]
    return [re.findall(r"`([^`]+)`", re.split(r"(?<!\\)\|", row)[1]) for row in rows]


def test_no_row_of_the_readme_stands_twice() -> None:
    said = [words for cell in _first_cells() for words in cell]
    assert sorted(said) == sorted(set(said))


def test_every_command_named_in_a_row_of_the_readme_is_one() -> None:
    named = [words.split()[1] for cell in _first_cells() for words in cell if re.match(r"advisor [a-z]", words)]
    assert set(named) == set(COMMANDS)


def test_version() -> None:
    assert advisor("--version").out == f"advisor {__version__}\n"


# ------------------------------------------------------------------ measure


def test_measure_json_has_every_measure_with_the_contracts_fields() -> None:
    ran = advisor("measure", DEMO, "--json")
    assert (ran.code, ran.err) == (Exit.DONE, "")
    measures = ran.json["measures"]
    assert set(measures) == set(MEASURES)
    for told in measures.values():
        for place in [told] if "value" in told else [told["front"], told["back"]]:
            numbers = [one["number"] for one in place.get("inputs", ())]
            assert len(numbers) == len(set(numbers))
    fields = {"value", "unit", "plus_minus", "formula", "source"}
    for told in measures.values():
        places = [told] if "value" in told else [told["front"], told["back"]]
        for place in places:
            assert fields <= set(place)


def test_measure_json_numbers_are_the_cores() -> None:
    measures = advisor("measure", DEMO, "--json").json["measures"]
    for one in measure_all(resolve(read_sheet(DEMO), load_practice())).values():
        told = measures[one.measure.id]
        for part in (one.place.side, one.place.edge):
            told = told[part] if part else told
        assert told["value"] == pytest.approx(one.value, abs=1e-6)
        assert told["plus_minus"] == pytest.approx(one.plus_minus, abs=1e-6)


def test_measure_of_an_empty_sheet_says_what_is_missing(tmp_path) -> None:
    sheet = tmp_path / "little.yaml"
    sheet.write_text("schema: 1\n")
    told = advisor("measure", sheet, "--json").json["measures"]["heel_margin_deg"]["back"]
    assert told["value"] is None
    assert "boots.outsole_length_mm" in told["needs"]
    assert "needs bindings.toe_ramp_mm, boots.outsole_length_mm" in re.sub(r"\s+", " ", advisor("measure", sheet).out)


# ------------------------------------------------------------------ advise


def test_advise_json_has_the_contracts_shape_and_a_sheet_that_reads_back() -> None:
    ran = advisor("advise", DEMO, "--entry", "boot_off_centre", *ANSWERS, "--json")
    assert (ran.code, ran.err) == (Exit.DONE, "")
    told = ran.json
    wanted = {"outcome", "needs", "cause", "adjustments", "sheet_after", "before", "after", "trail", "cautions"}
    assert wanted <= set(told)
    assert told["outcome"] == "advice"
    assert told["needs"] == []
    after = parse_sheet(json.dumps(told["sheet_after"]).encode(), "after.json")
    for change in told["adjustments"]:
        assert {"id", "foot", "from", "to", "by", "unit"} <= set(change)
        assert after.value(change["field"]) == change["to"]
    measured = measure_all(resolve(after, load_practice()))
    for side in ("front", "back"):
        assert told["after"]["overhang_split_mm"][side]["value"] == pytest.approx(
            measured[f"overhang_split_mm.{side}"].value, abs=1e-6
        )


def test_advise_without_what_it_needs_says_so_and_is_no_error(tmp_path) -> None:
    sheet = tmp_path / "little.yaml"
    sheet.write_text("schema: 1\n")
    told = advisor("advise", sheet, "--entry", "boot_off_centre", "--json").json
    assert told["outcome"] == "needs"
    assert {"key", "question", "kind", "options", "how", "why"} <= set(told["needs"][0])
    plain = advisor("advise", sheet, "--entry", "boot_off_centre")
    assert plain.code == Exit.DONE
    assert f"still needed: --answer {told['needs'][0]['key']}=..." in plain.err


@pytest.mark.parametrize(
    ("answer", "words"),
    [
        ("snow", "expected KEY=VALUE"),
        ("snoe=hard", "snow"),
        ("snow=lava", "hard, soft, powder"),
        ("=", "expected KEY=VALUE"),
        ("boots.outsole_length_mm=banana", "boots.outsole_length_mm"),
        ("mount.front.angle_deg=-73", "expected -60"),
    ],
)
def test_an_answer_that_does_not_fit_is_one_message_and_exit_2(answer: str, words: str) -> None:
    ran = advisor("advise", DEMO, "--entry", "heel_washout", "--answer", answer, "--json")
    assert ran.code == Exit.BAD_INPUT and ran.json["faults"]
    assert words in ran.err


def test_an_entry_that_is_not_there_names_the_nearest() -> None:
    ran = advisor("advise", DEMO, "--entry", "heel_washuot", "--json")
    assert ran.code == Exit.BAD_INPUT and ran.json["faults"]
    assert "heel_washout" in ran.err


# ------------------------------------------------------------------ try, match, trees, replay


def test_try_json_has_before_and_after_and_leaves_the_file() -> None:
    before = DEMO.read_bytes()
    told = advisor("try", DEMO, "mount.back.slot_mm=3", "--json").json
    assert told["sheet_after"]["mount"]["back"]["slot_mm"] == 3
    effects = {one["measure"]: one for one in told["effects"]}
    # The binding slides 7 mm square to the edge, and the back foot stands square to it (angle 0).
    offset = effects["boot_offset_mm.back"]
    assert offset["after"] - offset["before"] == pytest.approx(7)
    assert DEMO.read_bytes() == before


@pytest.mark.parametrize(
    "change", ["mount.back.slot_mm", "mount.back.slott_mm=3", "mount.back.slot_mm=wide", "mount.back.row=5", "=3"]
)
def test_try_says_what_is_wrong(change: str) -> None:
    ran = advisor("try", DEMO, change)
    assert (ran.code, ran.out) == (Exit.BAD_INPUT, "")
    assert ran.err.strip()


def test_match_json_is_ranked() -> None:
    told = advisor("match", "my heel edge lets go on hard snow", "--json").json
    assert told["understood"] is True
    assert told["matches"][0]["id"] == "heel_washout"
    scores = [one["score"] for one in told["matches"]]
    assert scores == sorted(scores, reverse=True)


def test_match_of_something_else_is_not_understood() -> None:
    assert advisor("match", "what time is the train to the airport", "--json").json["understood"] is False


def test_replay_tells_a_recording_that_differs(tmp_path) -> None:
    recording = tmp_path / "bad.talk.yaml"
    recording.write_text("scenario: invented\nsheet: ''\nturns:\n- {say: help, reply: something else}\n")
    ran = advisor("replay", recording)
    assert ran.code == Exit.NO
    assert "differs" in ran.out
    assert advisor("replay", "--record", recording).code == Exit.DONE
    assert advisor("replay", recording).code == Exit.DONE


def test_replay_json_is_one_object_with_every_file(tmp_path) -> None:
    recording = tmp_path / "bad.talk.yaml"
    recording.write_text("scenario: invented\nsheet: ''\nturns:\n- {say: help, reply: something else}\n")
    ran = advisor("replay", recording, "--json")
    assert ran.code == Exit.NO
    assert ran.json["same"] is False
    (told,) = ran.json["files"]
    assert told["file"] == str(recording) and told["turns"] == 1
    assert any(line == "-something else" for line in told["differences"])


def test_a_conversation_for_programs_is_one_object_a_turn() -> None:
    ran = advisor("--sheet", DEMO, "--json", typed="my heel edge lets go on hard snow\nno\nstop\n")
    assert (ran.code, ran.err) == (Exit.DONE, "")
    turns = [json.loads(line) for line in ran.out.splitlines()]
    assert [turn["said"] for turn in turns] == ["", "my heel edge lets go on hard snow", "no", "stop"]
    assert [turn["kind"] for turn in turns] == ["greeted", "asked", "answered", "stopped"]
    assert [turn["done"] for turn in turns] == [False, False, False, True]
    asked, answered = turns[1], turns[2]
    assert set(asked["question"]["options"]) == {"yes", "no"} and asked["answer"] is None
    given = ("--answer", "binding_play=no", "--answer", "snow=hard", "--answer", "side=heel")
    same = advisor("advise", DEMO, "--entry", "heel_washout", *given, "--json").json
    assert answered["answer"]["adjustments"] == same["adjustments"] != []


def test_json_may_stand_before_the_command() -> None:
    assert advisor("--json", "measure", DEMO).json == advisor("measure", DEMO, "--json").json


@pytest.mark.parametrize("content", ["", "turns: 3", "turns: [3]", "turns: [{say: 4}]", "a: [", "\x00"])
def test_a_recording_that_is_none_is_one_message(tmp_path, content: str) -> None:
    recording = tmp_path / "bad.talk.yaml"
    recording.write_text(content)
    ran = advisor("replay", recording)
    assert ran.code == Exit.BAD_INPUT
    assert str(recording) in ran.err


# ------------------------------------------------------------------ exit codes and faults


@pytest.mark.parametrize(
    "given", [["measure"], ["nosuch"], ["measure", DEMO, "--what"], ["advise", DEMO], ["--units", "cubits"]]
)
def test_wrong_arguments_are_exit_2_on_stderr(given: list) -> None:
    ran = advisor(*given)
    assert (ran.code, ran.out) == (Exit.BAD_INPUT, "")
    assert "usage: advisor" in ran.err or "advisor --help" in ran.err


def test_a_fault_of_the_advisor_is_exit_70_without_a_traceback(monkeypatch) -> None:
    def broken(*_: object) -> int:
        raise ZeroDivisionError("\x1b[31mboom")

    monkeypatch.setattr(main, "_command", broken)
    ran = advisor("measure", DEMO)
    assert (ran.code, ran.out) == (Exit.BROKEN, "")
    assert "at fault" in ran.err and "Traceback" not in ran.err and "\x1b" not in ran.err


def test_an_interruption_is_exit_130(monkeypatch) -> None:
    def interrupted(*_: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr(main, "_command", interrupted)
    assert advisor("measure", DEMO).code == Exit.INTERRUPTED == 130


def test_bad_input_is_exit_2(monkeypatch) -> None:
    def wrong(*_: object) -> int:
        raise AdvisorError("field x: expected y, found z")

    monkeypatch.setattr(main, "_command", wrong)
    ran = advisor("measure", DEMO, "--json")
    assert (ran.code, ran.json["faults"], ran.err) == (
        2,
        ["field x: expected y, found z"],
        "field x: expected y, found z\n",
    )


# ------------------------------------------------------------------ options


@pytest.mark.parametrize("order", [("--units", "imperial", "measure", DEMO), ("measure", DEMO, "--units", "imperial")])
def test_units_may_be_named_before_or_after_the_command(order: tuple) -> None:
    told = advisor(*order).out
    values = [line for line in told.splitlines() if line.startswith(("front ", "back "))]
    assert any(" in " in line for line in values)
    assert " mph" in told


def test_json_stays_metric() -> None:
    assert advisor("--units", "imperial", "measure", DEMO, "--json").out == advisor("measure", DEMO, "--json").out


@pytest.mark.parametrize(
    "arguments",
    [("measure", DEMO), ("advise", DEMO, "--entry", "heel_washout", *ANSWERS), ("try", DEMO, "mount.back.slot_mm=3")],
)
@pytest.mark.parametrize("columns", [40, 80, 120])
def test_no_line_is_wider_than_columns(arguments: tuple, columns: int) -> None:
    told = advisor(*arguments, environ={"COLUMNS": str(columns)})
    assert told.code == Exit.DONE
    assert max(map(len, told.out.splitlines())) <= columns


@pytest.mark.parametrize("columns", ["0", "-3", "wide", "", "99999", "1"])
def test_columns_that_make_no_sense_are_passed_over(columns: str) -> None:
    told = advisor("measure", DEMO, environ={"COLUMNS": columns})
    assert 40 <= max(map(len, told.out.splitlines())) <= 120


def test_plain_has_only_ascii_pictures_and_no_escape() -> None:
    told = advisor("--plain", "advise", DEMO, "--entry", "heel_washout", *ANSWERS).out
    assert set(told) - {chr(code) for code in range(32, 127)} <= set("\n°±²³·×")


def test_a_process_says_the_same_as_the_call_and_keeps_its_streams_apart() -> None:
    ran = process("measure", DEMO, "--json")
    assert (ran.code, ran.err) == (0, "")
    assert ran.json["measures"] == advisor("measure", DEMO, "--json").json["measures"]


def test_every_json_number_is_finite() -> None:
    def numbers(told: object) -> list[float]:
        if isinstance(told, dict):
            return [n for value in told.values() for n in numbers(value)]
        if isinstance(told, list):
            return [n for value in told for n in numbers(value)]
        return [told] if isinstance(told, float) else []

    for arguments in (
        ("measure", DEMO),
        ("advise", DEMO, "--entry", "heel_washout", *ANSWERS),
        ("try", DEMO, "mount.back.slot_mm=3"),
    ):
        assert all(isfinite(n) for n in numbers(advisor(*arguments, "--json").json))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("drll",), "no command 'drll'; did you mean 'drill'"), (("cases", "lst"), "did you mean 'list'"),
        (("--shet", "x"), "no option --shet; did you mean --sheet"),
        (("measure", "x.yaml", "--jsn"), "did you mean --json"),
        (("--colour",), "no option --colour"),
    ],
)  # fmt: skip
def test_a_mistyped_command_or_option_is_named_with_what_was_meant(arguments: tuple[str, ...], words: str) -> None:
    ran = advisor(*arguments)
    assert (ran.code, ran.out) == (Exit.BAD_INPUT, "") and words in ran.err and len(ran.err.splitlines()) == 2


@pytest.mark.parametrize("shell", ["bash", "zsh", "tcsh"])
def test_a_shells_completion_knows_every_command(shell: str) -> None:
    ran = advisor("completion", shell)
    assert ran.code == Exit.DONE and all(command in ran.out for command in COMMANDS)


def test_the_man_page_has_every_command_and_is_one() -> None:
    ran = advisor("manual")
    assert ran.out.startswith(".TH ADVISOR") and all(
        f"advisor {command}" in ran.out.replace("\\", "") for command in COMMANDS
    )
