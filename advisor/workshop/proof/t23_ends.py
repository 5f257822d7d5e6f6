"""Where nothing else can be done, an end follows at once: behind `otherwise` and `nothing_left` nothing is asked."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.nodes import Aim, Ask, Cause, Check, Do, Entry, Jump, Mount
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Spot, Subject


def _asking(entry: Entry, name: str) -> str | None:
    """Return the first check or question behind a node, through causes and jumps."""
    seen: set[str] = set()
    while name in entry.nodes and name not in seen:
        seen.add(name)
        node = entry.nodes[name]
        if isinstance(node, Check | Ask):
            return name
        if not isinstance(node, Cause | Jump):
            return None
        name = node.go
    return None


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        ways: list[tuple[Spot, str, str]] = [(subject.of(entry, "nothing_left"), "is left", entry.nothing_left)]
        for name, node in entry.nodes.items():
            if isinstance(node, Aim | Do | Mount):
                ways.append((subject.at(entry, name, "otherwise"), "can be done", node.otherwise))
        for here, when, to in ways:
            asks = _asking(entry, to)
            if asks:
                there = subject.at(entry, asks).beside(here)
                words = f"what is said when nothing {when}? '{asks}' ({there}) looks further, and nobody waits for it"
                yield here.fault(f"{words}; lead to a refer or a tell")


RULE = Rule(23, "Does an end follow where nothing else can be done?", _check)
