"""What a match is: the values that leave this room."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Match:
    """One entry that may be meant.

    Parameters
    ----------
    id
        The entry's id in `trees/entries/`.
    score
        Calibrated probability that this entry is meant [0..1]; given that it is ours, where the text was understood.
    words
        The words of the text that speak for it, in the order they stand in the text.

    """

    id: str
    score: float
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """A fact heard in the sentence: a path of the setup sheet (or `snow`, `side`, `foot`), its value, the words."""

    key: str
    value: object
    words: str


@dataclass(frozen=True, slots=True)
class Matching:
    """All that was made of one text.

    Parameters
    ----------
    matches
        The likeliest entries, best first, at least five.
    understood
        False when the text is none of our business or says nothing.
    sure
        False when the likeliest entries are too close: ask, never guess.
    second
        A second complaint heard in the same text, if any.
    facts
        What the text tells besides.

    """

    matches: tuple[Match, ...]
    understood: bool
    sure: bool
    second: Match | None = None
    facts: tuple[Told, ...] = ()
