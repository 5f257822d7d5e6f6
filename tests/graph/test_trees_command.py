"""`advisor trees` on the project's own knowledge: sound, with figures, coverage and drawings."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from advisor.cli.main import run
from advisor.cli.surroundings import Surroundings
from advisor.graph.compiler import compile_knowledge
from advisor.knowledge_home import trees_dir
from advisor.workshop.proof import prove


def _run(*arguments: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    code = run(["trees", *arguments], Surroundings(io.StringIO(), out, err, {}))
    return code, out.getvalue(), err.getvalue()


def test_the_projects_knowledge_is_sound() -> None:
    compiled, faults = compile_knowledge(trees_dir())
    assert [str(fault) for fault in faults or prove(compiled)] == []


def test_all_56_entries_of_the_catalogue_are_written() -> None:
    compiled, _ = compile_knowledge(trees_dir())
    kinds = [entry["kind"] for entry in compiled["entries"].values()]
    assert (kinds.count("symptom"), kinds.count("question")) == (37, 19)
    assert set(compiled["entries"]) == set(compiled["catalogue"])


def test_one_entry_is_drawn_in_lines_and_as_a_picture(tmp_path: Path) -> None:
    code, out, _ = _run("--draw", "heel_washout")
    assert (code, out.splitlines()[0]) == (0, "Heel edge lets go (heel_washout, symptom)")
    code, out, err = _run("--draw", "heel_washout", "--to", str(tmp_path / "heel.svg"))
    assert (code, out) == (0, "")
    assert "written" in err
    assert (tmp_path / "heel.svg").read_text(encoding="utf-8").startswith("<svg")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--draw", "heel_wash"), "did you mean heel_washout"),
        (("--draw", "heel_washout", "--to", "heel.png"), "ends in .svg"),
        (("--draw", "heel_washout", "--to", "/nowhere/heel.svg"), "can't be written"),
        (("--coverage", "--walks", "0"), "expected a number from 1"),
    ],
)
def test_what_cannot_be_done_is_said(
    arguments: tuple[str, ...], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = _run(*arguments)
    assert (code, out) == (2, "")
    assert words in err + capsys.readouterr().err


def test_figures_and_coverage_as_json() -> None:
    code, out, err = _run("--json")
    figures = json.loads(out)
    if figures["sound"]:
        assert (code, err) == (0, "")
        assert len(figures["entries"]) == 56
        assert all(one["expected_questions"] <= one["worst_questions"] for one in figures["entries"].values())
    else:
        assert all(fault["loose_end"] for fault in figures["faults"]), figures["faults"]
