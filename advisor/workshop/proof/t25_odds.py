"""The odds of an entry's suspects add up to about 1, and no line of looking begins twice."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject

_ABOUT = 0.021


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        total = sum(suspect.odds for suspect in entry.suspects)
        if abs(total - 1) > _ABOUT:
            words = f"do the odds add up? They come to {total:.3g}; make them come to 1"
            yield subject.of(entry, "suspects").fault(words)
        first: dict[str, int] = {}
        for place, suspect in enumerate(entry.suspects):
            if suspect.start in first:
                here = subject.of(entry, "suspects", place)
                other = subject.of(entry, "suspects", first[suspect.start]).beside(here)
                yield here.fault(f"is '{suspect.start}' a suspect twice? {other} begins there already; keep one")
            first.setdefault(suspect.start, place)


RULE = Rule(25, "Do the odds add up to 1, with every suspect once?", _check)
