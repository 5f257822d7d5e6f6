"""The raw tokens of a text with small look-ups, for the fact readers."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from advisor.match.text import Token


@lru_cache(maxsize=256)
def _by_first_word(expressions: tuple[str, ...]) -> dict[str, list[list[str]]]:
    by_word: dict[str, list[list[str]]] = {}
    for expression in expressions:
        parts = expression.split(" ")
        by_word.setdefault(parts[0], []).append(parts)
    return by_word


def find(forms: list[str], expressions: Iterable[str]) -> list[tuple[int, int]]:
    """Return the spans [start, end) where one of the expressions stands, longest first, in order.

    >>> find(["my", "inside", "leg", "is"], ["inside leg", "leg"])
    [(1, 3)]
    """
    wanted = _by_first_word(tuple(expressions))
    found = []
    place = 0
    while place < len(forms):
        best = 0
        for parts in wanted.get(forms[place], ()):
            if len(parts) > best and forms[place : place + len(parts)] == parts:
                best = len(parts)
        if best:
            found.append((place, place + best))
        place += best or 1
    return found


class Said:
    """A text, its tokens as typed (lower case) and their forms."""

    __slots__ = ("forms", "text", "tokens")

    def __init__(self, text: str, tokens: list[Token]) -> None:
        self.text = text
        self.tokens = tokens
        self.forms = [token.form for token in tokens]

    def words(self, start: int, end: int) -> str:
        """Return the text of the tokens [start, end) as it was typed."""
        return self.text[self.tokens[start].start : self.tokens[end - 1].end]
