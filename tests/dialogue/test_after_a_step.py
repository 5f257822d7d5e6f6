"""What a step that did not help teaches: a small one says little, a large one says that the cause is another."""

from __future__ import annotations

from dataclasses import replace

from advisor.dialogue.after_a_step import after_step
from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.visit import LastVisit
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.sheet import Sheet
from advisor.workshop.random_riders import ordinary_sheet

KNOWLEDGE = load_knowledge()
NO_SIGNS = {"knee_signs": "no", "binding_play": "no"}


def visited(entry: str, sheet: Sheet) -> tuple[Answer, LastVisit]:
    answer = answer_case(KNOWLEDGE, Case(entry, sheet, NO_SIGNS))
    assert answer.choice is not None
    assert answer.likely is not None
    assert answer.line is not None
    visit = LastVisit(
        "1", "2026-01-02", answer.case, "it drags", answer.line.suspect.start, ("moved",), answer.choice.sheet_after,
        answer.aims,
    )  # fmt: skip
    return answer, visit


def narrow(seat: float, tilt: float) -> Sheet:
    sheet = ordinary_sheet().with_value("mount.back.seat_mm", seat).with_value("mount.front.seat_mm", 0.0)
    return sheet.with_value("rider.tilt_deg", tilt, "told", 3.0)


def test_a_step_that_should_have_done_it_leaves_the_cause_less_likely() -> None:
    answer, visit = visited("heel_drag", narrow(-9.0, 62.0))
    assert visit.advised is not None
    taught = after_step(KNOWLEDGE, visit, visit.advised)
    assert taught is not None
    assert taught.share < answer.cause_share


def test_the_share_after_it_is_what_the_step_would_have_missed() -> None:
    """Bayes by hand: p (1 - c) over p (1 - c) + 1 - p."""
    answer, visit = visited("heel_drag", narrow(-9.0, 62.0))
    assert visit.advised is not None
    assert answer.likely is not None
    taught = after_step(KNOWLEDGE, visit, visit.advised)
    assert taught is not None
    share, missed = answer.cause_share, 1 - answer.likely.chance
    assert abs(taught.share - share * missed / (share * missed + 1 - share)) < 1e-9


def test_the_next_step_knows_what_was_tried() -> None:
    answer, visit = visited("heel_drag", narrow(-9.0, 66.0))
    assert visit.advised is not None
    assert answer.likely is not None
    taught = after_step(KNOWLEDGE, visit, visit.advised)
    assert taught is not None
    again = answer_case(KNOWLEDGE, replace(answer.case, sheet=visit.advised, tried=(taught.tried,)))
    if again.likely is not None:
        assert all(
            now <= had + 1e-9 for now, had in zip(again.likely.model.ceiling, answer.likely.model.before, strict=True)
        )
