"""Every way on leads to a node of the same file, or to a part that exists."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.graph.expanding import before_suspects
from advisor.graph.nodes import CLEARED, SUSPECTS
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject, near

_Place = tuple[str | int, ...]


def _targets(raw: dict[str, Any]) -> Iterator[tuple[_Place, str]]:
    """Yield every way on that a file names: where it stands, and what it names."""
    for place, suspect in enumerate(raw.get("suspects", ())):
        yield ("suspects", place, "start"), suspect["start"]
    for key in ("first", "nothing_left", "start"):
        if raw.get(key) is not None:
            yield (key,), raw[key]
    for name, node in raw["nodes"].items():
        for key in ("go", "otherwise", "unsure", "unknown"):
            if node.get(key) is not None:
                yield ("nodes", name, key), node[key]
        for place, branch in enumerate(node.get("branches", ())):
            yield ("nodes", name, "branches", place, "go"), branch["go"]


def _from_before(place: _Place, before: set[str]) -> bool:
    return place[0] == "first" or (place[0] == "nodes" and place[1] in before)


def _check(subject: Subject) -> Iterator[Fault]:
    parts = subject.compiled["parts"]
    for page in subject.pages:
        before = before_suspects(page.nodes)
        first = page.raw.get("first")
        if first in page.nodes and first not in before:
            words = f"does '{first}' lead on? Nothing behind it goes on to the suspects; lead there"
            yield page.spot("first").fault(words)
        for place, to in _targets(page.raw):
            if to == SUSPECTS and not first:
                words = "which suspects? Only what stands behind 'first' can lead on to them; name a node"
                yield page.spot(*place).fault(words)
            elif first and to in before and not _from_before(place, before):
                words = f"why back to '{to}'? It stands before the suspects and is done by now; name a node behind it"
                yield page.spot(*place).fault(words)
            elif to not in page.nodes and to not in {CLEARED, SUSPECTS}:
                advice = "write {jump: " + to + "} in a node" if to in parts else near(to, page.nodes)
                yield page.spot(*place).fault(f"where does '{to}' lead? There is no such node here; {advice}")
        for name, node in page.nodes.items():
            if name == CLEARED:
                yield page.spot("nodes", name).fault(
                    "is 'cleared' a node? It means that a suspect is ruled out; rename it"
                )
            if name == SUSPECTS:
                yield page.spot("nodes", name).fault(
                    "is 'suspects' a node? It means that the entry's suspects are looked at now; rename it"
                )
            if "jump" in node and node["jump"] not in parts:
                words = (
                    f"where does the jump to '{node['jump']}' lead? There is no such part; {near(node['jump'], parts)}"
                )
                yield page.spot("nodes", name, "jump").fault(words)


RULE = Rule(2, "Does every answer lead on?", _check)
