"""Replies in words: the numbers are the core's, the units those asked for, nothing is left unfilled."""

from __future__ import annotations

import re

import pytest

from advisor.cli.plain import plain_lines
from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.replies import Answered, HowSure, Level, Numbers, Pictured, Reply, Trailed, Tried, WhyNot
from advisor.explain.chances import often
from advisor.explain.telling import Telling, tell
from advisor.explain.text import Drawing, Heading, Points, Say, Table
from advisor.geometry.measuring import measure_all
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet
from advisor.solve.whatif import what_if
from tests.conftest import ROOT

DEMO = read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
GOOFY = DEMO.with_value("rider.leading_foot", "right")
KNOWLEDGE = load_knowledge()


def demo_answer(sheet: Sheet = DEMO, entry: str = "heel_washout") -> Answer:
    case = Case(entry, sheet, {"snow": "hard"}, frozenset({"toe_scuff", "heel_scuff"}))
    answer = answer_case(KNOWLEDGE, case)
    for _ in range(20):
        if answer.outcome != "needs":
            return answer
        case = case.with_unsure(answer.walk.questions[0].fact.id)
        answer = answer_case(KNOWLEDGE, case)
    raise AssertionError("the demo rider is asked without end")


def lines(reply: Reply, units: str = "metric", width: int = 80) -> list[str]:
    return plain_lines(tell(reply, Telling(KNOWLEDGE, units, width, ascii_only=True)), width)  # type: ignore[arg-type]


def words(reply: Reply, units: str = "metric") -> str:
    return " ".join(" ".join(lines(reply, units)).split())


def test_the_answer_says_foot_from_to_and_by_how_much() -> None:
    answer = demo_answer()
    assert answer.choice is not None
    change = answer.choice.changes[0]
    told = words(Answered(answer))
    assert change.foot and change.foot in told
    assert change.before == -4 and change.after == 3
    assert "from 4 mm heel side of the slot's middle to 3 mm toe side" in told


def test_every_measure_that_matters_stands_before_and_after_as_the_core_has_it() -> None:
    answer = demo_answer()
    assert answer.choice is not None
    table = next(
        block for block in tell(Answered(answer, level="full"), Telling(KNOWLEDGE)) if isinstance(block, Table)
    )
    row = next(one for one in table.rows if one[0] == "heel margin" and one[1] == "back")
    before, after = (taken["heel_margin_deg.back"].value for taken in (answer.choice.before, answer.choice.after))
    assert row[2:5] == (f"{before:.1f}°", f"{after:.1f}°", f"{after - before:+.1f}°".replace(".0°", "°"))


@pytest.mark.parametrize("level", ["counter", "bench", "training"])
@pytest.mark.parametrize("entry", ["heel_washout", "boot_off_centre", "ask_boot_centring"])
def test_nothing_is_left_unfilled_at_any_level(level: Level, entry: str) -> None:
    for units in ("metric", "imperial"):
        told = words(Answered(demo_answer(entry=entry), level=level), units)
        assert told
        assert not re.search(r"[{}]|\bnan\b|\bNone\b|\binf\b", told)


def test_the_counters_answer_is_short_and_has_no_table_or_picture() -> None:
    blocks = tell(Answered(demo_answer(), level="counter"), Telling(KNOWLEDGE))
    assert [type(block) for block in blocks] == [Say]
    assert len(lines(Answered(demo_answer(), level="counter"))) <= 6


def test_training_adds_the_mechanics_and_the_section() -> None:
    answer = demo_answer()
    full, training = (tell(Answered(answer, level=level), Telling(KNOWLEDGE)) for level in ("full", "training"))  # type: ignore[arg-type]
    drawn = [sum(isinstance(block, Drawing) for block in blocks) for blocks in (full, training)]
    assert drawn == [1, 3]
    assert any("In section: back foot at the heel edge" in line for line in lines(Answered(answer, level="training")))


def test_what_to_do_stands_at_the_end_too_where_the_eye_is() -> None:
    told = lines(Answered(demo_answer(), level="full"))
    assert "IN SHORT" in told[-4:]
    assert "binding" in told[told.index("IN SHORT") + 1]


def test_imperial_shows_no_millimetres_outside_the_drawing() -> None:
    answer = demo_answer()
    how = Telling(KNOWLEDGE, "imperial")
    blocks = [*tell(Answered(answer), how), *tell(Answered(answer, level="full"), how)]
    for block in blocks:
        if isinstance(block, Say | Heading):
            assert " mm" not in block.words
        elif isinstance(block, Points):
            assert not any(" mm" in item for item in block.items)
        elif isinstance(block, Table):
            assert not any(" mm" in cell for row in block.rows for cell in row)


@pytest.mark.parametrize(("sheet", "rider"), [(DEMO, "regular, left foot leads"), (GOOFY, "goofy, right foot leads")])
def test_the_picture_is_the_riders_own_way_round(sheet: Sheet, rider: str) -> None:
    assert rider in lines(Pictured(Case("", sheet)))[0]
    assert any(rider in line for line in lines(Answered(demo_answer(sheet), level="full")))


def test_numbers_has_every_measure_once_and_on_one_line_each() -> None:
    told = lines(Numbers(Case("", DEMO)))
    measures = measure_all(Case("", DEMO).known)
    rows = [line for line in told if re.search(r"\d", line) and "'" not in line]
    names = {(one.measure.id, one.place.edge) for one in measures.values()}
    assert len(rows) == len(names)


def test_numbers_of_a_name_have_formula_and_source() -> None:
    told = words(Numbers(Case("", DEMO), "heel contact"))
    measured = measure_all(Case("", DEMO).known)["heel_contact_deg.back"]
    assert measured.formula in told
    assert "Source:" in told
    assert "No measure has 'banana'" in words(Numbers(Case("", DEMO), "banana"))


def test_trail_and_why_not_name_numbers_thresholds_and_sources() -> None:
    answer = demo_answer()
    trail = words(Trailed(answer.walk, answer.case, answer))
    assert "(this is it):" in trail
    assert "common practice, no source" in trail
    assert "Why this adjustment".upper() in trail
    assert words(WhyNot(answer.walk)).startswith("WHY NOT THE OTHERS - ")


def test_a_try_shows_the_change_and_leaves_the_sheet() -> None:
    result = what_if(DEMO, {"mount.back.slot_mm": 3.0})
    told = words(Tried(result, (("mount.back.slot_mm", 3.0),)))
    assert told.startswith("With back slot 3 mm:")
    assert "Nothing has been changed on the sheet." in told
    assert DEMO.value("mount.back.slot_mm") == -4


@pytest.mark.parametrize("width", [40, 55, 80, 120])
def test_no_line_is_wider_than_the_page(width: int) -> None:
    answer = demo_answer()
    for reply in (Answered(answer, level="training"), Numbers(answer.case), Trailed(answer.walk, answer.case, answer)):
        assert max(map(len, lines(reply, width=width))) <= width


def test_how_sure_tells_the_ladder_with_chance_and_minutes() -> None:
    answer = demo_answer()
    assert answer.likely is not None
    told = " ".join(" ".join(lines(HowSure(answer))).split())
    assert often(answer.likely.chance, answer.case.trees) in told
    others = [rung for rung in answer.likely.ladder if rung is not answer.likely.today]
    assert others
    for rung in others:
        assert f"{rung.minutes:g} minute" in told


@pytest.mark.parametrize("entry", ["heel_washout", "boot_off_centre", "tail_washes", "sore_front_knee", "weak_pop"])
def test_an_answer_fits_one_screen_beside_what_was_said(entry: str) -> None:
    """80 x 24: the line that was said, what was heard, and the prompt stand beside it."""
    answer = answer_case(KNOWLEDGE, Case(entry, DEMO))
    for _ in range(20):
        if not answer.walk.question:
            break
        answer = answer_case(KNOWLEDGE, answer.case.with_answer(answer.walk.question.fact.id, "no"))
    told = lines(Answered(answer))
    assert len(told) <= 22, told
    assert max(map(len, told)) <= 80
