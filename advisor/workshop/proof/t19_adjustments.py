"""Every adjustment named exists, is made at the feet named, and has words for its direction."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.graph.nodes import Aim, Do
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject, near

_FEET = {
    "each": {"each", "front", "back", "found"},
    "front": {"each", "front", "found"},
    "back": {"each", "back", "found"},
    "both": {"board"},
    "none": {"board"},
}


def _check(subject: Subject) -> Iterator[Fault]:
    adjustments = subject.raw("adjustments").get("adjustments", {})
    for name, danger in subject.compiled["dangers"].items():
        for place, one in enumerate(danger["adjustments"]):
            if one not in adjustments:
                here = subject.table("dangers", name, "adjustments", place)
                yield here.fault(
                    f"what is the adjustment '{one}'? trees/adjustments.yaml has none; {near(one, adjustments)}"
                )
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            for place, one in enumerate(node.allowed if isinstance(node, Aim) else ()):
                if one not in adjustments:
                    words = f"what is the adjustment '{one}'? trees/adjustments.yaml has none"
                    yield subject.at(entry, name, "with", place).fault(f"{words}; {near(one, adjustments)}")
            if not isinstance(node, Do):
                continue
            here = subject.at(entry, name, "do")
            raw = adjustments.get(node.adjustment)
            if raw is None:
                words = f"what is the adjustment '{node.adjustment}'? trees/adjustments.yaml has none"
                yield here.fault(f"{words}; {near(node.adjustment, adjustments)}")
                continue
            there = subject.table("adjustments", "adjustments", node.adjustment).beside(here)
            if node.foot not in _FEET[raw["feet"]]:
                right = ", ".join(sorted(_FEET[raw["feet"]]))
                words = f"at which foot is '{node.adjustment}' made? {there} says feet: {raw['feet']}"
                yield subject.at(entry, name, "foot").fault(f"{words}; write foot: {right}")
            sign = "plus" if node.steps > 0 else "minus"
            if node.steps == 0:
                yield subject.at(entry, name, "steps").fault("what do 0 steps do? Write +1 or more, or -1 or less")
            elif not _has_words(raw, sign):
                words = f"how is '{node.adjustment}' told for {node.steps:+d} steps? {there} has no words for {sign}"
                yield subject.at(entry, name, "steps").fault(f"{words}; write them, or turn the sign")


def _has_words(raw: dict[str, Any], sign: str) -> bool:
    ways = raw.get("ways", [])
    return sign in raw.get("do", {}) or (bool(ways) and all(sign in way.get("do", {}) for way in ways))


RULE = Rule(19, "Does every adjustment exist, at that foot and in that direction?", _check)
