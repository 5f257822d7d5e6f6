"""A line as words in clauses: small letters, no accents, no apostrophes, one list a clause."""

from __future__ import annotations

import re
import unicodedata
from typing import NamedTuple

_PIECE = re.compile(r"[a-z0-9]+(?:'[a-z]+)?|[.!?;:,()\n…/]+|\s-+\s|[-–—]+")
_ENDINGS = re.compile(r"'(?:s|m|re|ve|ll|d)$")
_SENTENCE_ENDS = frozenset(".!?\n…")
_LETTERS = str.maketrans({"ß": "ss", "’": "'", "‘": "'", "`": "'", "æ": "ae", "œ": "oe", "ø": "o"})


class Word(NamedTuple):
    """One word, with the number of its clause and of its sentence."""

    text: str
    clause: int
    sentence: int


def folded(text: str) -> str:
    """Return a text in small letters, its accents off.

    >>> folded("Knöchel, naïve, I’M")
    "knochel, naive, i'm"
    """
    plain = text.lower().translate(_LETTERS)
    if plain.isascii():
        return plain
    return "".join(c for c in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(c))


def words_of(text: str, breaks: frozenset[str]) -> list[Word]:
    """Return the words of a folded text; punctuation and the words in `breaks` begin a new clause.

    >>> [tuple(word) for word in words_of("it isn't swollen, but it locks", frozenset({"but"}))][-2:]
    [('it', 1, 0), ('locks', 1, 0)]
    """
    made: list[Word] = []
    clause = sentence = 0
    for found in _PIECE.finditer(text):
        piece = found.group()
        if piece[0].isalnum():
            word = _ENDINGS.sub("", piece).replace("'", "")
            if word in breaks and made and made[-1].clause == clause:
                clause += 1
            made.append(Word(word, clause, sentence))
        elif piece.strip() == "-" and not piece[0].isspace():
            continue
        elif made and made[-1].clause == clause:
            clause += 1
            if _SENTENCE_ENDS & set(piece):
                sentence += 1
    return made
