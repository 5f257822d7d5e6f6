"""No path on which a sign of the body was told, or was not clearly denied, ends in a setting."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from advisor.graph.nodes import CLEARED, Ask, Cause, Entry, Jump, Node, Refer
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject

_GRAVE = frozenset({"clinician", "emergency"})
_DENIALS = frozenset({"no", "none"})


def for_a_clinician(subject: Subject, entry: Entry, place: str) -> bool:
    """Return whether a node, past causes, refers to a clinician or to emergency help."""
    node: Node | None = entry.nodes.get(place)
    for _ in entry.nodes:
        if not isinstance(node, Cause | Jump):
            break
        node = entry.nodes.get(node.go)
    raw: Mapping[str, str] = subject.compiled["referrals"].get(node.referral, {}) if isinstance(node, Refer) else {}
    return raw.get("verdict") in _GRAVE


def asks_after_signs(subject: Subject, entry: Entry) -> set[str]:
    """Return the questions of an entry of which an answer leads to a clinician, at once or through another of them."""
    found: set[str] = set()
    asks = {name: node for name, node in entry.nodes.items() if isinstance(node, Ask)}
    while more := {
        name
        for name, node in asks.items()
        if name not in found
        and any(choice.go in found or for_a_clinician(subject, entry, choice.go) for choice in node.choices)
    }:
        found |= more
    return found


def _check(subject: Subject) -> Iterator[Fault]:
    told = set()
    for entry in subject.entries:
        medical = asks_after_signs(subject, entry)
        for name in medical:
            node = entry.nodes[name]
            assert isinstance(node, Ask)

            def leads_on(to: str, entry: Entry = entry, medical: set[str] = medical) -> bool:
                return to != CLEARED and (to in medical or for_a_clinician(subject, entry, to))

            here = subject.at(entry, name, "unsure")
            if not leads_on(node.unsure) and here not in told:
                told.add(here)
                yield here.fault(
                    f"what if nobody can tell {node.fact}? A sign not denied counts as told; lead 'unsure' to the "
                    "next question after a sign, or to the clinician"
                )
            for place, choice in enumerate(node.choices):
                here = subject.at(entry, name, "branches", place, "go")
                if set(choice.answers) <= _DENIALS or leads_on(choice.go) or here in told:
                    continue
                told.add(here)
                yield here.fault(
                    f"does {'/'.join(choice.answers)} to {node.fact} tell a sign? Then it may not lead to a setting; "
                    "lead it to the clinician"
                )


RULE = Rule(32, "Does no path end in a setting on which a sign was told, or not denied?", _check)
