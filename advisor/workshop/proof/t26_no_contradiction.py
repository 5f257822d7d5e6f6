"""No condition is put twice along one walk with different ends: the second time it is decided already."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.decided import decided
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        found = decided(subject, entry)
        if not found.whole:
            words = "do these nodes hang together in too many ways? The proof gave up following them; split the entry"
            yield subject.of(entry, "nodes").fault(words)
            continue
        for name, before in found.by.items():
            if found.most[name] == 1:
                here = subject.at(entry, name)
                there = " and ".join(subject.at(entry, other).beside(here) for other in sorted(before))
                words = f"which of the two holds? What '{name}' looks at is decided by {there} on every walk here"
                yield here.fault(f"{words}; take one of them out")


RULE = Rule(26, "Is no condition put twice along one walk?", _check)
