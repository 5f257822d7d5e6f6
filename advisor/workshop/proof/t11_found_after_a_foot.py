"""`found` stands only where a check has found a foot on every walk before it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.nodes import Aim, Check, Do
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.contexts import contexts
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        states = contexts(entry)
        for name, node in entry.nodes.items():
            feet = [t.foot for t in node.targets] if isinstance(node, Aim) else []
            if isinstance(node, Check | Do):
                feet = [node.foot]
            blind = next((context for context in states[name] if not context.foot), None)
            if "found" in feet and blind:
                here = (
                    subject.at(entry, name, "aim", feet.index("found"))
                    if isinstance(node, Aim)
                    else subject.at(entry, name, "foot")
                )
                there = subject.at(entry, blind.root).beside(here)
                words = f"which foot is found here? The walk that begins at '{blind.root}' ({there}) has checked none"
                yield here.fault(f"{words}; write foot: each, front or back, or check a foot before")


RULE = Rule(11, "Has a foot been found wherever 'found' stands?", _check)
