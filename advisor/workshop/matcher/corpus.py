"""The phrases and the language data, read from `trees/`, and their common hash."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor.errors import KnowledgeError
from advisor.knowledge.fault import Fault
from advisor.knowledge.lined_yaml import read
from advisor.knowledge_home import trees_dir

KINDS = ("plain", "terse", "oblique", "second_language", "long", "contrast", "typos")


@dataclass(frozen=True, slots=True)
class Phrase:
    """One phrase, the entry it means, and its manner of speech."""

    text: str
    entry: str
    kind: str


def _parsed(file: Path) -> Any:
    faults: list[Fault] = []
    document = read(file, str(file), faults)
    if faults or document is None:
        raise KnowledgeError(faults[0].place_and_words)
    return document.content


def _phrases_of(file: Path) -> Iterator[Phrase]:
    content = _parsed(file)
    if not isinstance(content, Mapping) or "entry" not in content or not isinstance(content.get("phrases"), Mapping):
        raise KnowledgeError(f"{file}: expected `entry:` and `phrases:` with lists by kind of speech.")
    for kind, texts in content["phrases"].items():
        if kind not in KINDS:
            raise KnowledgeError(f"{file}, phrases.{kind}: no such kind of speech. Use one of {', '.join(KINDS)}.")
        for number, text in enumerate(texts or (), 1):
            if not isinstance(text, str) or not text.strip():
                raise KnowledgeError(
                    f"{file}, phrases.{kind}, item {number}: expected words in quotes, found {text!r}."
                )
            yield Phrase(text, str(content["entry"]), str(kind))


def _other_voices(file: Path) -> Iterator[Phrase]:
    content = _parsed(file)
    for entry, texts in content["other_voices"].items():
        for number, text in enumerate(texts or (), 1):
            if not isinstance(text, str) or not text.strip():
                raise KnowledgeError(f"{file}, {entry}, item {number}: expected words in quotes, found {text!r}.")
            yield Phrase(text, str(entry), "oblique")


def _phrase_files(trees: Path) -> list[Path]:
    return sorted((trees / "phrases").glob("*.yaml"))


def load_phrases(trees: Path | None = None) -> list[Phrase]:
    """Return every phrase of `trees/phrases/`, file by file in the order of their names, then the other voices.

    Raises
    ------
    KnowledgeError
        Naming file and place, when a file is not of the format.

    """
    root = trees or trees_dir()
    phrases = [phrase for file in _phrase_files(root) for phrase in _phrases_of(file)]
    voices = sorted((root / "match").glob("other_voices*.yaml"))
    return phrases + [phrase for file in voices for phrase in _other_voices(file)]


def load_vague(trees: Path | None = None) -> list[tuple[Phrase, tuple[str, ...]]]:
    """Return the sayings of `vague.yaml` with the entries that each fits alike."""
    file = (trees or trees_dir()) / "match" / "vague.yaml"
    found = []
    for number, item in enumerate(_parsed(file)["vague"], 1):
        if not isinstance(item, Mapping) or set(item) != {"says", "means"} or len(item["means"]) < 2:
            raise KnowledgeError(f"{file}, item {number}: expected says: [words ...] and means: [two entries or more].")
        means = tuple(str(entry) for entry in item["means"])
        found += [(Phrase(str(says), means[0], "plain"), means) for says in item["says"]]
    return found


def language_data(trees: Path | None = None) -> dict[str, Any]:
    """Return the parsed files of `trees/match/`, by name without ending."""
    return {file.stem: _parsed(file) for file in sorted(((trees or trees_dir()) / "match").glob("*.yaml"))}


def _sources(trees: Path) -> Iterable[Path]:
    yield from _phrase_files(trees)
    yield from sorted((trees / "match").glob("*.yaml"))


def phrases_hash(trees: Path | None = None) -> str:
    """Return the hash [hex] of all that the model is built from, line endings apart."""
    root = trees or trees_dir()
    digest = hashlib.sha256()
    for file in _sources(root):
        digest.update(file.relative_to(root).as_posix().encode())
        digest.update(file.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()
