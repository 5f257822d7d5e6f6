"""What was told last and is mended in the next line: "no, 45 not 54", "no wait, heels", "the other foot"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from advisor.dialogue.choosing import answer_words, choose
from advisor.errors import SheetError
from advisor.graph.knowledge import Knowledge
from advisor.knowledge.trees import authors
from advisor.match.fields_told import field_reader
from advisor.match.heard import Heard
from advisor.match.numbers import Number
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.sheet import LeafValue

_OTHER = {"front": "back", "back": "front", "left": "right", "right": "left"}
_SCALES = (1.0, 10.0, 25.4, 0.1, 100.0)
_LONGEST = 9
_PLAIN = 0.7


class Mended(NamedTuple):
    """A fact told: its field or name, and its value before and after; None where it was or is not known."""

    key: str
    before: object
    after: object


def mended_fact(
    knowledge: Knowledge, last: Sequence[Mended], heard: Heard, leading: str | None
) -> tuple[Mended, ...] | None:
    """Return what a line mends of what was told last; None where it mends nothing.

    Parameters
    ----------
    knowledge
        With the facts that can be asked.
    last
        What was told last.
    heard
        The line.
    leading
        The foot in front, where it is known.

    """
    if not last or len([form for form in heard.forms if form[0].isalnum()]) > _LONGEST:
        return None
    return _instead_of(last, heard) or _other_foot(last, heard) or _said_anew(knowledge, last, heard, leading)


def _instead_of(last: Sequence[Mended], heard: Heard) -> tuple[Mended, ...] | None:
    """Read "45 not 54": the value told last that is denied takes the other number."""
    denied = [one for one in heard.numbers if one.start and heard.bare[one.start - 1] == "not"]
    new = [one for one in heard.numbers if one not in denied]
    if len(denied) != 1 or len(new) != 1:
        return None
    for fact in last:
        scale = _scale(fact.after, denied[0])
        if scale is None or fact.key not in field_rows():
            continue
        value = _parsed(fact.key, round(new[0].value * scale, 2))
        return None if value is None else (Mended(fact.key, fact.after, value),)
    return None


def _scale(value: object, number: Number) -> float | None:
    if not isinstance(value, int | float) or isinstance(value, bool):
        return None
    return next((scale for scale in _SCALES if abs(number.value * scale - value) < 0.5), None)


def _parsed(key: str, value: float | str) -> LeafValue | None:
    try:
        return parse_value(key, value)
    except SheetError:
        return None


def _other_foot(last: Sequence[Mended], heard: Heard) -> tuple[Mended, ...] | None:
    """Read "the other foot", "no, the back one": what was told moves to the other side."""
    sided = [one for one in last if any(f".{side}" in one.key for side in _OTHER)]
    if len({one.key for one in sided}) != 1 or heard.numbers:
        return None
    fact = sided[0]
    side = next(side for side in _OTHER if f".{side}" in fact.key)
    wanted = _OTHER[side]
    plain = " ".join(form for form in heard.bare if form[0].isalnum())
    told = plain in {
        "the other foot",
        "other foot",
        "no the other foot",
        "the other one",
        "the other side",
        "wrong foot",
    }
    named = [one.means for one in field_reader(authors()).feet.find(heard.bare)]
    taken_back = bool(answer_words().take_back.find(heard.forms)) or heard.bare[:1] == ["no"]
    if not told and not (taken_back and named == [wanted] and len(heard.bare) <= _LONGEST - 2):
        return None
    other = fact.key.replace(f".{side}", f".{wanted}")
    return Mended(fact.key, fact.after, fact.before), Mended(other, None, fact.after)


def _said_anew(
    knowledge: Knowledge, last: Sequence[Mended], heard: Heard, leading: str | None
) -> tuple[Mended, ...] | None:
    """Read "no wait, heels" and "I meant 15": a line that takes back, and answers the last question again."""
    words = answer_words()
    found = [one for one in words.take_back.find(heard.forms) if one.end < len(heard.forms)]
    if not found or len(last) != 1:
        return None
    key = last[0].key
    fact = knowledge.facts.get(key)
    if fact is not None and fact.kind == "choice":
        chosen = choose(fact, heard)
        if chosen is None or chosen.option == last[0].after or chosen.strength < _PLAIN:
            return None
        return (Mended(key, last[0].after, chosen.option),)
    told = {one.key: one.value for one in field_reader(authors()).told(heard, leading).facts}
    value = told.get(key)
    if value is None and len(heard.numbers) == 1 and not told and fact is not None:
        from advisor.dialogue.numbering import count

        try:
            counted = count(fact, heard, leading)
        except SheetError:
            return None
        value = counted.value if counted else None
    if value is None or value == last[0].after:
        return None
    parsed = _parsed(key, value if isinstance(value, str) else float(str(value)))
    return None if parsed is None else (Mended(key, last[0].after, parsed),)
