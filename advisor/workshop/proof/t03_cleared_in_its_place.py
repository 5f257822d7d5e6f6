"""A suspect is cleared by a check or an answer, before a cause is shown; nothing else can clear it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.nodes import CLEARED, Ask, Check
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.contexts import contexts
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject, roots, ways_on


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        for place, start in roots(entry):
            if start == CLEARED:
                yield subject.of(entry, *place).fault("what is cleared here? A walk begins at a node; name one")
        states = contexts(entry)
        for name, node in entry.nodes.items():
            for way in ways_on(node):
                if way.to != CLEARED:
                    continue
                here = subject.at(entry, name, *way.place)
                if not isinstance(node, Check | Ask):
                    yield here.fault("what is cleared here? Only a check or an answer clears a suspect; name a node")
                    continue
                shown = next((context.cause for context in states[name] if context.cause), None)
                if shown:
                    there = subject.at(entry, shown, "cause")
                    words = (
                        f"is the suspect cleared after all? {there.beside(here)} has shown its cause; lead to an end"
                    )
                    yield here.fault(words)


RULE = Rule(3, "Is a suspect cleared only where that makes sense?", _check)
