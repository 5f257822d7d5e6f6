"""The answer to a complaint: a cause with its smallest adjustment, a referral, or what is still needed."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from advisor.dialogue.case import Case
from advisor.dialogue.walk import Line, Walk, walk
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Aim, AimTarget, CauseText, Refer, Referral
from advisor.sheet.setup import FootSide

if TYPE_CHECKING:
    from advisor.solve.search import Aim as SolverAim
    from advisor.solve.search import Search

__all__ = ["Answer", "answer_case", "solver_aims"]

Outcome = Literal["advice", "needs", "refer"]


@dataclass(frozen=True)
class Answer:
    """What the walk and the solver found.

    Parameters
    ----------
    outcome
        `advice`, `needs` (a question is open) or `refer`.
    case, walk
        What it was found on.
    line
        The suspect that ended the walk.
    cause
        The cause shown, where one was.
    search
        What the solver found, where a measure had to come right.
    referral
        Who or what helps, where no adjustment does.
    cautions
        The cautions' words, each once.

    """

    outcome: Outcome
    case: Case
    walk: Walk
    line: Line | None = None
    cause: CauseText | None = None
    search: Search | None = None
    aims: tuple[SolverAim, ...] = ()
    referral: Referral | None = None
    says: str = ""
    cautions: tuple[str, ...] = field(default=())

    @property
    def feet(self) -> tuple[FootSide, ...]:
        """Return the feet that the answer is about."""
        return self.line.feet if self.line else ()

    @cached_property
    def leave_it(self) -> bool:
        """Whether everything aimed at is right already."""
        return self.search is not None and self.search.outcome == "leave"


def answer_case(knowledge: Knowledge, case: Case, ready: Walk | None = None) -> Answer:
    """Walk a case and answer it as far as the facts reach.

    Parameters
    ----------
    knowledge
        The compiled knowledge.
    case
        The complaint at this moment.
    ready
        The walk of this very case, where it was made already.

    """
    done = ready or walk(knowledge, case)
    if done.found is None:
        return Answer("needs", case, done)
    line = done.found
    cause = knowledge.cause(line.cause) if line.cause else None
    if isinstance(line.end, Refer):
        return _referred(knowledge, case, done, line, cause, line.end)
    assert isinstance(line.end, Aim)
    from advisor.solve.search import find

    aims = solver_aims(case, line.end.targets, line.feet)
    search = find(case.sheet, aims)
    if search.outcome == "none":
        end = done.entry.nodes[line.end.otherwise]
        assert isinstance(end, Refer)
        return _referred(knowledge, case, done, line, cause, end, search, aims)
    names = [*(cause.cautions if cause else ()), *done.entry.cautions]
    if search.outcome == "leave":
        names = list(done.entry.cautions)
    return Answer(
        "advice", case, done, line, cause, search, aims, says=line.end.says, cautions=_cautions(knowledge, names)
    )


def solver_aims(case: Case, targets: tuple[AimTarget, ...], feet: tuple[FootSide, ...]) -> tuple[SolverAim, ...]:
    """Return the solver's aims: each target at each of its feet, in its own bounds or in the measure's good window."""
    from advisor.solve.search import Aim as SolverAim
    from advisor.solve.windows import load_windows

    windows = load_windows()
    aims = []
    for target in targets:
        sides: tuple[FootSide | None, ...] = (None,)
        if target.foot == "each":
            sides = ("front", "back")
        elif target.foot == "found":
            sides = feet or ("front", "back")
        elif target.foot != "board":
            sides = (target.foot,)
        low, high = target.low, target.high
        if low is None and high is None:
            good = windows.good(target.measure, case.known)
            if good is not None:
                low, high = good.low, good.high
        for side in sides:
            key = f"{target.measure}.{side}" if side else target.measure
            aims.append(
                SolverAim(
                    key,
                    low=float("-inf") if low is None else low,
                    high=float("inf") if high is None else high,
                )
            )
    return tuple(aims)


def _referred(
    knowledge: Knowledge,
    case: Case,
    done: Walk,
    line: Line,
    cause: CauseText | None,
    end: Refer,
    search: Search | None = None,
    aims: tuple[SolverAim, ...] = (),
) -> Answer:
    referral = knowledge.referral(end.referral)
    names = [*(cause.cautions if cause else ()), *referral.cautions]
    return Answer(
        "refer", case, done, line, cause, search, aims, referral=referral, cautions=_cautions(knowledge, names)
    )


def _cautions(knowledge: Knowledge, names: list[str]) -> tuple[str, ...]:
    return tuple(knowledge.caution(name) for name in dict.fromkeys(names))
