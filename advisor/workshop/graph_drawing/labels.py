"""Short words for nodes and for the ways between them, for drawings of the graph."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from advisor.geometry.one_number import field_as_measure
from advisor.geometry.register import MEASURES
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Aim, Ask, Cause, Check, Do, Entry, Jump, Mount, Node, Refer, Span, Tell

KINDS = ("check", "ask", "look", "cause", "aim", "do", "mount", "tell", "refer", "jump")
_LONGEST = 160
_SIGNS = {"deg": "°", "1": ""}


@dataclass(frozen=True, slots=True)
class Link:
    """One way on, with the condition under which it is taken."""

    words: str
    to: str


def kind_of(node: Node) -> str:
    """Return a node's kind as the files write it."""
    if isinstance(node, Ask):
        return "look" if node.look else "ask"
    return type(node).__name__.lower()


def label(knowledge: Knowledge, node: Node) -> str:
    """Return what a node is about, in a few words."""
    if isinstance(node, Check):
        measure = MEASURES.get(node.measure) or field_as_measure(node.measure)
        where = "" if node.foot == "board" else f", {node.foot} foot"
        return f"{measure.words if measure else node.measure}{where}"
    if isinstance(node, Ask):
        fact = knowledge.facts.get(node.fact)
        return fact.question if fact else node.fact
    if isinstance(node, Cause):
        causes = knowledge.compiled["causes"]
        return str(causes[node.cause]["title"]) if node.cause in causes else node.cause
    if isinstance(node, Aim):
        return " and ".join(dict.fromkeys(target.measure for target in node.targets))
    if isinstance(node, Do):
        return f"{node.adjustment} {node.steps:+d}"
    if isinstance(node, Mount):
        return "the whole set-up in bench order"
    if isinstance(node, Tell):
        return textwrap.shorten(node.says, _LONGEST, placeholder=" …")
    if isinstance(node, Refer):
        referrals = knowledge.compiled["referrals"]
        return f"to {referrals[node.referral]['to']}" if node.referral in referrals else node.referral
    return node.go.rpartition(".")[0] or node.go


def _span_words(span: Span, unit: str) -> str:
    tail = _SIGNS.get(unit, f" {unit}")
    if span.low == -inf:
        return f"below {span.high:g}{tail}"
    if span.high == inf:
        return f"{span.low:g}{tail} and more"
    return f"{span.low:g} to {span.high:g}{tail}"


def _joined(spans: Sequence[Span]) -> list[Span]:
    """Return the branches with neighbours that lead to the same node made one, in the order of the file."""
    order = {span.go: place for place, span in reversed(list(enumerate(spans)))}
    found: list[Span] = []
    for span in sorted(spans, key=lambda span: span.low):
        if found and found[-1].go == span.go and found[-1].high == span.low:
            found[-1] = Span(found[-1].low, span.high, span.go)
        else:
            found.append(span)
    return sorted(found, key=lambda span: order[span.go])


def links(knowledge: Knowledge, entry: Entry, name: str) -> list[Link]:
    """Return a node's ways on with their conditions; ways to the same node are one."""
    node = entry.nodes[name]
    found: list[Link] = []
    if isinstance(node, Check):
        measure = MEASURES.get(node.measure) or field_as_measure(node.measure)
        unit = measure.unit if measure else ""
        found = [Link(_span_words(span, unit), span.go) for span in _joined(node.spans)]
        found += [Link("not known", node.unknown)] if node.unknown else []
    elif isinstance(node, Ask):
        fact = knowledge.facts.get(node.fact)
        options = fact.options if fact else {}
        for choice in node.choices:
            found.append(Link(" or ".join(options.get(answer, answer) for answer in choice.answers), choice.go))
        found.append(Link("don't know", node.unsure))
    elif isinstance(node, Cause | Jump):
        found = [Link("", node.go)]
    elif isinstance(node, Aim | Do | Mount):
        found = [Link("if that can't be done", node.otherwise)]
    merged: dict[str, list[str]] = {}
    for link in found:
        merged.setdefault(link.to, []).append(link.words)
    return [Link("; or ".join(word for word in words if word), to) for to, words in merged.items()]
