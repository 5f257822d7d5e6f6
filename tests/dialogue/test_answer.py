"""The answer at a walk's end: its change is on the sheet, brings the aims right, and nothing else moves."""

from __future__ import annotations

import json
from dataclasses import replace
from math import inf, isnan

import pytest

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.walk import walk
from advisor.errors import KnowledgeError
from advisor.geometry.measuring import measure_all
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import parse_sheet, read_sheet
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.windows import load_windows
from tests.conftest import ROOT
from tests.small_world import aim, ask, cause, check, do, entry, knowledge, sheet

DEMO = read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
ENTRIES = ("heel_washout", "boot_off_centre", "ask_boot_centring")


def reparsed(answer: Answer) -> Sheet:
    """Return the sheet after the answer's change as another program would read it."""
    assert answer.choice is not None
    return parse_sheet(json.dumps(answer.choice.sheet_after.to_dict()).encode(), "after.json")


def check_sheet_after(answer: Answer) -> None:
    """Hold an answer's sheet to its changes and its aims, by reading it and measuring again."""
    assert answer.choice is not None
    after = reparsed(answer)
    said = {change.path: change.after for change in answer.choice.changes if change.path}
    said |= {path: value for change in answer.choice.changes for path, _, value in change.also}
    before = answer.case.sheet
    for path, value in said.items():
        assert after.value(path) == value
    same = (set(before.leaves) | set(after.leaves)) - set(said)
    assert {path: after.value(path) for path in same} == {path: before.value(path) for path in same}
    assert _missed(after, answer) < _missed(before, answer) or _missed(after, answer) == 0
    if answer.likely is None and not answer.partial and answer.goal is None:
        assert _missed(after, answer) == 0


def _missed(sheet: Sheet, answer: Answer) -> float:
    """Return by how much a sheet misses an answer's aims in all, in parts of each window's scale."""
    known = resolve(sheet, load_practice())
    measurements = measure_all(known)
    missed = 0.0
    for one in answer.aims:
        value = measurements[one.key].value if one.key in measurements else known.setup.get(one.key)
        window = load_windows().window(one.key, known.setup)
        missed += one.interval(window).distance(value) / (window.scale if window else 1)
    return missed


def every_end(known: Knowledge, start: Case, most: int = 400) -> list[Answer]:
    """Return the answers of every way of answering, don't know included; numbers are answered as they are assumed."""
    waiting, ends = [start], []
    while waiting and len(ends) < most:
        case = waiting.pop()
        answer = answer_case(known, case)
        if answer.outcome != "needs":
            ends.append(answer)
            continue
        fact = answer.walk.questions[0].fact
        waiting.append(case.with_unsure(fact.id))
        if fact.kind == "choice" and "." not in fact.id:
            waiting += [case.with_answer(fact.id, option) for option in fact.options]
    return ends


@pytest.mark.parametrize("name", ENTRIES)
def test_every_way_through_the_first_entries_ends_in_an_answer_that_holds(name: str) -> None:
    known = load_knowledge()
    ends = every_end(known, Case(name, DEMO))
    assert ends
    for answer in ends:
        assert answer.outcome in {"advice", "refer"}
        if answer.choice:
            check_sheet_after(answer)
        if answer.outcome == "refer":
            assert answer.referral is not None


@pytest.mark.parametrize("slot", [-5.0, -4.0, 2.0, 5.0])
def test_the_demo_board_is_advised_wherever_its_binding_has_been_slid(slot: float) -> None:
    moved = DEMO.with_value("mount.back.slot_mm", slot)
    for name in ENTRIES:
        for answer in every_end(load_knowledge(), Case(name, moved)):
            if answer.choice:
                check_sheet_after(answer)


def test_a_board_too_narrow_is_referred_and_the_waist_that_would_do_proves_it() -> None:
    narrow = DEMO.with_value("board.waist_width_mm", 225.0).with_value("boots.outsole_length_mm", 325.0)
    answers = every_end(load_knowledge(), Case("heel_washout", narrow))
    referred = [one for one in answers if one.outcome == "refer" and one.referral and one.referral.id == "wider_board"]
    assert referred
    needed = measure_all(referred[0].case.known)["min_waist_mm"].value
    assert needed > 225


def test_an_empty_sheet_asks_and_names_what_it_asks() -> None:
    answer = answer_case(load_knowledge(), Case("boot_off_centre", Sheet("", {})))
    assert answer.outcome == "needs"
    assert all(question.fact.question for question in answer.walk.questions)


def test_an_empty_sheet_can_be_filled_by_answering_alone() -> None:
    """Every number asked for is given from the demo sheet: the walk must reach an answer, each fact asked once."""
    case, asked = Case("boot_off_centre", Sheet("", {})), []
    for _ in range(40):
        answer = answer_case(load_knowledge(), case)
        if answer.outcome != "needs":
            break
        fact = answer.walk.questions[0].fact
        asked.append(fact.id)
        value = DEMO.value(fact.id) if "." in fact.id else None
        if value is not None:
            case = case.with_number(fact.id, value, fact.plus_minus)
        elif fact.kind == "choice" and "." not in fact.id:
            case = case.with_answer(fact.id, next(iter(fact.options)))
        else:
            case = case.with_unsure(fact.id)
    assert answer.outcome != "needs"
    assert len(asked) == len(set(asked))


# ------------------------------------------------------------------ ends, on the small knowledge

STRAP_OFF = sheet(
    mount__front__strap_left_mm=(30.0, 0.0),
    mount__front__strap_right_mm=(30.0, 0.0),
    mount__back__strap_left_mm=(30.0, 0.0),
    mount__back__strap_right_mm=(54.0, 0.0),
)
STRAP = check("strap_offset_mm", "each", (8, None, "off"), (None, 8, "cleared"))


def answered(nodes: dict, on: Sheet, start: str = "start", *, cautions: tuple[str, ...] = (), **answers: str) -> Answer:
    known = knowledge({"slides": entry(nodes, (start, 1.0), cautions=cautions)})
    return answer_case(known, Case("slides", on, answers))


def test_an_aim_moves_only_the_foot_that_was_found() -> None:
    nodes = {"start": STRAP, "off": cause("strap_off", "fix"), "fix": aim("strap_offset_mm", "found", "nothing", -8, 8)}
    answer = answered(nodes, STRAP_OFF)
    assert answer.feet == ("back",)
    assert answer.choice is not None
    assert {change.foot for change in answer.choice.changes} == {"back"}
    check_sheet_after(answer)


def test_an_aim_that_holds_already_says_leave_it() -> None:
    answer = answered({"start": aim("strap_offset_mm", "each", "nothing", -20, 20)}, STRAP_OFF)
    assert (answer.outcome, answer.choice, answer.leave_it) == ("advice", None, True)


def test_an_aim_that_nothing_reaches_goes_on_to_its_other_end() -> None:
    answer = answered(
        {"start": aim("edge_corner_deg", "board", "nothing", 80, 81)}, sheet(board__side_bevel_deg=(1.0, 0.0))
    )
    assert answer.outcome == "refer"
    assert answer.referral is not None
    assert answer.referral.id == "nobody_knows"
    assert answer.cautions == ("Edges cut.",)


def test_an_aim_asks_for_the_number_that_it_lacks_and_says_so_when_nobody_can_tell() -> None:
    nodes = {"start": aim("toe_past_ramp_mm", "front", "nothing", -5, 5)}
    first = answered(nodes, sheet())
    assert first.outcome == "needs"
    assert first.walk.questions[0].fact.id == "bindings.toe_ramp_mm"
    assert first.walk.questions[0].more == 1
    known = knowledge({"slides": entry(nodes, ("start", 1.0))})
    answer = answer_case(known, Case("slides", sheet()).with_unsure("bindings.toe_ramp_mm"))
    assert answer.outcome == "refer"
    assert answer.referral is not None
    assert answer.referral.id == "not_enough_known"


def test_an_adjustment_by_steps_is_made_at_the_foot_and_by_the_steps_named() -> None:
    answer = answered({"start": do("forward_lean", "back", 1, "nothing")}, DEMO)
    assert answer.choice is not None
    assert [(c.foot, c.path, c.before, c.after) for c in answer.choice.changes] == [
        ("back", "mount.back.lean_deg", 5, 10)
    ]


def test_an_adjustment_beyond_its_travel_goes_on_to_its_other_end() -> None:
    at_its_end = DEMO.with_value("mount.back.lean_deg", 25.0)
    answer = answered({"start": do("forward_lean", "back", 1, "nothing")}, at_its_end)
    assert answer.choice is None
    assert answer.outcome == "refer"


def test_a_tell_answers_in_words_and_changes_nothing() -> None:
    answer = answered({"start": {"tell": "Right foot back.", "feel": "Try it."}}, DEMO, cautions=("easy",))
    assert (answer.says, answer.feel, answer.choice) == ("Right foot back.", "Try it.", None)
    assert answer.cautions == ("Easy ground first.",)


def test_each_caution_is_said_once() -> None:
    nodes = {
        "start": ask("dull", {"yes": "found", "no": "cleared"}),
        "found": cause("strap_off", "fix"),
        "fix": {"tell": "So.", "feel": ""},
    }
    assert answered(nodes, DEMO, cautions=("easy", "easy"), dull="yes").cautions == ("Easy ground first.",)


def test_an_end_that_hands_over_to_itself_is_a_fault_of_the_knowledge_that_names_the_node() -> None:
    nodes = {"start": aim("edge_corner_deg", "board", "start", 80, 81)}
    with pytest.raises(KnowledgeError, match="node start hands over to itself"):
        answered(nodes, sheet(board__side_bevel_deg=(1.0, 0.0)))


def test_the_walk_of_the_case_is_not_made_twice() -> None:
    known = knowledge({"slides": entry({"start": ask("dull", {"yes": "nothing", "no": "cleared"})}, ("start", 1.0))})
    case = Case("slides", DEMO)
    done = walk(known, case)
    assert answer_case(known, case, done).walk is done
    assert answer_case(known, replace(case, answers={"dull": "yes"})).walk is not done


def test_no_measure_after_a_change_is_not_a_number_that_was_one_before() -> None:
    for answer in every_end(load_knowledge(), Case("heel_washout", DEMO)):
        if answer.choice:
            for key, one in answer.choice.before.items():
                after = answer.choice.after[key].value
                assert isnan(one.value) or (not isnan(after) and abs(after) < inf)
