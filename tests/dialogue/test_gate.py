"""No answer speaks against itself or its own numbers, and nothing is called right that is not, or not known."""

from __future__ import annotations

from random import Random

import pytest

from advisor.cli.as_json import answer_json
from advisor.dialogue import answer as answering
from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.verdict import verdict_of
from advisor.explain.account import answer_text
from advisor.explain.text import Heading
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet
from tests.bench.bench_gate import walked
from tests.conftest import ROOT
from tests.dialogue.contradictions import contradictions

KNOWN = load_knowledge()
DEMO = read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
SUITS = read_sheet(ROOT / "trees" / "ordinary_sheet.yaml")
WALKS = 240


def ended(case: Case, told: dict[str, str] | None = None, otherwise: str = "") -> Answer:
    """Answer every question from a table, "don't know" where it is silent."""
    answer = answer_case(KNOWN, case)
    for _ in range(40):
        if not answer.walk.question:
            break
        name = answer.walk.question.fact.id
        value = (told or {}).get(name, otherwise)
        options = answer.walk.question.fact.options
        case = case.with_answer(name, value) if value and value in options else case.with_unsure(name)
        answer = answer_case(KNOWN, case)
    return answer


@pytest.mark.parametrize("part", range(4))
def test_no_random_walk_speaks_against_itself(part: int) -> None:
    entries = sorted(KNOWN.entry_ids)
    for number in range(part, WALKS, 4):
        answer = walked(KNOWN, entries[number % len(entries)], Random(f"gate suite {number}"))
        assert list(contradictions(answer)) == [], (number, answer.walk.entry.id)


def test_the_reading_finds_what_the_gate_holds_back(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answering, "passed", lambda _knowledge, answer, _again: answer)
    entries = sorted(KNOWN.entry_ids)
    answers = [walked(KNOWN, entries[n % len(entries)], Random(f"gate suite {n}")) for n in range(WALKS)]
    assert any(list(contradictions(answer)) for answer in answers)


def test_a_stance_far_too_narrow_is_never_in_order() -> None:
    """From the trade report: 420 mm for a rider whose window is 516 to 587 mm, and it is nervous at speed."""
    narrow = SUITS.with_value("board.reference_width_mm", 420.0)
    no = "no"
    answer = ended(Case("unstable_at_speed", narrow), otherwise=no)
    assert verdict_of(answer) in {"adjust", "partial"}
    moved = [change.path for change in answer.choice.changes] if answer.choice else []
    assert any(path.endswith(".row") for path in moved)


def test_what_lies_outside_its_window_is_in_every_answer() -> None:
    told = answer_json(answer_case(KNOWN, Case("ask_boot_centring", DEMO)))
    out = {(one["measure"], one["foot"]) for one in told["out_of_window"]}
    assert ("highback_gap_deg", "front") in out
    assert ("stance_width_mm", None) not in out


def test_the_set_up_is_not_called_right_where_nothing_is_known() -> None:
    for entry in ("nose_dives", "awkward_switch", "sore_back_knee", "weak_pop"):
        answer = ended(Case(entry, Sheet("none", {})))
        assert verdict_of(answer) in {"measure_first", "look_first", "clinician"}, entry


def test_what_is_only_not_ruled_out_is_looked_at_first() -> None:
    hire = read_sheet(ROOT / "transcripts_demo" / "larchfall_hire.yaml")
    answer = ended(Case("catches_edge", hire), {"binding_play": "no"})
    assert answer.walk.doubted is not None
    assert verdict_of(answer) == "look_first"
    assert answer.choice is None
    heads = [block.words for block in answer_text(answer) if isinstance(block, Heading)]
    assert "Do this" not in heads
    assert answer_json(answer)["look"]["how"]


def test_a_free_look_comes_before_a_bought_board() -> None:
    wide = SUITS.with_value("board.waist_width_mm", 290.0)
    answer = answer_case(KNOWN, Case("slow_edge_change", wide))
    asked = []
    case = Case("slow_edge_change", wide)
    while answer.walk.question and len(asked) < 20:
        asked.append(answer.walk.question.fact.id)
        case = case.with_unsure(asked[-1])
        answer = answer_case(KNOWN, case)
    assert "straps_snug" in asked
