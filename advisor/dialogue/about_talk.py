"""Talk about the talk: which of the things that may be said at any prompt a line says, in any wording."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple

from advisor.knowledge.tables import entry_fault
from advisor.knowledge.trees import Trees, authors, of_trees
from advisor.match.expressions import Expressions, Found
from advisor.match.heard import Heard

Moment = Literal["start", "question", "answer", "made"]
_FILE = "talk_about.yaml"
_TERM, _NUMBER = "{term}", "{number}"


class Spoken(NamedTuple):
    """What a line is about, and the term it names, if any."""

    intent: str
    term: str = ""


class _Word(NamedTuple):
    """One word or phrase to be heard: `how` is whole, head, prefix, phrase, form, term or number."""

    how: str
    words: str


class _Way(NamedTuple):
    needs: tuple[tuple[_Word, ...], ...]
    bars: tuple[tuple[_Word, ...], ...]


class AboutTalk:
    """The intents of `trees/talk_about.yaml`."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.said: Mapping[str, str] = data["said"]
        self.terms: Mapping[str, str] = data["terms"]
        self.wants: Mapping[str, Sequence[str]] = data["wants"]
        self.rules_out: Mapping[str, Sequence[str]] = data["wants_rule_out"]
        names = [(words, term) for term in data["terms"] for words in (term, f"{term}s")]
        self._terms = Expressions(names)
        self._intents = {
            name: (frozenset(spec["at"]), tuple(_way(name, way) for way in spec["ways"]))
            for name, spec in data["intents"].items()
        }

    def hear(self, heard: Heard, moment: Moment) -> Spoken | None:
        """Return what a line says about the talk at a moment; None where it says nothing of that."""
        line = _Line(heard, self._terms.find(heard.bare))
        for name, (moments, ways) in self._intents.items():
            if moment in moments and any(line.says(way) for way in ways):
                return Spoken(name, line.term)
        return None

    def term_in(self, heard: Heard) -> str:
        """Return the first term that a line names."""
        found = self._terms.find(heard.bare)
        return found[0].means if found else ""

    def wants_in(self, heard: Heard) -> tuple[str, ...]:
        """Return the names of the wishes that a line's words name."""
        forms = set(heard.bare)
        return tuple(name for name, words in self.wants.items() if forms.intersection(words))


class _Line:
    def __init__(self, heard: Heard, terms: Sequence[Found[str]]) -> None:
        words = [form for form in heard.forms if form[0].isalnum()]
        self.plain = " ".join(words)
        self.padded = f" {self.plain} "
        self.bare = f" {' '.join(form for form in heard.bare if form[0].isalnum())} "
        self.forms = {*words, *heard.bare}
        self.has_number = bool(heard.numbers)
        self.term = terms[0].means if terms else ""
        self.first = heard.bare[terms[0].start - 1] if terms and terms[0].start else ""

    def says(self, way: _Way) -> bool:
        return all(any(map(self._has, group)) for group in way.needs) and not any(
            any(map(self._has, group)) for group in way.bars
        )

    def _has(self, word: _Word) -> bool:
        if word.how == "form":
            return word.words in self.forms
        if word.how == "phrase":
            return f" {word.words} " in self.padded or f" {word.words} " in self.bare
        if word.how == "whole":
            return self.plain == word.words
        if word.how == "prefix":
            return any(form.startswith(word.words) for form in self.forms)
        if word.how == "head":
            return self.padded.startswith(f" {word.words} ")
        if word.how == "number":
            return self.has_number and f" {word.words} " in self.padded
        return bool(self.term)


def _way(name: str, text: str) -> _Way:
    needs: list[tuple[_Word, ...]] = []
    bars: list[tuple[_Word, ...]] = []
    for group in text.split("&"):
        group = group.strip()
        barred = group.startswith("!")
        words = tuple(_word(one.strip()) for one in group.removeprefix("!").split("|") if one.strip())
        if not words:
            raise entry_fault(_FILE, name, "a group without words; write one, or take the & out")
        (bars if barred else needs).append(words)
    return _Way(tuple(needs), tuple(bars))


def _word(text: str) -> _Word:
    if text == _TERM or _TERM in text:
        return _Word("term", "")
    if _NUMBER in text:
        return _Word("number", text.replace(_NUMBER, "").strip())
    if text.startswith("="):
        return _Word("whole", text[1:].strip())
    if text.startswith("^"):
        return _Word("head", text[1:].strip())
    if text.endswith("*"):
        return _Word("prefix", text[:-1])
    return _Word("phrase" if " " in text else "form", text)


def about_talk() -> AboutTalk:
    """Return the intents.

    Raises
    ------
    KnowledgeError
        When the file cannot be read.

    """
    return _read(authors())


@of_trees
def _read(trees: Trees) -> AboutTalk:
    return AboutTalk(trees.table(_FILE))
