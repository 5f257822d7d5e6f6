"""Files that are hardly YAML: each gives a located fault, and none takes long or tells a terminal what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.knowledge.fault import Fault
from advisor.knowledge.lined_yaml import read
from tests.graph.making import faults_of, write
from tests.graph.sound_world import SOUND

LAUGHS = "a: &a [x, x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{chr(98 + i)}: &{chr(98 + i)} [{', '.join(['*' + chr(97 + i)] * 10)}]\n" for i in range(8)
)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("", 1, "is this file empty?"),
        ("- a\n- b\n", 1, "is this file empty?"),
        ("a: 1\n b: 2\n", 2, "is this YAML?"),
        ("a: [1, 2\nb: 3\n", 2, "is this YAML?"),
        ("a: 1\na: 2\n", 2, "stands on line 1 already"),
        ("a: &x {b: *x}\n", 1, "refer to itself"),
        ("a: !!python/object:os.system x\n", 1, "what is this value?"),
        ("a: !!int x\n", 1, "what is this value?"),
        ("a: 2026-13-45\n", 1, "what is this value?"),
        ("a: " + "[" * 5000, 0, "nest so deep"),
        ("a: " + "{b: " * 3000, 0, "nest so deep"),
        ("- " * 5000, 0, "nest so deep"),
        (LAUGHS, 0, "says too much"),
        ("a: \x07\n", 1, "is this YAML?"),
    ],
)
def test_a_strange_file_gives_a_located_fault(tmp_path: Path, text: str, line: int, words: str) -> None:
    path = tmp_path / "x.yaml"
    path.write_text(text, encoding="utf-8")
    faults: list[Fault] = []
    read(path, "trees/x.yaml", faults)
    assert [(fault.line, words in fault.words) for fault in faults][:1] == [(line, True)], faults


def test_a_file_that_is_no_text_is_named(tmp_path: Path) -> None:
    (tmp_path / "x.yaml").write_bytes(b"\xff\xfe\x00")
    faults: list[Fault] = []
    assert read(tmp_path / "x.yaml", "trees/x.yaml", faults) is None
    assert "no UTF-8 text" in faults[0].words


def test_yes_and_no_stay_answers_and_numbers_stay_numbers(tmp_path: Path) -> None:
    (tmp_path / "x.yaml").write_text("yes: no\non: off\nt: true\nn: 1.5\n", encoding="utf-8")
    document = read(tmp_path / "x.yaml", "x", [])
    assert document is not None
    assert document.content == {"yes": "no", "on": "off", "t": True, "n": 1.5}


def test_control_characters_in_a_text_are_refused_and_not_shown(tmp_path: Path) -> None:
    text = SOUND["causes/edge_dull.yaml"].replace("A rounded edge", "A \\e[31mrounded edge")
    faults = faults_of(write(tmp_path, {**SOUND, "causes/edge_dull.yaml": text}))
    assert [(f.file, f.line) for f in faults] == [("trees/causes/edge_dull.yaml", 3)]
    assert "U+001B" in faults[0].words
    assert "\x1b" not in str(faults[0])


def test_a_misspelt_field_is_named_with_its_line_and_the_right_name(tmp_path: Path) -> None:
    text = SOUND["parts/dull_edge.yaml"].replace("how_so:", "how_os:")
    faults = faults_of(write(tmp_path, {**SOUND, "parts/dull_edge.yaml": text}))
    assert ("trees/parts/dull_edge.yaml", 7) in [(f.file, f.line) for f in faults]
    assert any("did you mean 'how_so'?" in fault.words for fault in faults)


def test_a_number_in_quotes_is_no_number(tmp_path: Path) -> None:
    text = SOUND["entries/sore_knee.yaml"].replace("{below: 6,", '{below: "6",')
    faults = faults_of(write(tmp_path, {**SOUND, "entries/sore_knee.yaml": text}))
    assert [(f.line, "nodes.tip_splay.branches.0.below" in f.words) for f in faults] == [(44, True)]
