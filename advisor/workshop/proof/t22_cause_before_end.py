"""In a complaint every adjustment has its cause, one and no more, and so has whatever a check alone leads to."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.nodes import Aim, Cause, Do, Mount
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.contexts import contexts
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import ENDS, Subject


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        states = contexts(entry)
        for name, node in entry.nodes.items():
            known = sorted((c for c in states[name] if c.root != entry.nothing_left), key=str)
            if isinstance(node, Cause):
                before = next((context.cause for context in known if context.cause), None)
                if before:
                    here = subject.at(entry, name, "cause")
                    there = subject.at(entry, before, "cause").beside(here)
                    yield here.fault(f"which cause is it? {there} has shown another on the same walk; keep one")
            if entry.kind != "symptom" or not isinstance(node, ENDS):
                continue
            needs = isinstance(node, Aim | Do | Mount)
            bare = next((c for c in known if c.cause is None and (needs or c.from_check)), None)
            if bare:
                here = subject.at(entry, name)
                there = subject.at(entry, bare.root).beside(here)
                words = f"what is the cause here? The walk from '{bare.root}' ({there}) ends without one"
                yield here.fault(f"{words}; lead through a cause")


RULE = Rule(22, "Is one cause shown before a complaint ends?", _check)
