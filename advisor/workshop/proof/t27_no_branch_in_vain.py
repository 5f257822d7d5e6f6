"""Every branch can be taken: none is shut out by an earlier check or question on every walk that comes to it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.nodes import Ask, Check
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.decided import decided
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        found = decided(subject, entry)
        if not found.whole:
            continue
        for name, before in found.by.items():
            node = entry.nodes[name]
            if found.most[name] == 1 or not isinstance(node, Check | Ask):
                continue
            branches = len(node.branches) if isinstance(node, Check) else len(node.choices)
            for place in range(branches):
                if place not in found.taken[name]:
                    here = subject.at(entry, name, "branches", place)
                    there = " and ".join(subject.at(entry, other).beside(here) for other in sorted(before))
                    words = f"when is this branch taken? {there} has shut it out on every walk that comes here"
                    yield here.fault(f"{words}; move the bound, or take the branch out")


RULE = Rule(27, "Can every branch be taken?", _check)
