"""How the conversation behaves at a counter: small talk, two complaints at once, wishes that nobody can set."""

from __future__ import annotations

import pytest

from advisor.cli.chat import start
from advisor.cli.plain import plain_lines
from advisor.dialogue.answer import answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.choosing import chosen_option
from advisor.dialogue.replies import Answered, Asked, Greeted, Lost, Reply, Troubled
from advisor.dialogue.talk import State
from advisor.explain.telling import Telling, tell
from advisor.geometry.measuring import measure_all
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import read_sheet
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from tests.conftest import ROOT

TALK = start(load_knowledge())
SAID = TALK.book.said


def hear(*said: str, of: str = "heel") -> tuple[State, Reply]:
    sheet = read_sheet(ROOT / "transcripts_demo" / f"larchfall_{of}.yaml") if of else Sheet("", {})
    state, reply = TALK.begin(sheet)
    for line in said:
        state, reply = TALK.hear(state, line)
    return state, reply


def words(reply: Reply) -> str:
    return " ".join(" ".join(plain_lines(tell(reply, Telling(TALK.knowledge)), 80)).split())


@pytest.mark.parametrize("hello", ["hello", "Hi!", "good morning"])
def test_a_greeting_is_greeted(hello: str) -> None:
    assert isinstance(hear(hello)[1], Greeted)


@pytest.mark.parametrize("after", ["no", "yes", "ok"])
def test_a_word_that_answers_nothing_after_the_answer_is_no_misunderstanding(after: str) -> None:
    _, reply = hear("my heel edge lets go on hard snow", "both sit firm", after)
    assert isinstance(reply, Troubled)
    assert reply.words == SAID["nothing_asked"]


@pytest.mark.parametrize("both", ["yes and no", "no, well, yes"])
def test_yes_and_no_is_no_answer(both: str) -> None:
    state, reply = hear("toe edge slides out", of="hire")
    assert isinstance(reply, Asked)
    assert isinstance(TALK.hear(state, both)[1], Lost)


def test_pain_comes_first_where_two_complaints_are_told_at_once() -> None:
    state, reply = hear("my back knee hurts and the nose dives in powder", of="knee")
    assert state.case is not None
    assert state.case.entry == "sore_back_knee"
    assert state.waiting == ("nose_dives",)
    assert isinstance(reply, Asked)


def test_facts_told_in_passing_are_noted_in_the_words_of_their_answers() -> None:
    assert "snow: hard or icy" in words(hear("it's really icy")[1])


def test_a_measure_that_nobody_sets_is_named_with_what_moves_it() -> None:
    told = words(hear("try stance width 600")[1])
    assert "follows from other numbers" in told
    assert "front row" in told
    assert "back row" in told
    assert "back slot" in words(hear("try back heel overhang 10")[1])


def test_a_try_without_anything_to_try_says_how() -> None:
    assert words(hear("try")[1]) == SAID["try_what"]


def test_with_nothing_asked_no_way_out_of_a_question_is_offered() -> None:
    told = words(hear("asdf qwer", "asdf qwer")[1])
    assert "don't know" not in told
    assert SAID["lost_free"] in told


def test_screws_on_the_inserts_floor_are_told_once_and_not_with_every_question() -> None:
    warning = TALK.book.always_told["screw_gap_mm"]
    state, reply = hear("what do plus and minus angles mean", of="screws")
    assert warning in words(reply)
    state, reply = TALK.hear(state, "how wide should my stance be")
    assert isinstance(reply, Answered)
    assert warning not in words(reply)


def test_the_whole_set_up_names_every_setting_that_a_hand_makes() -> None:
    told = words(hear("set it all up from scratch", of="powder")[1])
    for setting in ("Front on row 2 inward", "over the toe edge", "toe ramp", "Screws"):
        assert setting in told


@pytest.mark.parametrize(
    ("lean", "told"), [(15, "No more lean for this rider"), (0, "Give the front highback 5 degrees more forward lean")]
)
def test_no_step_of_lean_is_added_where_the_highback_is_at_the_calf_already(lean: int, told: str) -> None:
    sheet = read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
    for foot in ("front", "back"):
        sheet = sheet.with_value(f"mount.{foot}.lean_deg", lean)
    state, _ = TALK.begin(sheet)
    state, _ = TALK.hear(state, "how much forward lean")
    assert told in words(TALK.hear(state, "a quicker heel edge on firm snow")[1])


def test_without_a_sheet_nothing_is_said_of_how_the_highbacks_are_set() -> None:
    for wish in ("a setting to start from", "a quicker heel edge on firm snow", "more freedom"):
        _, reply = hear("how much forward lean", wish, "a bit of everything", of="")
        told = words(reply)
        assert "neither highback" not in told
        assert "0° in front" not in told
        assert "Leave it" not in told


@pytest.mark.parametrize(
    ("said", "row", "told"),
    [
        ("the stance feels too wide", -3, "the stance is narrow and not wide"),
        ("the stance feels too narrow", 3, "the stance is wide and not narrow"),
    ],
)
def test_a_stance_is_not_made_worse_for_a_feeling_that_the_ruler_contradicts(said: str, row: int, told: str) -> None:
    sheet = read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
    for foot in ("front", "back"):
        sheet = sheet.with_value(f"mount.{foot}.row", row)
    state, _ = TALK.begin(sheet)
    assert told in words(TALK.hear(state, said)[1])


def test_why_says_what_each_answer_of_a_riders_question_would_bring() -> None:
    told = words(hear("how far back should I stand", "why")[1])
    assert "on the piste -> Leave it: the stance sits on the maker's marks" in told
    assert "in deep snow -> One row toward the tail with both feet" in told
    assert "no cause shown" not in told


def test_why_of_a_question_that_comes_before_every_suspect_names_none_of_them() -> None:
    told = words(hear("my toes go numb", "why")[1])
    assert "It comes before everything else" in told
    assert "% of such complaints" not in told


@pytest.mark.parametrize(
    ("fact", "said", "option"),
    [
        ("eases_when", "when I open the toe strap", "toe_strap"),
        ("eases_when", "it comes back when I open my ankle strap", "ankle_strap"),
        ("eases_when", "my stance is too wide", None),
        ("eases_when", "not the toe strap", None),
        ("screw_run_in", "fewer than six", "few"),
        ("screw_run_in", "six", "enough"),
        ("screws_hold", "at least one turns and never bites", "spins"),
        ("heel_lifts", "it lifted", "yes"),
    ],
)
def test_an_answer_in_the_options_own_words_is_taken_and_any_other_is_not(
    fact: str, said: str, option: str | None
) -> None:
    """Taken where every word that carries something is the option's or the question's; else better asked again."""
    assert chosen_option(TALK.knowledge.facts[fact], said) == option


def test_a_binding_that_rocks_is_told_at_once() -> None:
    _, reply = hear("it chatters on hard snow", "it creaks and rocks")
    assert isinstance(reply, Answered)
    assert reply.answer.cause is not None
    assert reply.answer.cause.id == "binding_loose"


def test_two_complaints_weighed_together_say_once_what_a_change_solves() -> None:
    told = words(
        hear("front knee is sore after riding, and the stance feels cramped", "no, none of them", "next", of="box")[1]
    )
    assert "Both together" in told or "BOTH TOGETHER" in told
    assert "Solves both; " in told
    assert "(solves both)" not in told


def test_what_is_taken_over_ends_with_one_full_stop() -> None:
    told = words(hear("my heel edge lets go on hard snow", "both sit firm", "done")[1])
    assert told.endswith("(from 4 mm heel side of the slot's middle to 3 mm toe side).")


def test_how_sure_names_each_foot_once_and_no_flip_that_no_ruler_shows() -> None:
    told = words(hear("My front knee hurts when I ride", "no, none of that", "how sure", of="knee")[1])
    assert "the front the front" not in told
    assert "3° instead of 3°" not in told


def test_a_fact_that_changes_nothing_is_noted_and_the_answer_is_not_told_all_over() -> None:
    _, reply = hear("heel edge lets go", "both sit firm", "actually it was slush")
    told = words(reply)
    assert "snow: soft or slushy" in told
    assert SAID["same_answer"] in told
    assert "Slide the back binding 7 mm" in told
    assert "WHAT IT CHANGES" not in told


def test_a_fact_that_changes_the_answer_is_answered_in_full() -> None:
    told = words(hear("heel edge lets go", "both sit firm", "my back binding is at -24")[1])
    assert SAID["same_answer"] not in told


def test_a_try_without_a_sheet_does_not_say_that_it_would_change_nothing() -> None:
    assert "that can be worked out from what is known" in words(hear("try back slot 3", of="")[1])


@pytest.mark.parametrize(
    ("asked", "window"),
    [
        (("how wide should my stance be",), "{width[0]:.0f} to {width[1]:.0f} mm suits legs like these"),
        (("which angles should I set",), "9 to 21° and -12 to 6°"),
        (("how tight should the screws be",), "3.5 to 5 N·m"),
        (("how far back should I stand", "in deep snow"), "-45 to -15 mm"),
        (("is my board wide enough for my boots",), "a waist of {min_waist_mm:.0f} mm and more"),
    ],
)
def test_a_riders_question_is_answered_in_short_with_its_window(asked: tuple[str, ...], window: str) -> None:
    told = words(hear("short", *asked)[1])
    sheet = read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml")
    taken = measure_all(resolve(sheet, load_practice()))
    measured = {key: one.value for key, one in taken.items()} | {"width": taken["stance_width_goal_mm"].window}
    assert window.format_map(measured) in told
    assert len(told) < 400


def test_a_referral_in_short_says_why_and_where_and_keeps_what_keeps_the_rider_off_the_board() -> None:
    told = words(hear("short", "it chatters on hard snow", "it creaks and rocks")[1])
    assert "The binding rocks on the board." in told
    assert "Nobody rides on it." in told
    assert len(told) < 300


def test_nothing_is_called_fine_where_most_could_not_be_looked_at() -> None:
    """No angle, no width: of the back knee's suspects only the snow and two habits of riding can be told."""
    knowledge = load_knowledge()
    case = Case(
        "sore_back_knee", Sheet("", {}), {"knee_signs": "no", "leans_back": "no", "knee_drops": "no", "landings": "no"}
    )
    for _ in range(30):
        answer = answer_case(knowledge, case)
        if answer.walk.question is None or answer.outcome != "needs":
            break
        case = case.with_unsure(answer.walk.question.fact.id)
    assert answer.referral is not None and answer.referral.id == "not_enough_known"
