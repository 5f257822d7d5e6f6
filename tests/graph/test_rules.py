"""Every rule of the proof catches its own example, at the line it should name, and nothing in the sound one."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.workshop.proof import RULES
from advisor.workshop.proof.rule import Rule
from tests.graph.making import broken, faults_of, write
from tests.graph.sound_world import CASES, SOUND, Example, examples_of

IDS = [f"{rule.name}-{examples_of(rule).index(example) + 1}" for rule, example in CASES]


def test_the_sound_example_is_sound(tmp_path: Path) -> None:
    assert [str(fault) for fault in faults_of(write(tmp_path, SOUND))] == []


@pytest.mark.parametrize(("rule", "example"), CASES, ids=IDS)
def test_a_rule_catches_its_example_and_names_the_line(rule: Rule, example: Example, tmp_path: Path) -> None:
    files = broken(example)
    found = [fault for fault in faults_of(write(tmp_path, files)) if fault.rule == rule.name]
    file, _, piece = example.at.rpartition(" > ")
    file = file or example.file
    lines = files[file].splitlines()
    wanted = [number for number, line in enumerate(lines, 1) if piece.strip("\n") in line]
    assert wanted, f"{piece!r} stands nowhere in {file}"
    places = [(fault.file, fault.line) for fault in found if example.words in fault.words]
    assert (f"trees/{file}", wanted[0]) in places, [str(fault) for fault in found]


@pytest.mark.parametrize("rule", RULES, ids=[rule.name for rule in RULES])
def test_every_rule_asks_a_question_and_has_its_own_file_by_its_number(rule: Rule) -> None:
    assert rule.asks.endswith("?")
    assert examples_of(rule)
    assert f".t{rule.number:02d}_" in rule.check.__module__


@pytest.mark.parametrize(("rule", "example"), CASES, ids=IDS)
def test_every_message_is_a_question_with_a_fix(rule: Rule, example: Example, tmp_path: Path) -> None:
    for fault in faults_of(write(tmp_path, broken(example))):
        question, _, rest = fault.words.partition("?")
        assert rest.strip(), fault.words
        assert question[0].islower(), fault.words
        assert ";" in rest or rest.strip()[0].isupper(), fault.words
