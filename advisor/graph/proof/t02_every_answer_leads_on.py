"""Every way on leads to a node of the same file, or to a part that exists."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.graph.fault import Fault
from advisor.graph.nodes import CLEARED
from advisor.graph.proof.rule import Example, Rule
from advisor.graph.proof.subject import Subject, near

__all__ = ["RULE"]

_Place = tuple[str | int, ...]


def _targets(raw: dict[str, Any]) -> Iterator[tuple[_Place, str]]:
    """Yield every way on that a file names: where it stands, and what it names."""
    for place, suspect in enumerate(raw.get("suspects", ())):
        yield ("suspects", place, "start"), suspect["start"]
    for key in ("nothing_left", "start"):
        if key in raw:
            yield (key,), raw[key]
    for name, node in raw["nodes"].items():
        for key in ("go", "otherwise", "unsure", "unknown"):
            if node.get(key) is not None:
                yield ("nodes", name, key), node[key]
        for place, branch in enumerate(node.get("branches", ())):
            yield ("nodes", name, "branches", place, "go"), branch["go"]


def _check(subject: Subject) -> Iterator[Fault]:
    parts = subject.compiled["parts"]
    for page in subject.pages:
        for place, to in _targets(page.raw):
            if to not in page.nodes and to != CLEARED:
                advice = "write {jump: " + to + "} in a node" if to in parts else near(to, page.nodes)
                yield page.spot(*place).fault(f"where does '{to}' lead? There is no such node here; {advice}")
        for name, node in page.nodes.items():
            if name == CLEARED:
                yield page.spot("nodes", name).fault(
                    "is 'cleared' a node? It means that a suspect is ruled out; rename it"
                )
            if "jump" in node and node["jump"] not in parts:
                words = (
                    f"where does the jump to '{node['jump']}' lead? There is no such part; {near(node['jump'], parts)}"
                )
                yield page.spot("nodes", name, "jump").fault(words)


RULE = Rule(
    2,
    "Does every answer lead on?",
    _check,
    (
        Example(
            "entries/sore_knee.yaml",
            "{below: 6, go: close}",
            "{below: 6, go: closed}",
            "go: closed",
            "did you mean close",
        ),
        Example(
            "entries/sore_knee.yaml",
            "    foot: each\n",
            "    foot: each\n    unknown: edges\n",
            "unknown: edges",
            "did you mean edge",
        ),
        Example("entries/sore_knee.yaml", "jump: dull_edge", "jump: dull_edges", "jump: dull_edges", "no such part"),
    ),
)
