"""Every shared part is entered by an entry."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def _check(subject: Subject) -> Iterator[Fault]:
    entered = {node.rpartition(".")[0] for entry in subject.entries for node in entry.nodes}
    for name in subject.compiled["parts"]:
        if name not in entered:
            words = f"who goes on in the part '{name}'? No entry leads to it; jump to it, or take the file out"
            yield subject.table(f"parts/{name}", "part").fault(words, loose=True)


RULE = Rule(18, "Is every part entered?", _check)
