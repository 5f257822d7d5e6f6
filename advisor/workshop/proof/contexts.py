"""In what states a walk can come to each node: has a foot been found, which cause, through a check or not."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.graph.nodes import CLEARED, Ask, Cause, Check, Entry, Jump, Node
from advisor.workshop.proof.subject import Way, roots, ways_on


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
        waiting += [(way.to, _after(context, place, node, way)) for way in ways_on(node)]
    return found


def _after(context: Context, place: str, node: Node, way: Way) -> Context:
    """Return what a walk knows once it has taken a way on from a node."""
    if isinstance(node, Jump):
        return context
    number_known = isinstance(node, Check) and way.place != ("unknown",)
    after = replace(context, from_check=number_known)
    if isinstance(node, Check) and number_known and node.foot not in {"found", "board"}:
        return replace(after, foot=True)
    if isinstance(node, Ask) and way.place[0] == "branches":
        branch = node.choices[int(way.place[1])]
        return replace(after, foot=after.foot or all(answer in node.feet for answer in branch.answers))
    return replace(after, cause=place) if isinstance(node, Cause) else after
