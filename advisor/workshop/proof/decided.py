"""Which branches can be taken at all, given what the same walk has found before.

Every walk of an entry is followed with what it has learnt: for a measure the interval it lies in, for a fact the
answers left. States that agree on all that later nodes look at are the same, so shared tails are followed once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import inf

from advisor.graph.nodes import Ask, Check, Entry
from advisor.workshop.proof.subject import Subject, roots, ways_on

MOST_STATES = 20_000

_Learnt = tuple[str, tuple[float, float] | tuple[str, ...], str]
_State = tuple[str, frozenset[_Learnt]]


@dataclass
class Decided:
    """What the walks of an entry can do at each check and question.

    Parameters
    ----------
    taken
        Node to the branches that some walk can take; `-1` is "don't know".
    by
        Node to the nodes that decided something about it before.
    most
        Node to the largest number of branches that one walk leaves open.
    whole
        Whether every walk was followed; false where there are too many.

    """

    taken: dict[str, set[int]] = field(default_factory=dict)
    by: dict[str, set[str]] = field(default_factory=dict)
    most: dict[str, int] = field(default_factory=dict)
    whole: bool = True


def _keys(node: object) -> set[str]:
    if isinstance(node, Check):
        return {f"{foot} {node.measure}" for foot in (node.foot, "each", "found")}
    return {node.fact} if isinstance(node, Ask) else set()


def decided(subject: Subject, entry: Entry) -> Decided:
    """Follow every walk of an entry."""
    import networkx as nx

    graph = subject.graph(entry)
    needed = {
        name: set().union(*(_keys(entry.nodes.get(after)) for after in (name, *nx.descendants(graph, name))))
        for name in entry.nodes
    }
    found = Decided()
    seen: set[_State] = set()
    waiting: list[_State] = [(start, frozenset()) for _, start in roots(entry)]
    while waiting:
        place, learnt = waiting.pop()
        if place not in needed:
            continue
        state = (place, frozenset(one for one in learnt if one[0] in needed[place]))
        if state in seen:
            continue
        if len(seen) >= MOST_STATES:
            found.whole = False
            return found
        seen.add(state)
        node = entry.nodes[place]
        if isinstance(node, Check):
            waiting += _check(node, state[1], found)
        elif isinstance(node, Ask):
            waiting += _ask(node, state[1], found)
        else:
            waiting += [(way.to, state[1]) for way in ways_on(node)]
    return found


def _check(node: Check, learnt: frozenset[_Learnt], found: Decided) -> Iterator[_State]:
    key = f"{node.foot} {node.measure}"
    before = next((one for one in learnt if one[0] == key), None)
    low, high = before[1] if before else (-inf, inf)
    assert isinstance(low, float | int) and isinstance(high, float | int)
    opened = 0
    for span in node.spans:
        inside = max(low, span.low), min(high, span.high)
        if inside[0] >= inside[1]:
            continue
        opened += 1
        found.taken.setdefault(node.id, set()).add(span.branch)
        kept = {one for one in learnt if one[0] != key}
        if node.foot not in {"found", "board"}:
            kept = {one for one in kept if not one[0].startswith("found ")} | {
                (f"found {node.measure}", inside, node.id)
            }
        yield span.go, frozenset(kept | {(key, inside, node.id)})
    if node.unknown and before is None:
        opened += 1
        yield node.unknown, learnt
    _note(found, node.id, opened, before)


def _ask(node: Ask, learnt: frozenset[_Learnt], found: Decided) -> Iterator[_State]:
    before = next((one for one in learnt if one[0] == node.fact), None)
    others = frozenset(one for one in learnt if one[0] != node.fact)
    opened = 0
    for place, choice in enumerate(node.choices):
        left = tuple(sorted(set(choice.answers) & set(before[1]))) if before else tuple(sorted(choice.answers))
        if left:
            opened += 1
            found.taken.setdefault(node.id, set()).add(place)
            named = any(answer in node.feet for answer in choice.answers)
            kept = frozenset(one for one in others if not (named and one[0].startswith("found ")))
            yield choice.go, kept | {(node.fact, left, node.id)}
    if before is None or not before[1]:
        opened += 1
        found.taken.setdefault(node.id, set()).add(-1)
        yield node.unsure, others | {(node.fact, (), node.id)}
    _note(found, node.id, opened, before)


def _note(found: Decided, node: str, opened: int, before: _Learnt | None) -> None:
    found.most[node] = max(found.most.get(node, 0), opened)
    if before:
        found.by.setdefault(node, set()).add(before[2])
