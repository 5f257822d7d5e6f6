"""A complaint that was misunderstood is put right, and kept for the shop only when a person says so."""

from __future__ import annotations

from functools import cache

import pytest

from advisor.dialogue.correcting import Remember, shortened
from advisor.dialogue.replies import Answered, Asked, Clarify, Left, Reply, Troubled
from advisor.dialogue.talk import Conversation, State
from advisor.graph.knowledge import load_knowledge
from advisor.match.matcher import Matcher
from advisor.match.model_file import load
from advisor.sheet.sheet import Sheet


@cache
def conversation() -> Conversation:
    """Return one without any shop's own phrases."""
    matcher = Matcher(*load())
    return Conversation(load_knowledge(), lambda: matcher)


def said(*lines: str) -> tuple[State, Reply]:
    state, reply = conversation().begin(Sheet("", {}))
    for line in lines:
        state, reply = conversation().hear(state, line)
    return state, reply


def test_not_that_offers_other_entries_and_drops_the_wrong_one() -> None:
    first, _ = said("my toes go numb")
    assert first.case and first.case.entry == "numb_toes"
    state, reply = said("my toes go numb", "not that")
    assert isinstance(reply, Clarify)
    assert 2 <= len(reply.candidates) <= 3 and "numb_toes" not in reply.candidates
    assert state.case is None and "numb_toes" not in state.waiting


def test_what_was_meant_can_be_named_in_words() -> None:
    state, reply = said("it feels like a wet sponge", "meant the nose sinks in powder")
    assert isinstance(reply, Asked | Answered)
    assert state.case and state.case.entry == "nose_dives"
    assert state.lesson == ("it feels like a wet sponge", "nose_dives")


def test_nothing_is_remembered_before_a_person_says_so() -> None:
    """The hint names the command; only that command gives the reply at which the file is written."""
    _, reply = said("my toes go numb", "not that", "1")
    assert isinstance(reply, Asked | Answered)
    assert any("remember" in words for words in reply.before.kept)


def test_remember_gives_the_riders_words_and_what_was_chosen() -> None:
    state, offered = said("my toes go numb", "not that")
    assert isinstance(offered, Clarify)
    state, _ = conversation().hear(state, "2")
    state, reply = conversation().hear(state, "remember")
    assert isinstance(reply, Remember)
    assert (reply.wording, reply.entry) == ("my toes go numb", offered.candidates[1])
    assert isinstance(conversation().hear(state, "remember")[1], Troubled)


@pytest.mark.parametrize("line", ["not that", "remember", "meant numb toes"])
def test_with_nothing_said_there_is_nothing_to_correct(line: str) -> None:
    assert isinstance(said(line)[1], Troubled)


def test_when_none_of_the_offered_fits_the_words_are_wanted_anew() -> None:
    state, reply = said("my toes go numb", "not that", "don't know")
    assert isinstance(reply, Left)
    assert state.case is None and state.lesson is None


def test_long_words_are_said_back_short() -> None:
    assert len(shortened("slides " * 40)) <= 60
