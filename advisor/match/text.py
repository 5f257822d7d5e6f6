"""Words out of free text: cleaning, tokens, light stems.

A token keeps where it stood, so that the words that carried a decision can be shown as they were typed.
"""

from __future__ import annotations

import re
import unicodedata

MAX_CHARACTERS = 4000
"""Longer texts are read up to here: a technical bound on work, not a judgement about riders."""

_QUOTES = str.maketrans(
    {
        "\u2018": "'",
        "\u2019": "'",
        "\u00b4": "'",
        "`": "'",
        "\u2013": "-",
        "\u2212": "-",
        "\u201c": '"',
        "\u201d": '"',
        "\u2032": "'",
        "\u2033": '"',
        "\u2014": " - ",
    }
)
_TOKEN = re.compile(r"[a-z]+(?:'[a-z]+)*|\d+(?:[.,]\d+)?|[^\sa-z\d]")
_REPEATED = re.compile(r"([a-z])\1{2,}")


class Token:
    """One word, number or mark: `form` to work with, `start` and `end` [characters] in the cleaned text."""

    __slots__ = ("end", "form", "start")

    def __init__(self, form: str, start: int, end: int) -> None:
        self.form = form
        self.start = start
        self.end = end


def clean(text: str) -> str:
    """Strip control characters and accents, straighten quotes, cut to `MAX_CHARACTERS`.

    >>> clean("Caf\\u00e9\\x1b[31m \\u2018ok\\u2019")
    "Cafe[31m 'ok'"
    """
    text = text[:MAX_CHARACTERS].translate(_QUOTES)
    if text.isascii() and text.isprintable():
        return text
    plain = unicodedata.normalize("NFKD", text)
    kept = []
    for character in plain:
        kind = unicodedata.category(character)
        if kind == "Mn":
            continue
        if kind[0] == "C":
            if character in "\n\r\t":
                kept.append(" ")
        else:
            kept.append(character)
    return "".join(kept)


def tokens(cleaned: str) -> list[Token]:
    """Cut cleaned text into words, numbers and marks, in lower case.

    >>> [token.form for token in tokens("HS slides, at 40km/h!")]
    ['hs', 'slides', ',', 'at', '40', 'km', '/', 'h', '!']
    """
    lowered = cleaned.lower()
    if len(lowered) != len(cleaned):
        lowered = "".join(c.lower() if len(c.lower()) == 1 else c for c in cleaned)
    found = []
    for piece in _TOKEN.finditer(lowered):
        form = piece.group()
        if len(form) > 3 and _REPEATED.search(form):
            form = _REPEATED.sub(r"\1\1", form)
        found.append(Token(form, piece.start(), piece.end()))
    return found


_WORDS_THAT_ONLY_LOOK_INFLECTED = """
this his is was has does less press boss toss cross across loss miss pass class grass thus bus gas plus
during thing something anything everything nothing spring string ring bring sling king wing being red bed
need feed speed bleed seed weed hundred indeed shed her over under never ever after other another either
neither rather together whether water corner centre lower upper inner outer tower shower powder shoulder
ladder lever later ankle front instead ahead head lead lens always perhaps ours yes news cautious
"""
_KEEP = frozenset(_WORDS_THAT_ONLY_LOOK_INFLECTED.split())
_VOWELS = frozenset("aeiouy")


def _bare(base: str) -> str:
    """Undo a doubled last consonant and drop a silent e, so that "slipp" and "slide" meet "slip" and "slid"."""
    if len(base) > 3 and base[-1] == base[-2] and base[-1] not in "lsz":
        return base[:-1]
    return base


def stem(word: str) -> str:
    """Take off the commonest English endings; light on purpose.

    >>> [stem(word) for word in ("slides", "sliding", "slide", "slipped", "knees", "heavily", "bodies")]
    ['slid', 'slid', 'slid', 'slip', 'kne', 'heavi', 'body']
    """
    if len(word) < 4 or word in _KEEP:
        return word
    if word.endswith("'s"):
        word = word[:-2]
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    for ending in ("sses", "shes", "ches", "xes"):
        if word.endswith(ending):
            return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us", "is")):
        word = word[:-1]
    for ending in ("ing", "ed"):
        base = word[: -len(ending)]
        if word.endswith(ending) and len(base) > 2 and word not in _KEEP and not _VOWELS.isdisjoint(base):
            word = _bare(base)
            break
    else:
        if word.endswith("ly") and len(word) > 5:
            word = word[:-2]
    if word.endswith("e") and len(word) > 3:
        word = word[:-1]
    return word
