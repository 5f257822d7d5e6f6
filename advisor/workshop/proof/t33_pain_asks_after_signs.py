"""Every complaint of pain asks after signs before any suspect, and every sign of the listener has its place."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.nodes import Ask, Entry
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject, near
from advisor.workshop.proof.t32_signs_end_in_no_setting import asks_after_signs

_ENTRY, _TOLD = "danger_sign", "told_sign"


def _gates(subject: Subject) -> Iterator[Fault]:
    told_by = {
        name for danger in subject.compiled["dangers"].values() if danger["asks_first"] for name in danger["cautions"]
    }
    for entry in subject.entries:
        if entry.kind != "symptom" or not told_by & set(entry.cautions):
            continue
        medical = asks_after_signs(subject, entry)
        bare = [one.start for one in entry.suspects if not _gated(entry, one.start, medical)]
        if bare:
            words = "is nobody asked after signs here? A complaint of pain puts them first: lead `first` to a question"
            yield subject.of(entry, "cautions").fault(f"{words} of which an answer leads to a clinician")


def _gated(entry: Entry, start: str, medical: set[str]) -> bool:
    return isinstance(entry.nodes.get(start), Ask) and start in medical


def _places(subject: Subject) -> Iterator[Fault]:
    """Every sign leads to an entry that is there, by answers that it knows."""
    facts, entries = subject.compiled["facts"], subject.compiled["entries"]
    for table in ("signs/body", "signs/gear", "signs/judged"):
        for name, raw in subject.raw(table).items():
            entry = raw.get("entry", _ENTRY)
            here = subject.table(table, name)
            if entry not in entries:
                yield here.fault(f"where does {name} lead? There is no entry '{entry}'; {near(entry, entries)}")
            told = {**raw.get("facts", {}), **raw.get("denies", {})}
            if "tells" in raw:
                told[_TOLD] = raw["tells"]
            for fact, option in told.items():
                if fact not in facts or option not in facts[fact]["options"]:
                    yield here.fault(
                        f"what does {name} answer? '{fact}: {option}' is no answer; write one of facts.yaml"
                    )


def _check(subject: Subject) -> Iterator[Fault]:
    yield from _gates(subject)
    yield from _places(subject)


RULE = Rule(
    33,
    "Does every complaint of pain ask after signs first, and does every sign that is heard lead to its answer?",
    _check,
)
