"""The raw tokens of a text with small look-ups, for the fact readers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from advisor.match.text import Token

__all__ = ["Said", "find"]

_CLAUSE_MARKS = frozenset(".!?;:")


def find(forms: list[str], expressions: Iterable[str]) -> list[tuple[int, int]]:
    """Return the spans [start, end) where one of the expressions stands, longest first, in order.

    >>> find(["my", "inside", "leg", "is"], ["inside leg", "leg"])
    [(1, 3)]
    """
    wanted: dict[str, list[list[str]]] = {}
    for expression in expressions:
        parts = expression.split(" ")
        wanted.setdefault(parts[0], []).append(parts)
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


@dataclass(slots=True)
class Said:
    """A text and its tokens as typed (lower case)."""

    text: str
    tokens: list[Token]

    @property
    def forms(self) -> list[str]:
        """The tokens' forms."""
        return [token.form for token in self.tokens]

    def words(self, start: int, end: int) -> str:
        """Return the text of the tokens [start, end) as it was typed."""
        return self.text[self.tokens[start].start : self.tokens[end - 1].end]

    def number(self, place: int) -> float | None:
        """Return the number at a place, or None."""
        if 0 <= place < len(self.tokens) and self.tokens[place].form[0].isdigit():
            return float(self.tokens[place].form.replace(",", "."))
        return None

    def sentence(self, place: int) -> tuple[int, int]:
        """Return the span of the sentence around a place."""
        forms = self.forms
        start = place
        while start and forms[start - 1] not in _CLAUSE_MARKS:
            start -= 1
        end = place
        while end < len(forms) and forms[end] not in _CLAUSE_MARKS:
            end += 1
        return start, end
