"""Every walk ends: from every node an aim, an adjustment, an answer, a referral or `cleared` can be reached."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.circles import circles, leaves
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        for circle in circles(subject, entry):
            if leaves(subject, entry, circle):
                continue
            here, *others = (subject.at(entry, name) for name in circle)
            back = ", ".join(other.beside(here) for other in others)
            words = f"how does a walk end once it comes to '{circle[0]}'{f' ({back})' if back else ''}?"
            yield here.fault(f"{words} It goes round for ever; lead one of its ways to an end or to 'cleared'")


RULE = Rule(6, "Does every walk end?", _check)
