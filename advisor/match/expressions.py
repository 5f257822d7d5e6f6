"""Many fixed expressions looked for in a line at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Generic, NamedTuple, TypeVar

from advisor.match.text import tokens

Payload = TypeVar("Payload")


class Found(NamedTuple, Generic[Payload]):
    """An expression that stands in a line, from token `start` to before token `end`, and what it means."""

    start: int
    end: int
    means: Payload


def forms_of(words: str) -> tuple[str, ...]:
    """Return the tokens of an expression.

    >>> forms_of("It's the heel-cup")
    ("it's", 'the', 'heel', '-', 'cup')
    """
    return tuple(token.form for token in tokens(words))


class Expressions(Generic[Payload]):
    """Expressions by their first word, the longest first."""

    def __init__(self, table: Mapping[str, Payload] | Iterable[tuple[str, Payload]]) -> None:
        pairs = table.items() if isinstance(table, Mapping) else table
        self._by_first: dict[str, list[tuple[tuple[str, ...], Payload]]] = {}
        for words, payload in pairs:
            forms = tuple(words.split(" ")) if words.replace(" ", "").isalpha() else forms_of(words)
            if forms:
                self._by_first.setdefault(forms[0], []).append((forms, payload))
        for same in self._by_first.values():
            same.sort(key=lambda one: -len(one[0]))

    @classmethod
    def of(cls, words: Iterable[str]) -> Expressions[str]:
        """Return expressions that mean themselves."""
        return Expressions((one, one) for one in words)

    def at(self, forms: Sequence[str], place: int) -> Found[Payload] | None:
        """Return the longest expression that begins at a place."""
        for words, payload in self._by_first.get(forms[place], ()):
            end = place + len(words)
            if tuple(forms[place:end]) == words:
                return Found(place, end, payload)
        return None

    def all_at(self, forms: Sequence[str], place: int) -> list[Found[Payload]]:
        """Return every meaning of the longest expression that begins at a place."""
        found: list[Found[Payload]] = []
        for words, payload in self._by_first.get(forms[place], ()):
            if found and len(words) < found[0].end - place:
                break
            if tuple(forms[place : place + len(words)]) == words:
                found.append(Found(place, place + len(words), payload))
        return found

    def find(self, forms: Sequence[str], start: int = 0, end: int | None = None) -> list[Found[Payload]]:
        """Return the expressions in a stretch of a line, in order, none inside another."""
        found = []
        stop = len(forms) if end is None else end
        place = start
        while place < stop:
            one = self.at(forms, place) if forms[place] in self._by_first else None
            if one is None or one.end > stop:
                place += 1
                continue
            found.append(one)
            place = one.end
        return found

    def whole(self, forms: Sequence[str]) -> Found[Payload] | None:
        """Return the expression that all the words together are."""
        one = self.at(forms, 0) if forms else None
        return one if one and one.end == len(forms) else None
