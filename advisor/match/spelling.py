"""Spelling against our own words: a word that nobody knows becomes the nearest word that riders use here."""

from __future__ import annotations

from collections.abc import Callable, Iterable

_LETTERS = "abcdefghijklmnopqrstuvwxyz"


def distance(one: str, other: str, limit: int) -> int:
    """Count the edits between two words, a swap of neighbours being one; stop past `limit`.

    The restricted Damerau-Levenshtein distance (optimal string alignment).

    >>> distance("bidning", "binding", 2), distance("heel", "toe", 2)
    (1, 3)
    """
    if abs(len(one) - len(other)) > limit:
        return limit + 1
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, left in enumerate(one, 1):
        last, row = row, [i]
        for j, right in enumerate(other, 1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (left != right))
            if i > 1 and j > 1 and left == other[j - 2] and one[i - 2] == right:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        if min(row) > limit:
            return limit + 1
        before = last
    return min(row[-1], limit + 1)


def _one_edit(word: str) -> list[str]:
    cuts = [(word[:i], word[i:]) for i in range(len(word) + 1)]
    edits = [a + b[1] + b[0] + b[2:] for a, b in cuts if len(b) > 1]
    edits += [a + b[1:] for a, b in cuts if b]
    edits += [a + c + b for a, b in cuts for c in _LETTERS]
    edits += [a + c + b[1:] for a, b in cuts if b for c in _LETTERS]
    return edits


class Speller:
    """Corrects words.

    Parameters
    ----------
    ranks
        Our own words, each with its rank (0 = most used).
    known
        True for words that are right as they stand though not our own.

    """

    def __init__(self, ranks: dict[str, int], known: Callable[[str], bool]) -> None:
        self._ranks = ranks
        self._known = known
        self._by_start: dict[str, list[str]] | None = None
        self._seen: dict[str, str] = {}

    def correct(self, word: str) -> str:
        """Return the word itself, or the nearest of our own words when nobody knows it."""
        if len(word) < 4 or word in self._ranks or not word.isalpha():
            return word
        kept = self._seen.get(word)
        if kept is None:
            kept = word if self._known(word) else self._nearest(word)
            if len(self._seen) < 2048:
                self._seen[word] = kept
        return kept

    def _best(self, words: Iterable[str]) -> str | None:
        ranks = self._ranks
        found = [word for word in words if word in ranks and len(word) > 2]
        return min(found, key=lambda word: (ranks[word], word)) if found else None

    def _nearest(self, word: str) -> str:
        best = self._best(_one_edit(word))
        if best is not None:
            return best
        for cut in range(3, len(word) - 2):  # two words run together
            if word[:cut] in self._ranks and word[cut:] in self._ranks:
                return word[:cut] + " " + word[cut:]
        if len(word) < 6:
            return word
        if self._by_start is None:
            self._by_start = {}
            for own in self._ranks:
                if len(own) > 4:
                    self._by_start.setdefault(own[0], []).append(own)
        letters = set(word)
        near = [
            own
            for own in self._by_start.get(word[0], ())
            if abs(len(own) - len(word)) < 3 and len(letters.symmetric_difference(own)) < 4
        ]
        measured = [(distance(word, own, 2), self._ranks[own], own) for own in near[:60]]
        return min(measured)[2] if measured and min(measured)[0] <= 2 else word
