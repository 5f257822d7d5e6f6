"""A corrected window is followed by every check and every aim that speaks of it."""

from __future__ import annotations

import copy
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from advisor.cases.of_answer import record_of
from advisor.cli.plain import plain_lines
from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.explain.account import answer_text
from advisor.graph.knowledge import load_knowledge
from advisor.graph.nodes import Check
from advisor.graph.window_branches import spans_of
from advisor.knowledge.tables import load_table
from advisor.knowledge.trees import Trees, authors
from advisor.knowledge_home import trees_dir
from advisor.slip.content import slip_of
from advisor.solve.window_states import ranges_of
from advisor.solve.windows import ordinary_rider, windows_of
from advisor.workshop.random_riders import ordinary_sheet

WINDOWS = load_table("windows.yaml")
KNOWLEDGE = load_knowledge()
CHECKS = [
    node
    for name in KNOWLEDGE.entry_ids
    for node in KNOWLEDGE.entry(name).nodes.values()
    if isinstance(node, Check) and node.by_window
]


def moved(table: dict[str, Any], by: float) -> dict[str, Any]:
    """Return a table of windows with every number of every window moved alike."""
    found = copy.deepcopy(table)
    for row in found.values():
        for one in (row, *row.get("by_style", {}).values()):
            for key in ("good", "look_closer"):
                if isinstance(one.get(key), list):
                    one[key] = [end + by if isinstance(end, float | int) else end for end in one[key]]
    return found


def test_many_checks_speak_of_windows() -> None:
    assert len({node.measure for node in CHECKS}) >= 15


@pytest.mark.parametrize("measure", sorted({node.measure for node in CHECKS}))
def test_a_check_follows_when_its_window_is_moved(measure: str) -> None:
    windows = windows_of(moved(WINDOWS, 0.25))
    named = [end for key in ("good", "look_closer") for end in WINDOWS[measure].get(key, []) if isinstance(end, str)]
    for node in (node for node in CHECKS if node.measure == measure):
        now = spans_of(node.branches, windows.window(measure, ordinary_rider(), node.style))
        ends = [[round(end, 6) for span in spans for end in (span.low, span.high)] for spans in (node.spans, now)]
        by = 0.0 if named else 0.25
        typed = {round(end, 6) for branch in node.branches for end in (branch.low, branch.high)}
        assert ends[1] == [end if end in typed else round(end + by, 6) for end in ends[0]], node.id


@pytest.mark.parametrize(
    ("words", "ranges"),
    [
        (["good"], [(-8, 8)]),
        (["close"], [(-12, -8), (8, 12)]),
        (["out below", "close", "good"], [(float("-inf"), 12)]),
        (["above"], [(8, float("inf"))]),
    ],
)
def test_a_state_is_the_range_of_its_window(words: list[str], ranges: list[tuple[float, float]]) -> None:
    table = {"turnout_gap_deg": {**WINDOWS["turnout_gap_deg"], "good": [-8, 8], "look_closer": [-12, 12]}}
    window = windows_of(table).window("turnout_gap_deg", ordinary_rider())
    assert window is not None
    assert [(round(low, 6), round(high, 6)) for low, high in ranges_of(words, window)] == ranges


def test_an_end_of_a_window_lies_in_it_for_checks_as_for_the_search() -> None:
    window = windows_of(WINDOWS).window("turnout_gap_deg", ordinary_rider())
    assert window is not None
    for value in (window.good.low, window.good.high):
        assert window.state(value) == "good"
        assert any(low <= value < high for low, high in ranges_of(["good"], window))


def _corrected(home: Path, changes: Sequence[tuple[str, str, str]]) -> Trees:
    """Return the project's knowledge with some windows corrected, in a folder of its own."""
    shutil.copytree(trees_dir(), home, ignore=shutil.ignore_patterns("phrases", "match", "training"))
    file = home / "windows.yaml"
    text = file.read_text(encoding="utf-8")
    for name, old, corrected in changes:
        assert f"{name}:\n  {old}\n" in text
        text = text.replace(f"{name}:\n  {old}\n", f"{name}:\n  {corrected}\n")
    file.write_text(text, encoding="utf-8")
    return Trees(home)


def _off_centre(trees: Trees) -> Answer:
    """Answer a rider whose boots both sit 5 mm toward the heel edge."""
    sheet = ordinary_sheet().with_value("mount.front.seat_mm", -5.0).with_value("mount.back.seat_mm", -5.0)
    return answer_case(load_knowledge(trees), Case("boot_off_centre", sheet, {"boot_seated": "yes"}, trees=trees))


def test_diagnosis_search_and_text_follow_a_corrected_window(tmp_path: Path) -> None:
    """Both knowledges answer in one process."""
    wider = (
        ("overhang_split_mm", "good: [-4, 4]\n  look_closer: [-10, 10]", "good: [-18, 18]\n  look_closer: [-28, 28]"),
        ("boot_offset_mm", "good: [-3, 3]\n  look_closer: [-6, 6]", "good: [-12, 12]\n  look_closer: [-16, 16]"),
    )
    as_written, corrected = _off_centre(authors()), _off_centre(_corrected(tmp_path / "trees", wider))
    moves, leaves = (" ".join(plain_lines(answer_text(one), 400)) for one in (as_written, corrected))
    assert as_written.cause is not None and as_written.cause.id == "boot_toward_heel_edge"
    assert as_written.choice is not None
    before, after = as_written.choice.what_if.before, as_written.choice.what_if.after
    foot = as_written.feet[0]
    assert abs(after[f"overhang_split_mm.{foot}"].value) < abs(before[f"overhang_split_mm.{foot}"].value)
    assert "-4 to 4 mm" in moves
    assert corrected.cause is None
    assert "leave them as they are" in leaves


def test_the_slip_follows_a_corrected_window(tmp_path: Path) -> None:
    trees = _corrected(tmp_path / "trees", [("screw_torque_nm", "good: [3.5, 5]", "good: [4, 4.5]")])
    for known, words in ((authors(), "3.5 to 5 N·m"), (trees, "4 to 4.5 N·m")):
        slip = slip_of(record_of(_off_centre(known), "Kim 7"), trees=known)
        assert words in " ".join(check.words for check in slip.checks)
