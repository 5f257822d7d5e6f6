"""The branches of a question take every option of its fact once, and know no other."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.nodes import Ask
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject, near


def _check(subject: Subject) -> Iterator[Fault]:
    facts = subject.knowledge.facts
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            fact = facts.get(node.fact) if isinstance(node, Ask) else None
            if not isinstance(node, Ask) or fact is None:
                continue
            asked = subject.at(entry, name, "look" if node.look else "ask")
            if fact.kind == "number":
                words = f"is '{fact.id}' a choice? It is a number; use a check of the measure that needs it instead"
                yield asked.fault(words)
                continue
            taken: dict[str, int] = {}
            for place, choice in enumerate(node.choices):
                here = subject.at(entry, name, "branches", place)
                for option in choice.answers:
                    if option not in fact.options:
                        yield here.fault(
                            f"is '{option}' an answer to '{fact.id}'? {near(option, fact.options).capitalize()}"
                        )
                    elif option in taken:
                        other = subject.at(entry, name, "branches", taken[option]).beside(here)
                        yield here.fault(f"which branch takes '{option}'? This one and {other} do; keep one")
                    taken.setdefault(option, place)
            for answer, side in node.feet.items():
                if answer not in fact.options:
                    here = subject.at(entry, name, "foot", side)
                    yield here.fault(
                        f"is '{answer}' an answer to '{fact.id}'? {near(answer, fact.options).capitalize()}"
                    )
            for option in fact.options:
                if option not in taken:
                    there = subject.table("facts", fact.id, "options", option).beside(asked)
                    words = f"what if the answer is '{option}' ({there})? No branch takes it; add it to one"
                    yield asked.fault(words)


RULE = Rule(8, "Do the branches of every question take each option exactly once?", _check)
