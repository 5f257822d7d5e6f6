"""Told danger is answered at once, is never cleared by half an answer, and comes before everything else.

What counts as a sign follows the published rules that trees/sources.yaml names (ankle and knee rules, cauda equina,
frostbite, concussion, compartment and clot), and for gear common practice, no source.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.cli.turns import turn_json
from advisor.dialogue.case import Case
from advisor.dialogue.replies import Answered, Asked, Reply, Troubled
from advisor.dialogue.talk import Conversation, State
from advisor.dialogue.verdict import verdict_of
from advisor.graph.knowledge import load_knowledge
from advisor.knowledge.trees import Trees, authors
from advisor.knowledge_home import trees_dir
from advisor.match import load_matcher
from advisor.sheet.sheet import Sheet
from advisor.signs.listener import load_listener, load_rules
from advisor.workshop.signs.model_check import judge_is_stale

TALK = Conversation(load_knowledge(), load_matcher)


def hear(*lines: str) -> tuple[State, Reply]:
    state, reply = TALK.begin(Sheet("", {}))
    for line in lines:
        state, reply = TALK.hear(state, line)
    return state, reply


def verdict(*lines: str) -> str:
    reply = hear(*lines)[1]
    return verdict_of(reply.answer) if isinstance(reply, Answered) else type(reply).__name__


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("my knee is swollen and locks", "clinician"),
        ("calf is hot and red and swollen, hurts even when I rest", "clinician"),
        ("since the crash my ankle is swollen and I can't put weight on it", "clinician"),
        ("back hurts and I can't hold my pee", "emergency"),
        ("I hit my head and feel dizzy", "emergency"),
        ("chest pain when I ride hard and my arm tingles", "emergency"),
        ("the binding ripped out of the board", "not_ridden"),
        ("my highback is cracked", "not_ridden"),
        ("is it safe to ride with three screws", "not_ridden"),
        ("the insert is stripped", "not_ridden"),
        ("my shin is broken", "clinician"),
        ("I heard a pop in my ankle", "clinician"),
    ],
)
def test_a_sign_told_in_the_first_line_is_answered_at_once(line: str, wanted: str) -> None:
    assert verdict(line) == wanted


@pytest.mark.parametrize(
    "answer",
    [
        "not swollen, but it did start with a fall",
        "no, it just swells in the evening",
        "no but it clicks and gets stuck",
        "it gave way twice",
    ],
)
def test_a_sign_behind_a_no_is_read_to_its_end(answer: str) -> None:
    assert verdict("my back knee hurts", answer) == "clinician"


def test_what_is_not_clear_is_asked_sign_by_sign_and_counts_as_yes() -> None:
    _, reply = hear("my back knee hurts", "don't know")
    assert isinstance(reply, Asked)
    assert reply.question.fact.id == "knee_swells"
    assert verdict("my back knee hurts", "don't know", "don't know") == "clinician"
    assert isinstance(hear("my back knee hurts", "yes and no")[1], Asked)
    assert verdict("my back knee hurts", "yes and no", "maybe") != "leave"


def test_every_sign_denied_one_by_one_leads_on_to_the_set_up() -> None:
    _, reply = hear("my back knee hurts", "don't know", "no", "no", "no", "no", "no")
    assert isinstance(reply, Asked)
    assert not reply.question.fact.id.startswith("knee_")


def test_a_sign_told_later_ends_the_solving() -> None:
    assert verdict("my back knee hurts", "no", "by the way that knee is pretty swollen tonight") == "clinician"
    assert (
        verdict("my heel edge slides out on ice", "oh and the back binding has a crack in the base plate")
        == "not_ridden"
    )


def test_nothing_is_turned_for_a_body_while_a_sign_stands_and_a_clear_denial_frees_it() -> None:
    state, _ = hear("my knee is swollen")
    state, reply = TALK.hear(state, "my ankle hurts")
    assert isinstance(reply, Answered)
    assert verdict_of(reply.answer) == "clinician"
    state, _ = TALK.hear(state, "no, the knee isn't swollen after all")
    assert state.signs == ()
    assert isinstance(TALK.hear(state, "my ankle hurts")[1], Asked)


def test_a_question_that_turns_nothing_is_still_answered_beside_a_sign() -> None:
    state, _ = hear("my knee is swollen")
    assert isinstance(TALK.hear(state, "how wide should my stance be")[1], Asked | Answered)


def test_words_that_tell_a_sign_can_not_be_taught_another_meaning() -> None:
    state, _ = hear("my knee is swollen and locks", "meant how wide should my stance be")
    state, reply = TALK.hear(state, "remember")
    assert isinstance(reply, Troubled)
    assert verdict("my knee is swollen and locks") == "clinician"


def test_play_in_both_bindings_is_play() -> None:
    state = TALK.begin(Sheet("", {}))[0]
    state, reply = TALK.go_on_with(state, Case("edge_chatter", Sheet("", {})))
    while isinstance(reply, Asked) and reply.question.fact.id != "binding_play":
        state, reply = TALK.hear(state, "don't know")
    assert isinstance(reply, Asked)
    state, _ = TALK.hear(state, "both")
    assert state.answers["binding_play"] == "yes"


@pytest.mark.parametrize(
    "line",
    [
        "my ride is numb, dead feeling board, no pop",
        "no swelling, no fall, the knee is fine, how wide should I stand",
        "I broke my wrist years ago, all healed, how wide should my stance be",
        "the view takes my breath away",
        "all eight screws in and torqued, no cracks, no play",
        "how do I stop my edges from getting dull",
    ],
)
def test_a_harmless_line_is_not_sent_away(line: str) -> None:
    assert verdict(line) not in {"clinician", "emergency", "not_ridden"}


@pytest.mark.parametrize(
    "line",
    [
        "mein Knie ist geschwollen",
        "mon genou est gonflé",
        "tengo la rodilla hinchada",
        "ho il ginocchio gonfio",
        "膝が腫れています",
    ],
)
def test_a_swollen_knee_is_heard_in_five_more_languages(line: str) -> None:
    assert verdict(line) == "clinician"


def test_another_program_sees_the_sign_and_the_kind_of_answer() -> None:
    from advisor.explain.returning import tell
    from advisor.explain.telling import Telling

    state, reply = hear("my highback snapped")
    turn = json.loads(turn_json("my highback snapped", reply, tell(reply, Telling()), state))
    assert turn["kind"] == "answered"
    assert turn["answer"]["verdict"] == "not_ridden"
    assert turn["heard"]["signs"][0]["verdict"] == "not_ridden"
    assert set(turn["heard"]) >= {"facts", "complaints", "signs", "wants", "not_placed"}


def test_a_sign_of_somebody_who_is_not_here_is_theirs_and_the_rider_goes_on() -> None:
    state, reply = hear("my brother's knee is swollen, he stayed at home, how wide should my stance be")
    assert state.signs == ()
    assert isinstance(reply, Asked | Answered)
    assert any("somebody who is not here" in words for words in reply.before.kept)


def test_what_may_freeze_again_is_not_warmed_up() -> None:
    """Wilderness first aid: tissue that thaws and freezes again is hurt worse (trees/sources.yaml, frostbite)."""
    _, reply = hear("my toes are white and hard")
    assert isinstance(reply, Answered)
    assert reply.answer.referral is not None
    assert "freeze again" in str(reply.answer)


def test_a_shop_can_not_take_the_words_for_danger_away(tmp_path: Path) -> None:
    folder = tmp_path / "signs"
    folder.mkdir()
    (folder / "words.yaml").write_text('concepts: {said: {swollen: "nothing at all"}}\n', encoding="utf-8")
    (folder / "body.yaml").write_text("knee_swollen: {level: ask}\n", encoding="utf-8")
    heard = load_listener(Trees(trees_dir(), tmp_path)).hear("my knee is swollen")
    assert [sign.level for sign in heard.told][:1] == ["clinician"]


def test_the_judge_is_built_from_the_signs_as_they_stand() -> None:
    assert not judge_is_stale(), "python -m advisor.workshop.signs.train"


@pytest.mark.parametrize(
    ("line", "level"),
    [
        ("my kneecap has gone missing under all the fluid since yesterday", "clinician"),
        ("he keeps asking what day it is since he bailed", "emergency"),
        ("I can slide a coin under the disc when I lift the nose", "not_ridden"),
    ],
)
def test_the_judge_hears_what_no_rule_hears(line: str, level: str) -> None:
    """Own lines, not of the sets; common sense, no source."""
    rules = {sign.level for sign in load_rules(authors()).hear(line).told} - {"ask"}
    judged = load_listener(authors()).hear(line).told
    assert rules or (judged and judged[0].level in {level, "ask"})
