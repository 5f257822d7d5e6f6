"""Every caution named is written, and every caution written is named."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Spot, Subject, near


def _named(subject: Subject) -> Iterator[tuple[Spot, str]]:
    """Yield every caution that an entry, a cause or a referral names; a danger only names what would do."""
    for folder in ("entries", "causes"):
        for name, raw in subject.compiled[folder].items():
            for place, caution in enumerate(raw["cautions"]):
                yield subject.table(f"{folder}/{name}", "cautions", place), caution
    for name, raw in subject.compiled["referrals"].items():
        for place, caution in enumerate(raw["cautions"]):
            yield subject.table("referrals", name, "cautions", place), caution


def _check(subject: Subject) -> Iterator[Fault]:
    cautions, used = subject.compiled["cautions"], set()
    for here, caution in _named(subject):
        used.add(caution)
        if caution not in cautions:
            words = f"what is the caution '{caution}'? trees/cautions.yaml has none of that name"
            yield here.fault(f"{words}; {near(caution, cautions)}")
    for name, raw in subject.compiled["dangers"].items():
        for place, caution in enumerate(raw["cautions"]):
            if caution not in cautions:
                here = subject.table("dangers", name, "cautions", place)
                words = f"what is the caution '{caution}'? trees/cautions.yaml has none of that name"
                yield here.fault(f"{words}; {near(caution, cautions)}")
    for name in cautions:
        if name not in used:
            words = f"who says the caution '{name}'? No entry, cause or referral does; use it, or take it out"
            yield subject.table("cautions", name).fault(words, loose=True)


RULE = Rule(16, "Is every caution written that is named, and named that is written?", _check)
