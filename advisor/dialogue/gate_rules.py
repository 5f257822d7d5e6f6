"""What the gate goes by (`trees/gate.yaml`)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from advisor.geometry.register import MEASURES
from advisor.graph.nodes import VERDICTS
from advisor.knowledge.tables import entry_fault, number_of
from advisor.knowledge.trees import Trees, of_trees

_FILE = "gate.yaml"


class GateRules(NamedTuple):
    """The gate's rules.

    Parameters
    ----------
    may_cause
        Measure -> the measures beside which it may be behind a complaint.
    window_share, open_window_times
        Beyond which ± a number is too rough to show a cause.
    bought, look_minutes
        Kinds of endings that wait for free looks, and what a free look may cost [min].
    in_order
        Kinds of endings that let think that the set-up is not at fault.
    stands_unshown
        Kinds of endings that stand though they are not shown.
    to_measure
        Causes whose answer is to measure again.
    most_to_measure
        How many numbers are named to be measured again.
    under_a_bundle
        Caution -> its words where several things are changed at once.

    """

    may_cause: Mapping[str, tuple[str, ...]]
    window_share: float
    open_window_times: float
    bought: frozenset[str]
    look_minutes: float
    in_order: frozenset[str]
    stands_unshown: frozenset[str]
    to_measure: frozenset[str]
    most_to_measure: int
    under_a_bundle: Mapping[str, str]


@of_trees
def load_gate(trees: Trees) -> GateRules:
    """Return the gate's rules.

    Raises
    ------
    KnowledgeError
        When the file is not of its shape.

    """
    table = trees.table(_FILE)
    rough, bought = _part(table, "rough"), _part(table, "bought")
    near = {name: tuple(others) for name, others in _part(table, "may_cause").items()}
    for name, others in near.items():
        for one in (name, *others):
            if one not in MEASURES:
                raise entry_fault(_FILE, name, f"names {one}, which is no measure")
    return GateRules(
        near,
        number_of(_FILE, "rough", "window_share", rough.get("window_share")),
        number_of(_FILE, "rough", "open_window_times", rough.get("open_window_times")),
        _kinds(bought.get("verdicts"), "bought"),
        number_of(_FILE, "bought", "look_minutes", bought.get("look_minutes")),
        _kinds(table.get("in_order"), "in_order"),
        _kinds(table.get("stands_unshown"), "stands_unshown"),
        frozenset(table.get("cause_is_to_measure", ())),
        int(number_of(_FILE, "most_to_measure", "most_to_measure", table.get("most_to_measure"))),
        _part(table, "under_a_bundle"),
    )


def _part(table: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    part = table.get(name)
    if not isinstance(part, dict):
        raise entry_fault(_FILE, name, "expected a mapping")
    return part


def _kinds(raw: Any, name: str) -> frozenset[str]:
    if not isinstance(raw, list) or not set(raw) <= set(VERDICTS):
        raise entry_fault(_FILE, name, f"expected a list of kinds of answers: {', '.join(VERDICTS)}")
    return frozenset(raw)
