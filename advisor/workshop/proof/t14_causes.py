"""Every cause named is written, and every cause written is named."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.nodes import Cause
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject, near


def _check(subject: Subject) -> Iterator[Fault]:
    causes, used = subject.compiled["causes"], set()
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            if isinstance(node, Cause):
                used.add(node.cause)
                if node.cause not in causes:
                    words = f"what is the cause '{node.cause}'? trees/causes/ has none of that name"
                    yield subject.at(entry, name, "cause").fault(f"{words}; {near(node.cause, causes)}")
    for name in causes:
        if name not in used:
            words = f"who shows the cause '{name}'? No entry leads to it; use it, or take the file out"
            yield subject.table(f"causes/{name}", "cause").fault(words, loose=True)


RULE = Rule(14, "Is every cause written that is shown, and shown that is written?", _check)
