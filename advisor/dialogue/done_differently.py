"""What was done where it was not quite as advised: only one foot, only one change, or another amount."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from advisor.dialogue.phrasebook import tidy
from advisor.sheet.sheet import LeafValue, Sheet

_FEET = ("front", "back")
_MOST_TIMES = 2.0
"""An amount larger than so many times what was advised is no amount moved, but where the part stands."""
_MARKS = re.compile(r"[,;.!](?=\s|$)")
_NUMBER = re.compile(r"(?<![\w.])([+-]?\d{1,3}(?:[.,]\d)?)(?![\d.])")


@dataclass(frozen=True)
class Sayings:
    """The words of `trees/returns.yaml` by which a person says that something else was done."""

    only: tuple[str, ...] = ()
    instead_of: tuple[str, ...] = ()
    to: tuple[str, ...] = ()
    feet: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: dict.fromkeys(_FEET, ()))


def done_differently(text: str, before: Sheet, advised: Sheet | None, sayings: Sayings) -> Sheet | None:
    """Return the board as it is when a person tells how it was done, None where the words do not say.

    Parameters
    ----------
    text
        Such as "only did the front", "5 mm, not 7", "went to 2 instead".
    before, advised
        The board before the advice, and with it done.
    sayings
        The words to go by.

    Notes
    -----
    A number is the amount moved, unless "to" stands before it or it can't be that: then it is where the part stands.

    """
    if advised is None:
        return None
    moved = {path: leaf for path, leaf in advised.leaves.items() if before.leaves.get(path) != leaf}
    if not moved:
        return None
    plain = f" {_MARKS.sub(' ', tidy(text))} "
    kept = _named(plain, _before(plain, sayings.instead_of), moved, before, advised, sayings)
    return None if kept is None else replace(before, leaves={**before.leaves, **kept.leaves})


def _before(plain: str, stops: tuple[str, ...]) -> str:
    """Return what was done: the words before "not", "instead of"; all of them where nothing else is named."""
    places = [found for word in stops if (found := plain.find(f" {word} ")) > 0]
    return plain[: min(places)] + " " if places else plain


def _named(
    plain: str, done: str, moved: Mapping[str, object], before: Sheet, advised: Sheet, sayings: Sayings
) -> Sheet | None:
    feet = [foot for foot in _FEET if any(f" {word} " in done for word in sayings.feet[foot])]
    only = any(f" {word} " in plain for word in sayings.only)
    chosen = [path for path in moved if not feet or any(f".{foot}." in path for foot in feet)]
    number = _NUMBER.search(done)
    if number is None:
        partly = only and len(feet) == 1 and 0 < len(chosen) < len(moved)
        return _only(chosen, advised) if partly else None
    amount = float(number[1].replace(",", "."))
    to = any(f" {word} " in done[: number.start()] + " " for word in sayings.to)
    main = [path for path in chosen if _is_number(before.value(path)) and _is_number(advised.value(path))][:1]
    if not main:
        return None
    was, wanted = float(before.value(main[0]) or 0), float(advised.value(main[0]) or 0)  # type: ignore[arg-type]
    a_place = to or amount < 0 or amount > abs(wanted - was) * _MOST_TIMES
    stands = amount if a_place else was + amount * _sign(wanted - was)
    told = _only(chosen, advised)
    return told.with_value(main[0], round(stands, 1))


def _only(paths: list[str], advised: Sheet) -> Sheet:
    return Sheet("", {path: advised.leaves[path] for path in paths})


def _is_number(value: LeafValue | None) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _sign(value: float) -> int:
    return (value > 0) - (value < 0)
