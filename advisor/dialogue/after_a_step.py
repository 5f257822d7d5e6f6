"""What a step that did not help teaches: how likely the cause still is, and what comes next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.dialogue.answer import answer_case
from advisor.graph.knowledge import Knowledge
from advisor.sheet.sheet import Sheet

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer
    from advisor.dialogue.visit import LastVisit
    from advisor.solve.chance.model import Tried


@dataclass(frozen=True, slots=True)
class AfterStep:
    """What is thought of a cause after a step for it that did not help.

    Parameters
    ----------
    share
        The chance that it is the cause all the same.
    tried
        The step as evidence for the next.
    go_on
        Whether a larger step for it comes before the next cause.

    """

    share: float
    tried: Tried
    go_on: bool


def after_step(knowledge: Knowledge, visit: LastVisit, now: Sheet) -> AfterStep | None:
    """Return what a step that left the complaint the same says; None where its chance was not known.

    The cause was likely to a share, and the step cures it with a chance: what is left of the share is what the step
    would have missed. A larger step comes before the next cause while the cause is at least half as likely as all
    others together, and the sheet as it is now still shows it.

    Parameters
    ----------
    knowledge
        The compiled knowledge.
    visit
        The last visit, its step done as advised.
    now
        The sheet as it is.

    """
    from advisor.solve.chance.model import Tried

    answer = answer_case(knowledge, visit.case)
    if answer.likely is None or answer.choice is None:
        return None
    share, missed = answer.cause_share, 1 - answer.likely.chance
    left = share * missed / (share * missed + 1 - share) if share < 1 else 1.0
    setup = answer.case.known.setup
    numbers = [path for path in answer.likely.model.hunt.trial.paths if not path.endswith(_NO_NUMBERS)]
    tried = Tried({path: setup.get(path) for path in numbers}, "same")
    return AfterStep(left, tried, left >= _GO_ON and _still_shows(knowledge, visit, now, answer))


_GO_ON = 1 / 3
_NO_NUMBERS = ("slots", "disc_flipped")


def _still_shows(knowledge: Knowledge, visit: LastVisit, now: Sheet, before: Answer) -> bool:
    again = answer_case(knowledge, replace(visit.case, sheet=now))
    same = again.cause is not None and before.cause is not None and again.cause.id == before.cause.id
    return same and again.choice is not None
