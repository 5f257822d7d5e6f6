"""No walk comes back to where it was: nothing was learnt on the way, so the engine would give the suspect up."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.circles import circles, leaves
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        for circle in circles(subject, entry):
            if not leaves(subject, entry, circle):
                continue
            here, *others = (subject.at(entry, name) for name in circle)
            back = ", ".join(other.beside(here) for other in others)
            words = f"does '{circle[0]}' lead back to itself, by {' and '.join(circle[1:]) or 'its own answer'}"
            yield here.fault(
                f"{words}{f' ({back})' if back else ''}? Nothing new is learnt on the way; lead on instead"
            )


RULE = Rule(5, "Does every walk get on, without coming back to where it was?", _check)
