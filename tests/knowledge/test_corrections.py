"""A shop corrects single lines of the knowledge in its own folder; the install stays as it is."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.cli.exits import Exit
from advisor.graph.compiler import compile_knowledge
from advisor.graph.knowledge import load_knowledge
from advisor.graph.version import knowledge_version
from advisor.knowledge.corrections import TABLES, corrections
from advisor.knowledge.trees import Trees, authors
from advisor.knowledge_home import trees_dir
from advisor.solve.windows import load_windows, ordinary_rider
from advisor.workshop.proof import prove
from tests.cli.running import advisor

WINDOW = "overhang_split_mm:\n  good: [-1, 1]\n  look_closer: [-1.4, 1.4]\n"
WORDS = 'nodes:\n  heel_contact:\n    says: "Does anything drag on the heel side?"\n'


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Return a shop's folder with corrections of a window and of a sentence (invented)."""
    knowledge = tmp_path / "shop" / "knowledge"
    (knowledge / "entries").mkdir(parents=True)
    (knowledge / "windows.yaml").write_text(WINDOW, encoding="utf-8")
    (knowledge / "entries" / "heel_washout.yaml").write_text(WORDS, encoding="utf-8")
    return tmp_path / "shop"


def test_only_the_lines_that_differ_are_the_shops(shop: Path) -> None:
    trees = Trees(trees_dir(), shop / "knowledge")
    window = load_windows(trees).window("overhang_split_mm", ordinary_rider(trees))
    own = load_windows().window("overhang_split_mm", ordinary_rider())
    assert window is not None
    assert own is not None
    assert (window.good.low, window.good.high, window.close.high) == (-1, 1, 1.4)
    assert (own.good.low, window.why, window.notice) == (-4, own.why, own.notice)
    entry, written = (load_knowledge(one).entry("heel_washout") for one in (trees, authors()))
    changed = {name for name, node in entry.nodes.items() if node != written.nodes[name]}
    assert entry.nodes["heel_contact"].says == "Does anything drag on the heel side?"  # type: ignore[union-attr]
    assert "heel_contact" in changed
    assert all(getattr(entry.nodes[name], "measure", "overhang_split_mm") for name in changed)
    assert knowledge_version(trees) != knowledge_version(authors())


def test_each_correction_is_told_with_file_and_line(shop: Path) -> None:
    found, faults = corrections(trees_dir(), shop / "knowledge")
    assert faults == []
    told = {(Path(one.file).name, one.line, one.place): (one.before, one.after) for one in found}
    assert told[("windows.yaml", 2, "overhang_split_mm.good")] == ([-4, 4], [-1, 1])
    assert len(found) == 3


@pytest.mark.parametrize(
    ("file", "text", "line", "words"),
    [
        ("windows.yaml", "overhang_split_mm:\n  notice: a lot\n", 2, "notice"),
        ("windows.yaml", "overhang_split_mm:\n  gut: 3\n", 1, "gut"),
        ("entries/heel_washout.yaml", "nodes:\n  heel_contact:\n    souce: x\n", 3, "did you mean 'source'"),
        ("entries/heel_washout.yaml", "nothing_left: nowhere\n", 1, "where does 'nowhere' lead"),
        ("cautions.yaml", "ours: Mind the step.\n", 1, "who says the caution 'ours'"),
        ("dangers.yaml", "edges: {why: none}\n", 0, "a shop may correct"),
        ("signs/body.yaml", "chest: {level: ask}\n", 0, "a shop may correct"),
    ],
)
def test_a_fault_in_a_correction_is_found_in_the_shops_file(
    tmp_path: Path, file: str, text: str, line: int, words: str
) -> None:
    from advisor.graph.other_tables import faults_of_tables

    path = tmp_path / file
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="utf-8")
    trees = Trees(trees_dir(), tmp_path)
    compiled, faults = compile_knowledge(trees.home, trees.shop)
    faults = faults or faults_of_tables(trees, compiled["lines"]) or prove(compiled, trees)
    mine = [fault for fault in faults if fault.file == str(path)]
    assert [(fault.line, words.lower() in fault.words.lower()) for fault in mine][:1] == [(line, True)], faults


def _out_of_window(*asked: str | Path) -> set[str]:
    """Return the measures that an answer says are out of their window."""
    return {one["measure"] for one in advisor(*asked, "--json").json["out_of_window"]}


@pytest.mark.slow
def test_the_commands_list_them_follow_them_and_take_them_back(shop: Path) -> None:
    listed = json.loads(advisor("--json", "--shop", shop, "corrections").out)["corrections"]
    assert [row["place"] for row in listed] == [
        "nodes.heel_contact.says",
        "overhang_split_mm.good",
        "overhang_split_mm.look_closer",
    ]
    proven = advisor("trees", "--json", "--shop", shop)
    assert proven.code == Exit.DONE
    assert len(json.loads(proven.out)["corrections"]) == 3
    asked = ("advise", trees_dir() / "ordinary_sheet.yaml", "--entry", "boot_off_centre", "--answer", "boot_seated=yes")
    assert "overhang_split_mm" in _out_of_window(*asked, "--shop", shop)
    assert "overhang_split_mm" not in _out_of_window(*asked)
    assert advisor("corrections", "take-back", "2", "3", "--shop", shop).code == Exit.DONE
    assert not (shop / "knowledge" / "windows.yaml").exists()
    assert "overhang_split_mm" not in _out_of_window(*asked, "--shop", shop)
    assert advisor("corrections", "take-back", "7", "--shop", shop).code == Exit.BAD_INPUT
    assert advisor("corrections", "take-back", "--all", "--shop", shop).code == Exit.DONE
    assert "has no corrections" in advisor("corrections", "--shop", shop).out


def test_a_broken_correction_is_named_and_nothing_is_advised_from_it(shop: Path) -> None:
    (shop / "knowledge" / "windows.yaml").write_text("overhang_split_mm:\n  good: [5, 1]\n", encoding="utf-8")
    ran = advisor("trees", "--shop", shop)
    assert ran.code == Exit.NO
    assert "windows.yaml:1" in ran.out or "windows.yaml:2" in ran.out


def test_every_table_that_may_be_corrected_is_one_of_the_projects() -> None:
    assert {f"{name}.yaml" for name in TABLES} <= {path.name for path in trees_dir().glob("*.yaml")}
