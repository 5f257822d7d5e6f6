"""A check of both feet lists its branches from the worst to the best, for the worse foot is followed.

Worse is further from the measure's good window; branches on different sides of it cannot be told apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from advisor.graph.nodes import Check, Span
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def _good(subject: Subject, measure: str) -> tuple[float, float] | None:
    good = subject.raw("windows").get(measure, {}).get("good")
    if not isinstance(good, list) or any(isinstance(end, str) for end in good):
        return None
    return (-inf if good[0] is None else good[0]), (inf if good[1] is None else good[1])


def _outside(span: Span, good: tuple[float, float]) -> float:
    """Return how far a branch lies from the window: above it plus, below it minus, 0 where they share numbers."""
    if span.low >= good[1]:
        return max(span.low - good[1], 1e-300)
    if span.high <= good[0]:
        return min(span.high - good[0], -1e-300)
    return 0.0


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            good = _good(subject, node.measure) if isinstance(node, Check) and node.foot in {"each", "found"} else None
            if not isinstance(node, Check) or good is None:
                continue
            places = [_outside(span, good) for span in node.spans]
            for this, place in enumerate(places):
                worse = node.spans[this].branch
                better = next(
                    (
                        s.branch
                        for s, p in zip(node.spans, places, strict=True)
                        if s.branch < worse and _better(p, place)
                    ),
                    None,
                )
                if better is not None:
                    here = subject.at(entry, name, "branches", worse)
                    other = subject.at(entry, name, "branches", better).beside(here)
                    window = subject.table("windows", node.measure).beside(here)
                    words = f"is this branch worse than {other}? It lies further from the good window ({window})"
                    yield here.fault(f"{words}; list the worst first")


def _better(first: float, second: float) -> bool:
    """Return whether the first lies nearer to the window than the second, on the same side or inside."""
    return (first == 0 and second != 0) or (first * second > 0 and abs(first) < abs(second))


RULE = Rule(9, "Does every check of both feet list its branches from the worst to the best?", _check)
