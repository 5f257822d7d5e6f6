"""Every way of loosening a disc carries the screws' caution, whatever it is loosened for."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject

_DISC = "disc"


def _check(subject: Subject) -> Iterator[Fault]:
    cautions = subject.compiled["cautions"]
    for name, raw in subject.raw("adjustments").get("work", {}).items():
        named = raw.get("cautions") or []
        here = subject.table("adjustments", "work", name)
        for caution in named:
            if caution not in cautions:
                yield here.fault(f"what is the caution '{caution}'? trees/cautions.yaml has none; name one that it has")
        if raw.get("part") == _DISC and "screws" not in named:
            words = f"who reminds of the screws where '{name}' opens a disc? Nobody does"
            yield here.fault(f"{words}; write cautions: [screws]")


RULE = Rule(30, "Does every way of loosening a disc carry the screws' caution?", _check)
