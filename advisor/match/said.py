"""The raw tokens of a text with small look-ups, for the fact readers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache

from advisor.match.text import Token

__all__ = ["Said", "find", "in_figures"]

_CLAUSE_MARKS = frozenset(".!?;")


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


def in_figures(found: list[Token], numbers: Mapping[str, Mapping[str, int]]) -> list[Token]:
    """Write number words as figures, and drop the hyphen between two words.

    >>> from advisor.match.text import tokens
    >>> words = {"ones": {"five": 5}, "teens": {}, "tens": {"seventy": 70}}
    >>> [token.form for token in in_figures(tokens("seventy-five all-mountain -3"), words)]
    ['75', 'all', 'mountain', '-', '3']
    """
    ones, teens, tens = numbers["ones"], numbers["teens"], numbers["tens"]
    kept = [
        token
        for place, token in enumerate(found)
        if token.form != "-"
        or not 0 < place < len(found) - 1
        or not (found[place - 1].form.isalpha() and found[place + 1].form.isalpha())
        or (found[place + 1].form in ones and found[place - 1].form not in tens)
    ]
    forms = [token.form for token in kept]

    def below_hundred(place: int) -> tuple[int, int]:
        """Return the number that starts here and the words it takes; no words when there is none."""
        form = forms[place] if place < len(forms) else ""
        after = forms[place + 1] if place + 1 < len(forms) else ""
        if form in tens:
            more = ones.get(after, 1 if after == "one" else 0)
            return tens[form] + more, 2 if more else 1
        if form in ones or form in teens:
            return ones.get(form, teens.get(form, 0)), 1
        return 0, 0

    out: list[Token] = []
    place = 0
    while place < len(kept):
        start, value, size = place, 0, 0
        if forms[place] in ("a", "one") and forms[place + 1 : place + 2] == ["hundred"]:
            skip = 3 if forms[place + 2 : place + 3] == ["and"] else 2
            value, size = below_hundred(place + skip)
            value, size = 100 + value, skip + size if size else 2
        elif forms[place] == "one" and forms[place + 1 : place + 2] in (["metre"], ["meter"]):
            value, size = 1, 1
        else:
            value, size = below_hundred(place)
        if size:
            out.append(Token(str(value), kept[start].start, kept[start + size - 1].end))
        else:
            out.append(kept[place])
        place += size or 1
    return out


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
