"""Stance angles told in a sentence: "+15/-6", "18 front, 9 back", "back foot at minus three", "duck 12/12"."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from advisor.match.api import Told
from advisor.match.said import Said, find

__all__ = ["angles_told"]

_MINUS = frozenset({"-", "minus", "negative", "neg"})
_PLUS = frozenset({"+", "plus", "positive", "pos"})
_FRONT = frozenset({"front", "lead", "leading", "forward", "ff", "frontfoot", "fronts"})
_BACK = frozenset({"back", "rear", "behind", "trailing", "bf", "rf", "backfoot", "backs", "rears"})
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

_SINGLE_CUES = ("angle", "angles", "degrees", "degree", "deg", "duck", "at", "set", "is", "runs", "notch")
_REACH = 6
_NOTCH = 3  # degrees: most discs' teeth; only tells a bare "18/6" from other pairs of numbers


class _Number:
    """A number that may be an angle, from token `start` to token `end`."""

    __slots__ = ("degrees", "end", "signed", "start", "value")

    def __init__(self, value: int, signed: bool, degrees: bool, start: int, end: int) -> None:
        self.value = value
        self.signed = signed
        self.degrees = degrees
        self.start = start
        self.end = end


def _numbers(said: Said, data: Mapping[str, Any]) -> list[_Number]:
    forms = said.forms
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
        if number is None:
            place += 1
            continue
        end = place + 1
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
        moved_from = before == "from" and "to" in forms[end : end + 3]
        if moved_from or after in other_units or number != int(number) or not low <= sign * number <= high:
            continue
        found.append(_Number(int(sign * number), signed, degrees, start, end + degrees))
    return found


def _foot(form: str) -> str:
    form = form.split("'")[0]
    return "front" if form in _FRONT else "back" if form in _BACK else ""


def _hidden(said: Said, number: _Number, data: Mapping[str, Any]) -> bool:
    """Tell whether the number is asked about or somebody else's: a cue stands before it in its part of the sentence."""
    forms = said.forms
    start, _ = said.sentence(number.start)
    part = number.start
    while (
        part > start and forms[part - 1] != "but" and not (forms[part - 1] == "," and _far(forms, part, number.start))
    ):
        part -= 1
    before = forms[part : number.start]
    if find(before, data["written"]):
        return False
    asked_first = bool(before) and before[0] in data["asked_first"]
    return asked_first or bool(find(before, data["asked"]) or find(before, data["others"]))


def _far(forms: list[str], comma: int, place: int) -> bool:
    return any(form.isalpha() for form in forms[comma:place])


def _foot_of(said: Said, number: _Number, others: list[_Number]) -> str:
    """Return the foot that a number is told for: named before it if feet come before numbers here, else after it."""
    forms = said.forms
    start, end = said.sentence(number.start)
    feet = [place for place in range(start, end) if _foot(forms[place])]
    if not feet:
        return ""
    first_number = min([number.start, *(other.start for other in others)])
    if feet[0] < first_number:
        gaps = [(number.start - place, place) for place in feet if place < number.start]
        low = max([other.end for other in others if other.end <= number.start], default=start)
        gaps = [gap for gap in gaps if gap[1] >= low]
    else:
        high = min([other.start for other in others if other.start >= number.end], default=end)
        gaps = [(place - number.end, place) for place in feet if number.end <= place < high]
    if not gaps or min(gaps)[0] > _REACH:
        return ""
    return _foot(forms[min(gaps)[1]])


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

    for one, two in pairwise(numbers):
        between = forms[one.end : two.start]
        start, end = said.sentence(one.start)
        if two.end > end + 1 or len(between) > 2 or any(form not in _BETWEEN for form in between):
            continue
        around = forms[max(start, one.start - 7) : end]
        duck = "duck" in around or "ducked" in around
        cued = duck or one.signed or two.signed or one.degrees or two.degrees
        notched = one.value % _NOTCH == 0 and two.value % _NOTCH == 0
        led = one.start > 0 and forms[one.start - 1] in _CUES
        cued = cued or (notched and ("/" in between or led))
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
        others = [other for other in numbers if other is not number and start <= other.start < end]
        foot = _foot_of(said, number, others)
        around = forms[start:end]
        if any(form in ("duck", "ducked") for form in around) and not others and foot == "":
            tell("front", abs(number.value), number.start, number.end)
            tell("back", -abs(number.value), number.start, number.end)
            break
        beside = any(_foot(form) for form in forms[max(start, number.start - 2) : number.end + 3])
        closed = number.end >= end or forms[number.end] in (",", "and", "on", "at", "in", "for", "but")
        cued = number.signed or number.degrees or bool(others) or (beside and closed and number.value % _NOTCH == 0)
        cued = cued or any(form in _SINGLE_CUES for form in around)
        cued = cued or "from" in forms[max(start, number.start - 4) : number.start]
        if foot and cued:
            tell(foot, number.value, number.start, number.end)
    return list(told.values())
