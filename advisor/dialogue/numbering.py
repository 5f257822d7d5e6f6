"""The number that an answer gives a field of the sheet: in figures or words, with the unit that makes it fit."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import NamedTuple

from advisor.dialogue.choosing import answer_words, says_unsure
from advisor.errors import SheetError
from advisor.graph.nodes import Fact
from advisor.knowledge.trees import authors
from advisor.match.expressions import Expressions
from advisor.match.fields_told import field_reader, in_field_unit
from advisor.match.heard import Heard, hearing
from advisor.match.numbers import Number
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.sheet import LeafValue

_BODY = frozenset({"rider.height_cm", "rider.weight_kg"})
_NINETY = 90.0
_NEAR_NINETY = 80.0
_SCALES = (10.0, 0.1, 25.4)


class Counted(NamedTuple):
    """A number for a field: its value, its ± where a range or a hedge gives one, and whether its unit was guessed.

    `meant` is set instead where the number can't be right as told but would be in another unit.
    """

    value: LeafValue | None
    plus_minus: float | None = None
    guessed: bool = False
    meant: LeafValue | None = None


@cache
def _zeros() -> Expressions[str]:
    return Expressions.of(hearing(authors()).data["zero_words"])


@cache
def _ordinals() -> dict[str, int]:
    made: dict[str, int] = hearing(authors()).data["counting"]
    return made


def count(fact: Fact, heard: Heard, leading: str | None = None) -> Counted | None:
    """Return the number that an answer gives; None where it gives none.

    Parameters
    ----------
    fact
        What is asked: a field of the sheet that holds a number.
    heard
        The answer.
    leading
        The foot in front, where it is known.

    Raises
    ------
    SheetError
        When the number does not fit the field; the message says what was expected.

    """
    told = field_reader(authors()).told(heard, leading, defaults=fact.id in _BODY)
    named = next((one.value for one in told.facts if one.key == fact.id), None)
    if named is not None and not any(one.about or one.ranged for one in heard.numbers):
        return Counted(parse_value(fact.id, named if isinstance(named, str | bool) else float(str(named))))
    used = {
        place for one in told.facts if one.key != fact.id and _named(one.words) for place in _places(heard, one.words)
    }
    candidates = [one for one in _numbers(fact, heard) if one.start not in used]
    unsure = says_unsure(heard)
    if _unclear(heard, candidates):
        return None
    if not candidates:
        return None if unsure else _nought(fact, heard)
    fitting = [(one, value) for one in candidates if (value := _fits(fact, one, heard)) is not None]
    if not fitting:
        zero = None if unsure else _nought(fact, heard)
        if zero is not None or unsure:
            return zero
        if not any(_kindred(fact, one) for one in candidates):
            return None
        return _refused(fact, candidates[-1])
    one, value = _best(heard, fitting)
    wide = (one.high - one.low) / 2 * (abs(value / one.value) if one.value else 1.0)
    hedged = one.about and fact.plus_minus is not None
    plus_minus = max(wide, fact.plus_minus * (2 if hedged else 1)) if wide or hedged else None
    guessed = not one.unit and abs(value) != abs(one.value)
    return Counted(parse_value(fact.id, _whole(value)), plus_minus, guessed)


def _unclear(heard: Heard, candidates: list[Number]) -> bool:
    """Tell whether numbers stand together with nothing to tell which is meant: "40 41", "1e400"; or count something."""
    for one, other in pairwise(candidates):
        between = heard.bare[one.end : other.start]
        if not between or between == ["e"]:
            return True
    for one in candidates:
        after = heard.bare[one.end : one.end + 1]
        if (
            not one.unit
            and after
            and (field_reader(authors()).no_after.at(heard.bare, one.end) or _counted_thing(after[0]))
        ):
            return True
    return False


def _counted_thing(word: str) -> bool:
    """Tell whether a word behind a number is a thing counted that is none of ours: "40 bananas"."""
    return word.isalpha() and word.endswith("s") and len(word) > 4 and word not in field_reader(authors()).words


def _named(words: str) -> bool:
    """Tell whether a fact was told with a name, not by a bare number."""
    return any(character.isalpha() for character in words)


def _whole(value: float) -> float:
    return round(value, 2)


def _places(heard: Heard, words: str) -> range:
    """Return the tokens that a fact's words are."""
    start = heard.text.find(words)
    if start < 0:
        return range(0)
    inside = [n for n, token in enumerate(heard.tokens) if start <= token.start < start + len(words)]
    return range(inside[0], inside[-1] + 1) if inside else range(0)


def _numbers(fact: Fact, heard: Heard) -> list[Number]:
    """Return the numbers told, "one", "an inch" and counted things among them, without those denied or taken back."""
    forms = heard.bare
    found = [one for one in heard.numbers if not _denied(forms, one)]
    inside = {place for one in found for place in range(one.start, one.end)}
    for place, form in enumerate(forms):
        if place in inside:
            continue
        unit = hearing(authors()).reader.units.at(forms, place + 1) if place + 1 < len(forms) else None
        if form in {"a", "an", "one"} and unit and not found:
            value = 1.5 if forms[unit.end : unit.end + 3] == ["and", "a", "half"] else 1.0
            found.append(Number(value, value, value, False, False, unit.means, place, unit.end, place + 1))
        elif (
            form == "one"
            and not says_unsure(heard)
            and (not found or forms[place - 1] in {"so", "it's", "is", "just", "only"})
        ):
            found.append(Number(1.0, 1.0, 1.0, False, False, "", place, place + 1, place + 1))
        elif fact.unit == "teeth" and form in _ordinals():
            value = float(_ordinals()[form])
            found.append(Number(value, value, value, False, False, "", place, place + 1, place + 1))
    found = [_sign_behind(forms, one) for one in found]
    back = [one.end for one in answer_words().take_back.find(forms)]
    kept = [one for one in found if not any(one.start < end and any(o.start >= end for o in found) for end in back)]
    return sorted(kept or found, key=lambda one: one.start)


def _denied(forms: list[str], one: Number) -> bool:
    return bool(one.start) and forms[one.start - 1] in {"not", "than"} and one.start > 1


def _sign_behind(forms: list[str], one: Number) -> Number:
    """Read "six minus"."""
    after = forms[one.end : one.end + 1]
    if not one.signed and after in (["minus"], ["negative"]) and one.end + 1 >= len(forms):
        return one._replace(value=-one.value, low=-one.high, high=-one.low, signed=True, end=one.end + 1)
    return one


def _fits(fact: Fact, one: Number, heard: Heard) -> float | None:
    spec = field_reader(authors()).spec(fact.id)
    row = field_rows()[fact.id]
    unit = "" if fact.unit in {"rows", "steps", "teeth"} else row.unit
    inches = "/" in heard.words(one.start, one.bare_end) or not (one.value * 2).is_integer()
    if spec is None:
        return in_field_unit(one, unit, row.low, row.high)
    value = in_field_unit(one, unit, spec.low, spec.high, spec.limits, inches or spec.inches)
    if value is None and not one.unit and row.low <= one.value <= row.high:
        value = one.value
    if value is None and spec.from_ninety and _NEAR_NINETY <= one.value <= _NINETY:
        value = _NINETY - one.value
    if value is None or one.signed or not value:
        return value
    forms = heard.bare
    minus, plus = (ways.find(forms) for ways in (spec.minus, spec.plus))
    ducked = fact.id == "mount.back.angle_deg" and field_reader(authors()).angle_words.duck.intersection(forms)
    if (minus and not plus) or ducked:
        return -value
    return value


def _kindred(fact: Fact, one: Number) -> bool:
    """Tell whether a number's unit is of the field's kind, or none was said."""
    from advisor.sheet.units import FACTORS

    family = FACTORS.get(field_rows()[fact.id].unit, {})
    return not one.unit or one.unit in family or not family or one.unit in {"ms", "kmh", "nm"}


def _refused(fact: Fact, one: Number) -> Counted:
    """Offer the number that fits in another unit, or raise what was expected.

    Raises
    ------
    SheetError
        With the field's own fault.

    """
    row = field_rows()[fact.id]
    for scale in _SCALES:
        made = round(one.value * scale, 2)
        if not one.unit and row.low <= made <= row.high:
            return Counted(None, meant=parse_value(fact.id, made))
    words = f"{one.value:g} {one.unit}".strip()
    parse_value(fact.id, words if one.unit in {"mm", "cm", "m", "in", "kg", "lb", "deg"} else one.value)
    raise SheetError([f"{fact.id}: expected a number in {row.unit}"])


def _best(heard: Heard, fitting: list[tuple[Number, float]]) -> tuple[Number, float]:
    """Return the number meant where several fit: one with its unit, else the last that follows "say" or "so"."""
    if len(fitting) == 1:
        return fitting[0]
    for one, value in reversed(fitting):
        if one.start and heard.bare[one.start - 1] in {"say", "so", "call", "exactly", "precisely", "is"}:
            return one, value
    with_unit = [pair for pair in fitting if pair[0].unit]
    return with_unit[0] if len(with_unit) == 1 else fitting[0]


def _nought(fact: Fact, heard: Heard) -> Counted | None:
    """Read words that say nought, where the field can be nought."""
    spec = field_reader(authors()).spec(fact.id)
    row = field_rows()[fact.id]
    if not row.low <= 0 <= row.high or (spec and not spec.low <= 0 <= spec.high):
        return None
    forms = [form for form in heard.bare if form[0].isalnum()]
    own = any(spec and found.means == spec.path for found in field_reader(authors()).zeros.find(forms))
    return Counted(parse_value(fact.id, 0)) if own or _zeros().find(forms) else None
