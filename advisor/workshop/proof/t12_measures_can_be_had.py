"""What a checked measure lacks on a bare sheet can be asked for: each field that is not estimated has a fact."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.geometry.one_number import field_as_measure
from advisor.geometry.register import MEASURES
from advisor.graph.nodes import Check
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.obtaining import can_be_had, fields_lacking
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def _check(subject: Subject) -> Iterator[Fault]:
    facts = subject.knowledge.facts
    told: set[str] = set()
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            if not isinstance(node, Check) or node.unknown:
                continue
            if node.measure not in MEASURES and field_as_measure(node.measure) is None:
                continue
            for path in fields_lacking(node.measure):
                if path in told or can_be_had(path, facts):
                    continue
                told.add(path)
                words = f"how is {path} found out? {node.measure} needs it, and a sheet may lack it"
                yield subject.at(entry, name, "check").fault(f"{words}; write it into trees/facts.yaml")


RULE = Rule(12, "Can everything that a check needs be asked or measured?", _check)
