"""Concepts and the words for them, compiled into one tree that a line is led through once."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import product
from typing import Any, NamedTuple

from advisor.kept import keep, kept_file, read_kept
from advisor.signs.line import Word, folded

_ENDS = ""
_GAP = ".."
_WIDEST_GAP = 3
_NEARLY = 5


class Found(NamedTuple):
    """A concept that stands in a line: from one word to before another."""

    concept: str
    start: int
    end: int


class Lexicon:
    """The words of every concept.

    Parameters
    ----------
    concepts
        Gives the words by concept, where they are not kept. `a|b` one of two words, `word*` a beginning, `..` up to
        three words between, `word?` may be left out (`words?`: with or without its s), `!a|b` at the end: not before
        one of these.
    hidden
        Concepts whose words are hidden from all others: figures of speech, and parts named after a body's.
    slips
        Words that are known in spite of one wrong letter.
    stamp
        What tells these words from others: the tree built of them is kept under it. Empty: nothing is kept.

    """

    def __init__(
        self,
        concepts: Callable[[], Mapping[str, Sequence[str]]],
        hidden: frozenset[str],
        slips: frozenset[str],
        stamp: str = "",
    ) -> None:
        built = _kept(stamp) or _built(concepts(), hidden, stamp)
        self._tree, self._hidden = built["tree"], built["hidden"]
        self._plain = frozenset(built["plain"])
        self._unspaced = [(str(phrase), str(concept)) for phrase, concept in built["unspaced"]]
        self._beginnings: dict[int, dict[str, str]] = {}
        for word in built["beginnings"]:
            self._beginnings.setdefault(len(word) - 1, {})[word[:-1]] = word
        self._lengths = sorted(self._beginnings)
        self._near: dict[str, list[str]] = {}
        for word in sorted(slips):
            self._near.setdefault(word[0], []).append(word)
        self.keys = lru_cache(4096)(self._keys)

    def _keys(self, word: str) -> tuple[str, ...]:
        """Return what a word may be looked up by: itself, its beginnings, or the words that it is a slip of."""
        keys = self._own(word)
        if not keys and len(word) >= _NEARLY and not word[0].isdigit():
            near = [one for one in self._near.get(word[0], ()) if _slip(word, one)]
            return tuple(key for one in near for key in self._own(one))
        return tuple(keys)

    def _own(self, word: str) -> list[str]:
        rows = ((self._beginnings[n], word[:n]) for n in self._lengths if n <= len(word))
        return [*([word] if word in self._plain else []), *(row[head] for row, head in rows if head in row)]

    def find(self, words: Sequence[Word], text: str) -> tuple[list[Found], frozenset[str]]:
        """Return every concept found, hidden words left out, and the concepts of scripts without spaces."""
        keys = [self.keys(word.text) for word in words]
        covered = [False] * len(words)
        found = []
        for start in range(len(words)):
            best = max(self._led(self._hidden, words, keys, start), key=lambda one: one.end, default=None)
            if best:
                found.append(best)
                covered[start : best.end] = [True] * (best.end - start)
        shown = [() if hidden else key for key, hidden in zip(keys, covered, strict=True)]
        for start in range(len(words)):
            if shown[start]:
                found += self._led(self._tree, words, shown, start)
        found = list(dict.fromkeys(found))
        if text.isascii():
            return found, frozenset()
        return found, frozenset(concept for phrase, concept in self._unspaced if phrase in text)

    def _led(
        self, tree: dict[str, Any], words: Sequence[Word], keys: Sequence[tuple[str, ...]], start: int
    ) -> Iterator[Found]:
        clause = words[start].clause
        waiting = [(tree, start)]
        while waiting:
            node, at = waiting.pop()
            for concept, unless in node.get(_ENDS, ()):
                if at >= len(words) or words[at].clause != clause or words[at].text not in unless:
                    yield Found(concept, start, at)
            if at >= len(words) or (at > start and words[at].clause != clause):
                continue
            waiting += [(node[key], at + 1) for key in keys[at] if key in node]
            if _GAP in node:
                for skipped in range(_WIDEST_GAP + 1):
                    if at + skipped < len(words) and words[at + skipped].clause == clause:
                        waiting += [
                            (node[_GAP][key], at + skipped + 1) for key in keys[at + skipped] if key in node[_GAP]
                        ]


def _kept(stamp: str) -> Any:
    """Return the tree as it was built before from the same words, or None."""
    content = read_kept(kept_file(f"signs-{stamp}.json")) if stamp else None
    return json.loads(content) if content else None


def _built(concepts: Mapping[str, Sequence[str]], hidden: frozenset[str], stamp: str) -> Any:
    made: dict[str, Any] = {"tree": {}, "hidden": {}, "plain": [], "beginnings": [], "unspaced": []}
    plain: set[str] = set()
    beginnings: set[str] = set()
    for concept, phrases in concepts.items():
        tree = made["hidden" if concept in hidden else "tree"]
        for phrase in phrases:
            told = folded(str(phrase))
            if not told.isascii():
                made["unspaced"].append([told, concept])
                continue
            for path, unless in _paths(told):
                node = tree
                for word in path:
                    node = node.setdefault(word, {})
                    if word != _GAP:
                        (beginnings if word.endswith("*") else plain).add(word)
                ends = node.setdefault(_ENDS, [])
                if [concept, sorted(unless)] not in ends:
                    ends.append([concept, sorted(unless)])
    made |= {"plain": sorted(plain), "beginnings": sorted(beginnings)}
    file = kept_file(f"signs-{stamp}.json") if stamp else None
    if file is not None:
        keep(file, json.dumps(made, ensure_ascii=False), "signs-*.json")
    return made


def _paths(phrase: str) -> Iterator[tuple[tuple[str, ...], frozenset[str]]]:
    """Yield every way to say a phrase, and the words before which it is not meant."""
    unless: frozenset[str] = frozenset()
    steps: list[tuple[str, ...]] = []
    for part in phrase.split():
        if part[0] == "!":
            unless = frozenset(part[1:].split("|"))
        elif part.endswith("s?"):
            steps.append(tuple(word for one in part[:-1].split("|") for word in (one, one.removesuffix("s"))))
        elif part.endswith("?"):
            steps.append((*part[:-1].split("|"), ""))
        else:
            steps.append(tuple(part.split("|")))
    for path in product(*steps):
        yield tuple(word.replace("'", "") for word in path if word), unless


def _slip(word: str, meant: str) -> bool:
    """Return whether a word is another with one letter wrong, missing, too many, or two changed over."""
    if abs(len(word) - len(meant)) > 1:
        return False
    at = 0
    for one, other in zip(word, meant, strict=False):
        if one != other:
            break
        at += 1
    mine, theirs = word[at + 1 :], meant[at + 1 :]
    if mine == theirs or word[at:] == theirs or mine == meant[at:]:
        return True
    return word[at : at + 2] == meant[at : at + 2][::-1] and mine[1:] == theirs[1:]
