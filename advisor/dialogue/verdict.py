"""What kind of answer an answer is, in one word: for programs, and for what is said at its head."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.dialogue.gate_rules import load_gate
from advisor.graph.nodes import Verdict

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer
    from advisor.knowledge.trees import Trees
    from advisor.solve.choice import Change

_AT_THE_TUNING_BENCH = "tuning"


def verdict_of(answer: Answer) -> Verdict:
    """Return the kind of an answer: what is moved, what is done by hand, who helps, or what is measured first."""
    if answer.verdict_as:
        return answer.verdict_as
    if answer.referral:
        partial = answer.referral.verdict == "partial"  # with nothing that comes nearer it is a matter of other parts
        return "other_part" if partial and answer.choice is None else answer.referral.verdict
    if answer.outcome == "needs":
        return "measure_first"
    if answer.partial:
        return "partial"
    if answer.choice and answer.choice.changes:
        return _of_changes(answer.choice.changes, answer.case.trees)
    if answer.cause and answer.cause.id in load_gate(answer.case.trees).to_measure:
        return "measure_first"
    return "handle" if answer.cause and answer.says else "leave"


def _of_changes(changes: tuple[Change, ...], trees: Trees) -> Verdict:
    from advisor.solve.adjustments import load_adjustments

    adjustments = load_adjustments(trees)
    known = [adjustments.get(one.adjustment) for one in changes]  # steps of the first set-up are none of them
    if all(one is not None and one.work.part == _AT_THE_TUNING_BENCH for one in known):
        return "tuning"
    return "adjust" if any(one.path for one in changes) else "handle"
