"""Pairs of numbers told together: "+15/-6", "18 and 9", "duck 12 12", "15 0"."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from advisor.match.numbers import Number

_REACH = 7
_NOTCH = 3  # degrees: most discs' teeth; only tells a bare "18/6" from other pairs of numbers


class AngleWords(NamedTuple):
    """Words around stance angles: between a pair, for a duck stance, before a pair, for angles themselves."""

    between: frozenset[str]
    duck: frozenset[str]
    cues: frozenset[str]
    names: frozenset[str]


def angle_pair(
    forms: Sequence[str], numbers: Sequence[Number], words: AngleWords, named: Sequence[int] = (), notched: bool = False
) -> tuple[int, int] | None:
    """Return which two numbers stand together as a pair, or None.

    Parameters
    ----------
    forms
        The words of the line.
    numbers
        Numbers that may be a pair.
    words
        What speaks for angles.
    named
        Places where angles are named.
    notched
        Whether a bare pair counts only where both are multiples of a disc's notch, or something says that they are
        angles.

    """
    for place, (one, two) in enumerate(pairwise(numbers)):
        between = [form for form in forms[one.end : two.start] if form not in {"degrees", "degree", "°", "deg"}]
        if len(between) > 2 or any(form not in words.between for form in between):
            continue
        if one.unit not in {"", "deg", "mm"} or two.unit not in {"", "deg", "mm"}:
            continue
        slash = "/" in between
        if not notched:
            if slash or (not between and two.signed):
                return place, place + 1
            continue
        around = forms[max(0, one.start - _REACH) : two.end + 4]
        led = forms[one.start - 1] in words.cues if one.start else False
        signed = one.signed or two.signed or one.unit == "deg" or two.unit == "deg"
        threes = one.value % _NOTCH == 0 and two.value % _NOTCH == 0
        cued = signed or bool(words.duck.intersection(around)) or bool(named)
        cued = cued or (threes and (slash or led or not between or len(forms) <= 4))
        cued = cued or (slash and any(form in words.cues for form in around))
        cued = cued or any(form in words.names for form in around)
        if cued:
            return place, place + 1
    return None


def signed_as_duck(forms: Sequence[str], one: Number, two: Number, words: AngleWords) -> float:
    """Return the second number of a pair, turned outward where "duck" is said and no sign was."""
    around = forms[max(0, one.start - _REACH) : two.end + 4]
    if words.duck.intersection(around) and one.value > 0 and two.value > 0 and not two.signed:
        return -two.value
    return two.value
