"""In what states a walk can come to each node: has a foot been found, which cause, through a check or not."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.graph.nodes import CLEARED, Cause, Check, Entry, Jump
from advisor.graph.proof.subject import roots, ways_on

__all__ = ["Context", "contexts"]


@dataclass(frozen=True, slots=True)
class Context:
    """What a walk knows as it comes to a node.

    Parameters
    ----------
    root
        Where the walk began.
    foot
        Whether a check has found a foot.
    cause
        The node of the cause shown, if one was.
    from_check
        Whether the last node, jumps apart, was a check.

    """

    root: str
    foot: bool = False
    cause: str | None = None
    from_check: bool = False


def contexts(entry: Entry) -> dict[str, set[Context]]:
    """Return every state in which walks of an entry can come to each of its nodes, and to `cleared`."""
    found: dict[str, set[Context]] = {name: set() for name in (*entry.nodes, CLEARED)}
    waiting = [(start, Context(start)) for _, start in roots(entry)]
    while waiting:
        place, context = waiting.pop()
        if place not in found or context in found[place]:
            continue
        found[place].add(context)
        node = entry.nodes.get(place)
        if node is None:
            continue
        after = context if isinstance(node, Jump) else replace(context, from_check=isinstance(node, Check))
        if isinstance(node, Check) and node.foot not in {"found", "board"}:
            after = replace(after, foot=True)
        elif isinstance(node, Cause):
            after = replace(after, cause=place)
        waiting += [(way.to, after) for way in ways_on(node)]
    return found
