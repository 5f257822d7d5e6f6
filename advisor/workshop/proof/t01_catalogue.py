"""Every entry that the catalogue promises is there, and no other."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject, near


def _check(subject: Subject) -> Iterator[Fault]:
    promised = subject.compiled["catalogue"]
    for entry in subject.entries:
        if entry.id not in promised:
            words = f"is '{entry.id}' promised? trees/catalogue.yaml does not know it; {near(entry.id, promised)}"
            yield subject.of(entry, "entry").fault(words)
        elif entry.kind != promised[entry.id]["kind"]:
            there = subject.table("catalogue", entry.id)
            here = subject.of(entry, "kind")
            words = (
                f"is this a {entry.kind}? {there.beside(here)} calls it a {promised[entry.id]['kind']}; make both agree"
            )
            yield here.fault(words)
    written = subject.compiled["entries"]
    for name in promised:
        if name not in written:
            words = f"where is '{name}'? trees/entries/{name}.yaml is not written; write it"
            yield subject.table("catalogue", name).fault(words, loose=True)


RULE = Rule(1, "Is every entry of the catalogue written, and every written entry in the catalogue?", _check)
