"""Stance angles told in a sentence: "+15/-6", "18 front, 9 back", "back foot at minus three", "duck 12/12"."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from advisor.match.api import Told
from advisor.match.said import Said, find

__all__ = ["angles_told"]

_MINUS = frozenset({"-", "minus", "negative", "neg"})
_PLUS = frozenset({"+", "plus", "positive", "pos"})
_FRONT = frozenset({"front", "lead", "leading", "forward", "ff", "frontfoot"})
_BACK = frozenset({"back", "rear", "trailing", "bf", "rf", "backfoot"})
_BETWEEN = frozenset(
    {"/", "and", ",", "&", "|", "-", "with", "degree", "degrees", "deg", "\u00b0", "then", "by", "x", "to"}
)
_CUES = (
    "angle",
    "angles",
    "duck",
    "degrees",
    "degree",
    "stance",
    "set",
    "mounted",
    "bindings",
    "binding",
    "riding",
    "ride",
    "rides",
    "setup",
    "run",
    "running",
    "deg",
    "foot",
    "got",
    "at",
    "on",
)


@dataclass(slots=True)
class _Number:
    value: int
    signed: bool
    degrees: bool
    start: int
    end: int


def _numbers(said: Said, data: Mapping[str, Any]) -> list[_Number]:
    forms = said.forms
    words: Mapping[str, int] = data["numbers"]
    low, high = data["bounds"]["angle_deg"]
    other_units = {
        e.split(" ")[0]
        for name, es in data["units"].items()
        if name != "deg"
        for e in es
        if e not in ("foot", "feet", "in", "m")
    }
    degree = set(data["units"]["deg"])
    found: list[_Number] = []
    place = 0
    while place < len(forms):
        start = place
        number = said.number(place)
        size = 1
        if number is None:
            for size in (3, 2, 1):
                one = " ".join(forms[place : place + size])
                if one in words and words[one] >= 0:
                    number = float(words[one])
                    break
        if number is None:
            place += 1
            continue
        end = place + size
        before = forms[place - 1] if place else ""
        beyond = forms[place - 2] if place > 1 else ""
        sign = -1 if before in _MINUS else 1
        signed = before in _PLUS or before in _MINUS
        if (
            before == "-"
            and (said.tokens[place - 2].end == said.tokens[place - 1].start if place > 1 else False)
            and beyond.isdigit()
        ):
            sign, signed = 1, False  # "15-6": a dash between, not a sign
        if signed:
            start = place - 1
        degrees = end < len(forms) and forms[end] in degree
        place = end
        after = forms[end] if end < len(forms) else ""
        if after in other_units or number != int(number) or not low <= sign * number <= high:
            continue
        found.append(_Number(int(sign * number), signed, degrees, start, end + degrees))
    return found


def _foot(form: str) -> str:
    return "front" if form in _FRONT else "back" if form in _BACK else ""


def _hidden(said: Said, number: _Number, data: Mapping[str, Any]) -> bool:
    """Tell whether the number is asked about or somebody else's: a cue stands before it in its part of the sentence."""
    forms = said.forms
    start, _ = said.sentence(number.start)
    part = number.start
    while part > start and not (forms[part - 1] == "," and _far(forms, part, number.start)):
        part -= 1
    before = forms[part : number.start]
    return bool(find(before, data["asked"]) or find(before, data["others"]))


def _far(forms: list[str], comma: int, place: int) -> bool:
    return any(form.isalpha() for form in forms[comma:place])


def angles_told(said: Said, data: Mapping[str, Any]) -> list[Told]:
    """Return `mount.front.angle_deg` and `mount.back.angle_deg` where they are told as they stand now.

    Parameters
    ----------
    said
        The text and its tokens.
    data
        The packed `trees/match/facts.yaml`.

    """
    numbers = [n for n in _numbers(said, data) if not _hidden(said, n, data)]
    forms = said.forms
    told: dict[str, Told] = {}

    def tell(foot: str, value: int, start: int, end: int) -> None:
        key = f"mount.{foot}.angle_deg"
        told.setdefault(key, Told(key, value, said.words(start, end)))

    for one, two in zip(numbers, numbers[1:], strict=False):
        between = forms[one.end : two.start]
        start, end = said.sentence(one.start)
        if two.end > end + 1 or len(between) > 2 or any(form not in _BETWEEN for form in between):
            continue
        around = forms[max(start, one.start - 7) : end]
        duck = "duck" in around or "ducked" in around
        cued = duck or one.signed or two.signed or one.degrees or two.degrees
        cued = cued or ("/" in between and any(form in _CUES for form in around))
        cued = cued or any(
            form in ("angle", "angles", "degrees", "bindings", "stance", "mounted", "deg") for form in around
        )
        if not cued or (one.value == two.value == 0):
            continue
        value = two.value
        if duck and one.value > 0 and value > 0 and not two.signed:
            value = -value
        feet = [_foot(form) for form in forms[max(start, one.start - 3) : min(end, two.end + 3)] if _foot(form)]
        swapped = feet[:1] == ["back"] and "front" in feet
        tell("back" if swapped else "front", one.value, one.start, two.end)
        tell("front" if swapped else "back", value, one.start, two.end)
        break
    if told:
        return list(told.values())
    for number in numbers:
        start, end = said.sentence(number.start)
        before = [
            (number.start - p, _foot(forms[p]))
            for p in range(max(start, number.start - 5), number.start)
            if _foot(forms[p])
        ]
        after = [
            (p - number.end + 1, _foot(forms[p]))
            for p in range(number.end, min(end, number.end + 5))
            if _foot(forms[p])
        ]
        taken = [other for other in numbers if other is not number and start <= other.start < end]
        before = [f for f in before if not any(number.start - f[0] < o.start < number.start for o in taken)]
        after = [f for f in after if not any(number.end <= o.start < number.end - 1 + f[0] for o in taken)]
        feet = sorted(before) or sorted(after)
        if after and (not before or (after[0][0] < min(before)[0] and taken)):
            feet = sorted(after)
        if not feet:
            continue
        around = forms[start:end]
        if (
            number.signed
            or number.degrees
            or any(form in ("angle", "angles", "degrees", "deg", "duck", "at", "set", "is") for form in around)
            or len(taken) == 1
        ):
            tell(feet[0][1], number.value, number.start, number.end)
    return list(told.values())
