"""A sheet that may be wrong: said first where the advice hangs on it, looked at before much is moved.

On the knowledge as it stands and Larchfall's invented sheets.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from advisor.cli.chat import start
from advisor.dialogue.replies import Answered, Asked, Reply
from advisor.dialogue.talk import Conversation, State
from advisor.dialogue.verdict import verdict_of
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet

DEMO = Path(__file__).parents[2] / "transcripts_demo"


@pytest.fixture(scope="module")
def conversation() -> Conversation:
    return start(load_knowledge())


def heel() -> Sheet:
    return read_sheet(DEMO / "larchfall_heel.yaml")


FIRM = {"binding_play": "no"}
"""What is asked beside, answered as it is on a sound board; nobody can tell the rest."""
LOOKS = ("hangs_further", "toes_point")


def talk(conversation: Conversation, sheet: Sheet, *lines: str) -> list[Reply]:
    """Return the reply to each line, once what is asked beside the matter is answered."""
    state: State = conversation.begin(sheet)[0]
    replies = []
    for line in lines:
        state, reply = conversation.hear(state, line)
        kept = reply.before.kept if isinstance(reply, Asked | Answered) else ()
        while isinstance(reply, Asked) and not reply.question.fact.id.startswith(LOOKS):
            state, reply = conversation.hear(state, FIRM.get(reply.question.fact.id, "don't know"))
        if isinstance(reply, Asked | Answered):
            reply = replace(reply, before=replace(reply.before, kept=(*kept, *reply.before.kept)))
        replies.append(reply)
    return replies


def test_a_sound_sheet_is_answered_without_a_doubt(conversation: Conversation) -> None:
    (reply,) = talk(conversation, heel(), "my heel edge lets go on hard snow")
    assert isinstance(reply, Answered) and not reply.answer.doubts


def test_nothing_is_bought_on_a_number_that_is_hard_to_believe(conversation: Conversation) -> None:
    sheet = heel().with_value("boots.outsole_length_mm", 345.0)
    first, second = talk(conversation, sheet, "my heel edge lets go on hard snow", "the sole is 345 mm")
    assert isinstance(first, Answered) and verdict_of(first.answer) == "measure_first"
    assert "boots.outsole_length_mm" in first.answer.doubts[0].fields
    assert isinstance(second, Answered) and not second.answer.doubts, "measured again, and believed"
    assert second.answer.case.sheet.value("boots.outsole_length_mm") == 345


def test_a_doubt_that_changes_nothing_is_not_told(conversation: Conversation) -> None:
    sheet = heel().with_value("rider.weight_kg", 190.0)
    (reply,) = talk(conversation, sheet, "my heel edge lets go on hard snow")
    assert isinstance(reply, Answered) and not reply.answer.doubts and reply.answer.choice


def far_off() -> Sheet:
    """The back boot 10 mm toward the heel edge, with slots long enough to bring it back."""
    sheet = heel().with_value("bindings.slot_travel_mm", 15.0)
    return sheet.with_value("mount.back.seat_mm", float(heel().value("mount.back.seat_mm") or 0) - 6)


def test_one_look_confirms_the_side_before_much_is_moved(conversation: Conversation) -> None:
    asked, answered = talk(conversation, far_off(), "my heel edge lets go on hard snow", "the heel")
    assert isinstance(asked, Asked) and asked.question.fact.id == "hangs_further_back"
    assert isinstance(answered, Answered) and answered.answer.choice


def test_a_look_that_differs_from_the_sheet_stops_the_move(conversation: Conversation) -> None:
    _, answered = talk(conversation, far_off(), "my heel edge lets go on hard snow", "the toe")
    assert isinstance(answered, Answered) and answered.answer.choice is None
    assert verdict_of(answered.answer) == "measure_first"
    assert "by the sheet" in answered.answer.doubts[0].says


def test_a_look_that_nobody_can_take_lets_the_answer_stand(conversation: Conversation) -> None:
    _, answered = talk(conversation, far_off(), "my heel edge lets go on hard snow", "don't know")
    assert isinstance(answered, Answered) and answered.answer.choice


def test_words_against_the_sheet_are_held_against_it_at_once(conversation: Conversation) -> None:
    line = "my heel edge lets go on hard snow, and there is more toe than heel on the back boot"
    (reply,) = talk(conversation, heel(), line)
    assert isinstance(reply, Asked | Answered)
    assert "One of the two is wrong" in " ".join(reply.before.kept)


def test_words_that_agree_with_the_sheet_are_let_be(conversation: Conversation) -> None:
    (reply,) = talk(conversation, heel(), "my heel edge lets go on hard snow, more heel than toe on the back boot")
    assert isinstance(reply, Asked | Answered)
    assert not any("One of the two is wrong" in words for words in reply.before.kept)
