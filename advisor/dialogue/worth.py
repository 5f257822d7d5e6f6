"""What a question is worth: the probability of its suspect over the cost of asking (Kadane & Simon 1977)."""

from __future__ import annotations

from typing import NamedTuple

from advisor.dialogue.lines import Line
from advisor.knowledge.tables import entry_fault
from advisor.knowledge.trees import Trees, of_trees
from advisor.sheet.practice import load_practice


class Asking(NamedTuple):
    """When the dialogue asks; the numbers stand in `trees/practice.yaml`."""

    least_minutes: float
    measuring_times: float
    measuring_share: float
    least_habit: float


@of_trees
def asking(trees: Trees) -> Asking:
    """Return the numbers by which questions are chosen.

    Raises
    ------
    KnowledgeError
        When one is missing.

    """
    practice = load_practice(trees)
    names = ("least_question_min", "worth_measuring_times", "worth_measuring_share", "least_habit_odds")
    for name in names:
        if name not in practice:
            raise entry_fault("practice.yaml", name, "it is missing; restore it")
    return Asking(*(practice[name].value for name in names))


def worth(line: Line, least_minutes: float) -> float:
    """Return probability over cost of a line with an open question; less than the least time is not saved."""
    assert line.question is not None
    return line.suspect.odds / max(line.question.minutes, least_minutes)
