"""How likely the cause is that an answer rests on, beside all the others of its entry.

Each suspect starts with its odds. A check counts by how likely its measure is to lie in the branches that lead to a
cause, against how often such a measure lies there on any board; an answer by how often answers are right; what nobody
has looked at keeps its odds. The numbers stand in `trees/doses.yaml`.
"""

from __future__ import annotations

from math import erf, sqrt
from typing import TYPE_CHECKING

from advisor.dialogue.lines import Line, Step
from advisor.graph.nodes import CLEARED, Ask, Check, Span
from advisor.graph.window_branches import spans_at
from advisor.sheet.readings import Known

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer

_LEAST = 0.01
"""No look rules a suspect out altogether."""


def cause_share(answer: Answer) -> float:
    """Return the chance that the cause shown is the one that the rider feels.

    Parameters
    ----------
    answer
        With a cause found; without one the chance is 0.

    """
    line = answer.line
    if line is None or answer.cause is None:
        return 0.0
    known = answer.case.known
    weights = {id(other): other.suspect.odds * _speaks_for(other, known) for other in answer.walk.lines}
    mine = [other for other in answer.walk.lines if other.cause == line.cause and other.status == "found"]
    own = sum(weights[id(other)] for other in mine) or line.suspect.odds * _speaks_for(line, known)
    others = sum(weights.values()) - sum(weights[id(other)] for other in mine)
    return own / (own + others) if own + others > 0 else 0.0


def _speaks_for(line: Line, known: Known) -> float:
    """Return how much what was looked at speaks for a suspect: 1 where nothing was, under 1 where it speaks against."""
    from advisor.solve.chance.doses import load_doses

    doses = load_doses(known.trees)
    if line.status in {"open", "unchecked"}:
        return 1.0
    last = next((step for step in reversed(line.steps) if isinstance(step.node, Ask | Check) and not step.moot), None)
    if last is None:
        return 1.0
    if isinstance(last.node, Ask):
        if last.answer is None:
            return 1.0
        right = doses.answer_right
        return right / (1 - right) if line.status == "found" else (1 - right) / right
    return max(_LEAST, _out(last, known)) / doses.out_anyway


def _out(step: Step, known: Known) -> float:
    """Return how likely a measure lies in a branch that does not clear its suspect: the worst of the feet counts."""
    assert isinstance(step.node, Check)
    spans = [span for span in spans_at(step.node, known.setup, known.trees) if span.go != CLEARED]
    return max((_within(one.value, one.plus_minus, spans) for one in step.measured if one.known), default=1.0)


def _within(value: float, plus_minus: float, spans: list[Span]) -> float:
    if plus_minus <= 0:
        return 1.0 if any(span.low <= value < span.high for span in spans) else 0.0
    scale = plus_minus / 2 * sqrt(2)
    return sum(0.5 * (erf((span.high - value) / scale) - erf((span.low - value) / scale)) for span in spans)
