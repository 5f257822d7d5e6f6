"""The phrases and the language data are sound."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.errors import KnowledgeError
from advisor.match.lexicon import Lexicon, pack_language
from advisor.workshop.matcher.corpus import language_data, load_phrases, phrases_hash


def test_every_entry_has_forty_phrases_or_more() -> None:
    counts: dict[str, int] = {}
    for phrase in load_phrases():
        counts[phrase.entry] = counts.get(phrase.entry, 0) + 1
    assert len(counts) == 56
    assert min(counts.values()) >= 40


def test_a_broken_phrase_file_is_named_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "phrases").mkdir()
    (tmp_path / "match").mkdir()
    file = tmp_path / "phrases" / "x.yaml"
    file.write_text('entry: x\nphrases:\n  plain: ["ok", 3]\n', encoding="utf-8")
    with pytest.raises(KnowledgeError, match=r"x\.yaml, phrases\.plain, item 2"):
        load_phrases(tmp_path)


def test_the_hash_changes_with_a_phrase_and_not_with_line_endings(tmp_path: Path) -> None:
    (tmp_path / "phrases").mkdir()
    file = tmp_path / "phrases" / "x.yaml"
    file.write_bytes(b"entry: x\n")
    first = phrases_hash(tmp_path)
    file.write_bytes(b"entry: x\r\n")
    assert phrases_hash(tmp_path) == first
    file.write_bytes(b"entry: y\n")
    assert phrases_hash(tmp_path) != first


def test_language_lists_hold_words_only() -> None:
    """YAML reads a bare yes, no, on or off as true or false: such words need quotes."""
    data = language_data()
    lists = [value for value in data["language"].values() if isinstance(value, list)]
    lists += list(data["concepts"]["concepts"].values())
    assert [word for words in lists for word in words if not isinstance(word, str)] == []


def test_concepts_join_words_of_one_meaning() -> None:
    data = language_data()
    lexicon = Lexicon(pack_language(data["language"], data["concepts"]["concepts"]))
    one = {number for _, _, number in lexicon.concepts(["bum"])}
    two = {number for _, _, number in lexicon.concepts(["buttock"])}
    assert one & two
