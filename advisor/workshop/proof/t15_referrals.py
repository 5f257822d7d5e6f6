"""Every referral named is written, and every referral written is named."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.doubt.tables import load_plausibility
from advisor.graph.nodes import NOT_ENOUGH_KNOWN, TRAVEL_NOT_KNOWN, Refer
from advisor.knowledge.fault import Fault
from advisor.knowledge.trees import authors
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject, near

ALWAYS_USED = {
    NOT_ENOUGH_KNOWN: "where an aim lacks numbers",
    TRAVEL_NOT_KNOWN: "where an aim is not reached and a travel is not known",
}
"""Told by the dialogue itself, and when."""


def _check(subject: Subject) -> Iterator[Fault]:
    referrals = subject.compiled["referrals"]
    used = {*ALWAYS_USED, *load_plausibility(authors()).referrals}
    for name, when in ALWAYS_USED.items():
        if name not in referrals:
            words = f"where is '{name}'? It is told {when}; write it into trees/referrals.yaml"
            yield subject.table("referrals").fault(words)
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            if isinstance(node, Refer):
                used.add(node.referral)
                if node.referral not in referrals:
                    words = f"who is '{node.referral}'? trees/referrals.yaml has none of that name"
                    yield subject.at(entry, name, "refer").fault(f"{words}; {near(node.referral, referrals)}")
    for name in referrals:
        if name not in used:
            words = f"who refers to '{name}'? No entry does; use it, or take it out"
            yield subject.table("referrals", name).fault(words, loose=True)


RULE = Rule(15, "Is every referral written that is named, and named that is written?", _check)
