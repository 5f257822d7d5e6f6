"""What would flip an answer: values that a human or a board can have, and that flip it on a walk made again."""

from __future__ import annotations

from dataclasses import replace

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.what_flips import what_flips
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.sheet import Sheet
from advisor.workshop.random_riders import ordinary_sheet

KNOWLEDGE = load_knowledge()
FACTS = {"binding_play": "no", "snow": "hard", "heel_scuff": "boot"}


def dragging(tilt: float) -> Answer:
    sheet = ordinary_sheet().with_value("mount.back.seat_mm", -9.0).with_value("rider.tilt_deg", tilt, "told", 4.0)
    return answer_case(KNOWLEDGE, Case("heel_drag", sheet, FACTS))


def again(answer: Answer, path: str, value: float) -> Answer:
    sheet: Sheet = answer.case.sheet.with_value(path, value, "told", None)
    return answer_case(KNOWLEDGE, replace(answer.case, sheet=sheet))


def do(answer: Answer) -> tuple[object, ...]:
    changes = answer.choice.changes if answer.choice else ()
    return answer.referral and answer.referral.id, tuple((one.path, one.by > 0) for one in changes)


def test_every_value_told_flips_the_answer_and_lies_within_what_can_be() -> None:
    answer = dragging(60.0)
    assert answer.likely is not None
    told = what_flips(KNOWLEDGE, answer)
    assert told, "a drag that hangs on the tilt is flipped by a flatter one"
    for one in told:
        assert do(again(answer, one.path, one.needed)) != do(answer)
        low, high = answer.case.trees.table("telling.yaml")["fields"][one.path]["usual"]
        assert low <= one.needed <= high
        assert one.needed != one.now


def test_the_nearest_comes_first_and_at_most_one_either_way() -> None:
    told = what_flips(KNOWLEDGE, dragging(60.0))
    assert [one.away for one in told] == sorted(one.away for one in told)
    assert len(told) <= 2
