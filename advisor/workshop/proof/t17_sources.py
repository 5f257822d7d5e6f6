"""Every source named is written, and every source written is named, over all of `trees/` and the measures."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.geometry.register import MEASURES
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Spot, Subject, near

_FOLDERS = ("entries", "parts", "causes")
_TABLES = (
    "practice",
    "windows",
    "adjustments",
    "estimates",
    "boot_sizes",
    "limits",
    "doses",
    "signs/body",
    "signs/gear",
    "signs/judged",
)


def _inside(content: Any, place: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Yield every `source:` in a structure, with its place."""
    if isinstance(content, dict):
        for key, value in content.items():
            if key == "source" and isinstance(value, str):
                yield (*place, key), value
            else:
                yield from _inside(value, (*place, key))
    elif isinstance(content, list):
        for number, value in enumerate(content):
            yield from _inside(value, (*place, number))


def _named(subject: Subject) -> Iterator[tuple[Spot, str]]:
    for folder in _FOLDERS:
        for name, raw in subject.compiled[folder].items():
            for place, source in _inside(raw):
                yield subject.table(f"{folder}/{name}", *place), source
    for table in _TABLES:
        for place, source in _inside(subject.raw(table)):
            yield subject.table(table, *place), source
    for table in ("dangers", "never_said"):
        for place, source in _inside(subject.compiled[table]):
            yield subject.table(table, *place), source


def _check(subject: Subject) -> Iterator[Fault]:
    sources, used, missed = subject.compiled["sources"], set(), set()
    for here, source in _named(subject):
        used.add(source)
        if source not in sources and (here, source) not in missed:
            missed.add((here, source))
            words = f"what is the source '{source}'? trees/sources.yaml has none of that name"
            yield here.fault(f"{words}; {near(source, sources)}")
    for measure in MEASURES.values():
        used.add(measure.source)
        if measure.source not in sources:
            words = f"where is the source '{measure.source}'? The measure {measure.id} rests on it; write it again"
            yield subject.table("sources").fault(words)
    for name in sources:
        if name not in used:
            words = f"what rests on the source '{name}'? Nothing names it; use it, or take it out"
            yield subject.table("sources", name).fault(words, loose=True)


RULE = Rule(17, "Is every source written that is named, and named that is written?", _check)
