"""No text says what is never said: by the words of `trees/never_said.yaml`."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Spot, Subject

_FOLDERS = ("entries", "parts", "causes")
_KEYED = ("facts", "referrals", "cautions")
_TABLES = ("adjustments", "talk", "practice", "windows")
_SENTENCE = re.compile(r"(?<=[.!?])\s+")


def _inside(content: Any, place: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Yield every text in a structure, with its place."""
    if isinstance(content, str):
        yield place, content
    elif isinstance(content, dict):
        for key, value in content.items():
            yield from _inside(value, (*place, key))
    elif isinstance(content, list):
        for number, value in enumerate(content):
            yield from _inside(value, (*place, number))


def _texts(subject: Subject) -> Iterator[tuple[Spot, str]]:
    for folder in _FOLDERS:
        for name, raw in subject.compiled[folder].items():
            for place, text in _inside(raw):
                yield subject.table(f"{folder}/{name}", *place), text
    for table in _KEYED:
        for place, text in _inside(subject.compiled[table]):
            yield subject.table(table, *place), text
    for table in _TABLES:
        for place, text in _inside(subject.raw(table)):
            yield subject.table(table, *place), text


def _has(words: Iterable[str], sentence: str) -> str:
    return next((word for word in words if re.search(rf"\b{re.escape(word)}", sentence, re.IGNORECASE)), "")


def _check(subject: Subject) -> Iterator[Fault]:
    rules = subject.compiled["never_said"]
    for here, text in _texts(subject):
        for sentence in _SENTENCE.split(text):
            for raw in rules.values():
                found = [_has(words, sentence) for words in raw["together"]]
                if all(found) and not _has(raw["unless"], sentence):
                    told = " and ".join(f"'{word}'" for word in found)
                    yield here.fault(f"is this safe to say? It speaks of {told}, and {raw['why']}; {raw['instead']}")


RULE = Rule(29, "Is nothing said that is never said?", _check)
