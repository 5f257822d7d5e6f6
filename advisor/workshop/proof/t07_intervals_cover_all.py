"""The branches of a check cover every number once: no gap, no overlap, ends equal to the last bit."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from advisor.graph.nodes import Check
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Example, Rule
from advisor.workshop.proof.subject import Subject

__all__ = ["RULE"]


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            if not isinstance(node, Check):
                continue
            order = sorted(range(len(node.spans)), key=lambda i: (node.spans[i].low, node.spans[i].high))
            spots = [subject.at(entry, name, "branches", i) for i in range(len(node.spans))]
            first, last = node.spans[order[0]], max(order, key=lambda i: node.spans[i].high)
            if first.low != -inf:
                words = (
                    f"what of a {node.measure} below {first.low!r}? No branch takes it; leave 'from' out of the lowest"
                )
                yield spots[order[0]].fault(words)
            if node.spans[last].high != inf:
                high = node.spans[last].high
                words = (
                    f"what of a {node.measure} from {high!r} on? No branch takes it; leave 'below' out of the highest"
                )
                yield spots[last].fault(words)
            highest = order[0]
            for this in order[1:]:
                here, before = spots[this], node.spans[highest]
                other = spots[highest].beside(here)
                low = node.spans[this].low
                if low > before.high:
                    words = f"what of a {node.measure} from {before.high!r} to {low!r}? Neither this branch nor {other}"
                    yield here.fault(f"{words} takes it; make both ends equal")
                elif low < before.high:
                    upper = min(before.high, node.spans[this].high)
                    words = f"which branch takes a {node.measure} from {low!r} to {upper!r}? This one and {other} do"
                    yield here.fault(f"{words}; make both ends equal")
                if node.spans[this].high > before.high:
                    highest = this


RULE = Rule(
    7,
    "Do the branches of every check cover all numbers, without overlap?",
    _check,
    (
        Example(
            "entries/sore_knee.yaml",
            "{from: 6, go: cleared}",
            "{from: 6.5, go: cleared}",
            "from: 6.5",
            "from 6.0 to 6.5",
        ),
        Example(
            "entries/sore_knee.yaml",
            "{from: 6, go: cleared}",
            "{from: 5.5, go: cleared}",
            "from: 5.5",
            "make both ends equal",
        ),
        Example(
            "entries/sore_knee.yaml",
            "{from: 6, go: cleared}",
            "{from: 6, below: 90, go: cleared}",
            "below: 90",
            "from 90.0 on",
        ),
        Example(
            "entries/sore_knee.yaml",
            "{from: 6, go: cleared}",
            "{from: 6.000000000000001, go: cleared}",
            "from: 6.00",
            "from 6.0 to 6.000000000000001",
        ),
    ),
)
