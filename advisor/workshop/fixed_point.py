"""Whether the first set-up survives its own questions: mounted by its answer, every entry must leave the mount alone.

A rider is drawn, mounted, and asked through every entry with the answers of a rider and a bench with nothing wrong.
What any answer would still move on the sheet is a contradiction between the set-up and the entry.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.knowledge.trees import authors
from advisor.sheet.sheet import Sheet
from advisor.solve.whole_mount import whole_mount
from advisor.workshop.training.rider import TrueRider, sound_answers
from advisor.workshop.training.sound_rider import fit_rider
from advisor.workshop.training.tables import training_table

_QUESTIONS = 40
_MOUNT = "mount."
_KEPT = ("seat_mm", "strap_left_mm", "strap_right_mm", "ladder_at")


@dataclass(frozen=True)
class Moved:
    """What an entry's answer would still move on a fresh mount."""

    entry: str
    cause: str
    words: tuple[str, ...]
    says: str


def mounted_rider(random: Random, style: str | None = None) -> Sheet | None:
    """Return a drawn rider's sheet as the first set-up mounts it; None where it sends the rider to another board."""
    sheet = fit_rider(random).sheet
    if style is not None:
        sheet = sheet.with_value("rider.style", style)
    for path in list(sheet.leaves):
        if path.startswith(_MOUNT) and path.rpartition(".")[2] not in _KEPT:
            sheet = sheet.without(path)
    made = whole_mount(sheet)
    return None if made.setup.outcome == "refer" else made.setup.sheet_after


def what_still_moves(sheet: Sheet) -> Iterator[Moved]:
    """Yield the entries that would change a mounted sheet although nothing is wrong."""
    knowledge = load_knowledge(authors())
    style = str(sheet.value("rider.style"))
    told = {**sound_answers(Random(0)), **training_table("answers")["by_style"][style]}
    rider = TrueRider(sheet, sheet, 0.0, (), "", told)
    for entry in knowledge.entry_ids:
        answer = _answered(knowledge, entry, sheet, rider)
        changes = [one for one in (answer.choice.changes if answer.choice else ()) if one.path]
        if changes:
            cause = answer.cause.id if answer.cause else ""
            yield Moved(entry, cause, tuple(one.words for one in changes), answer.says)


def _answered(knowledge: Knowledge, entry: str, sheet: Sheet, rider: TrueRider) -> Answer:
    """Return an entry's answer once every question has been answered as a sound rider would, or with a don't know."""
    case = Case(entry, sheet)
    answer = answer_case(knowledge, case)
    for _ in range(_QUESTIONS):
        question = answer.walk.question if answer.outcome == "needs" else None
        if question is None:
            break
        value = rider.honest(question.fact)
        if value is None:
            case = case.with_unsure(question.fact.id)
        elif question.fact.kind == "number":
            case = case.with_number(question.fact.id, value)
        elif "." in question.fact.id:
            case = case.with_told(question.fact.id, value)
        else:
            case = case.with_answer(question.fact.id, str(value))
        answer = answer_case(knowledge, case)
    return answer
