"""Numbers with units, told in a sentence: height, weight, inseam, speed, board, boots."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from advisor.match.api import Told
from advisor.match.said import Said, find

__all__ = ["quantities_told"]

CM_PER_INCH = 2.54
INCHES_PER_FOOT = 12
KG_PER_POUND = 0.45359237
POUNDS_PER_STONE = 14
KMH_PER_MPH = 1.609344


def _plain(number: float) -> int | float:
    return int(number) if number == int(number) else round(number, 1)


class _Reader:
    def __init__(self, said: Said, data: Mapping[str, Any]) -> None:
        self.said, self.data, self.forms = said, data, said.forms
        self.units = {e: unit for unit, expressions in data["units"].items() for e in expressions}
        self.bounds: Mapping[str, list[float]] = data["bounds"]
        self.used: set[int] = set()
        self.cues = {name: find(self.forms, expressions) for name, expressions in data["cues"].items()}

    def unit(self, place: int) -> tuple[str, int]:
        for size in (4, 3, 2, 1):
            words = " ".join(self.forms[place : place + size])
            if words in self.units and place + size <= len(self.forms):
                return self.units[words], place + size
        return "", place

    def near(self, cue: str, place: int, end: int, before: int = 6, after: int = 3) -> int:
        """Words between the number and the nearest such cue in its sentence; a large number when there is none."""
        start_s, end_s = self.said.sentence(place)
        gaps = [99]
        for a, b in self.cues[cue]:
            if start_s <= a and b <= end_s:
                if b <= place and place - b <= before:
                    gaps.append(place - b)
                elif a >= end and a - end <= after:
                    gaps.append(a - end)
        return min(gaps)

    def inside(self, bound: str, value: float) -> bool:
        low, high = self.bounds[bound]
        return low <= value <= high

    def told(self, key: str, value: float | str, start: int, end: int) -> Told:
        self.used.update(range(start, end))
        return Told(key, value if isinstance(value, str) else _plain(value), self.said.words(start, end))

    def length(self, place: int, cm: float, end: int, metric_small: bool) -> Told | None:
        """Decide what a length is, by the nearest cue."""
        gaps = {cue: self.near(cue, place, end) for cue in ("inseam", "waist", "outsole", "board", "height")}
        mm = cm * 10
        fits = {
            "inseam": self.inside("inseam_cm", cm) and not metric_small,
            "waist": self.inside("waist_mm", mm),
            "outsole": self.inside("outsole_mm", mm),
            "board": self.inside("board_cm", cm) and not metric_small,
            "height": self.inside("height_cm", cm) and not metric_small,
        }
        order = sorted((gap, list(gaps).index(cue), cue) for cue, gap in gaps.items() if fits[cue])
        if not order:
            return None
        gap, _, cue = order[0]
        if gap == 99:
            return self.told("rider.height_cm", cm, place, end) if cm >= 120 and fits["height"] else None
        key, value = {
            "inseam": ("rider.inseam_cm", cm),
            "waist": ("board.waist_width_mm", mm),
            "outsole": ("boots.outsole_length_mm", mm),
            "board": ("board.length_cm", cm),
            "height": ("rider.height_cm", cm),
        }[cue]
        return self.told(key, value, place, end)

    def feet(self, place: int, number: float, end: int) -> Told | None:
        inches = self.said.number(end)
        last = end
        if inches is not None and inches < INCHES_PER_FOOT:
            last = end + 1
            unit, after = self.unit(last)
            last = after if unit == "in" else last
        else:
            inches = 0.0
        cm = round((number * INCHES_PER_FOOT + inches) * CM_PER_INCH)
        if not 3 <= number <= 7 or not self.inside("height_cm", cm):
            return None
        if not inches and self.forms[end - 1] not in ("ft", "'") and self.near("height", place, end) == 99:
            return None
        return self.told("rider.height_cm", cm, place, last)

    def weight(self, place: int, number: float, unit: str, end: int) -> Told | None:
        last = end
        if unit == "st":
            pounds = self.said.number(end)
            if pounds is not None and pounds < POUNDS_PER_STONE:
                last = self.unit(end + 1)[1] if self.unit(end + 1)[0] == "lb" else end + 1
            number = number * POUNDS_PER_STONE + (pounds if pounds is not None and last > end else 0)
        kg = number if unit == "kg" else number * KG_PER_POUND
        return self.told("rider.weight_kg", round(kg, 1), place, last) if self.inside("weight_kg", kg) else None

    def with_unit(self, place: int, number: float) -> Told | None:
        unit, end = self.unit(place + 1)
        if unit in ("cm", "mm", "m"):
            cm = number * {"cm": 1, "mm": 0.1, "m": 100}[unit]
            more = self.said.number(end)
            if unit == "m" and number in (1, 2) and more is not None and more < 100:
                return self.length(place, number * 100 + more, end + 1, False)
            return self.length(place, round(cm, 1), end, unit == "mm")
        if unit in ("kg", "lb", "st"):
            return self.weight(place, number, unit, end)
        if unit in ("kmh", "mph"):
            if (
                self.forms[end - 1] in ("km", "kms", "clicks")
                and self.said.number(place + 1) is None
                and (self.forms[place - 1] if place else "")
                not in ("at", "around", "about", "over", "above", "past", "doing", "do")
            ):
                return None
            kmh = number if unit == "kmh" else number * KMH_PER_MPH
            return self.told("rider.speed_kmh", round(kmh, 1), place, end) if self.inside("speed_kmh", kmh) else None
        if unit == "ft":
            return self.feet(place, number, end)
        if unit == "in":
            cm = round(number * CM_PER_INCH, 1)
            gaps = {cue: self.near(cue, place, end) for cue in ("inseam", "height")}
            if gaps["inseam"] < 99 and self.inside("inseam_cm", cm):
                return self.told("rider.inseam_cm", cm, place, end)
            if gaps["height"] < 99 and self.inside("height_cm", cm) and number > 40:
                return self.told("rider.height_cm", round(cm), place, end)
        return None

    def size(self, place: int, number: float) -> Told | None:
        systems = {e: name for name, expressions in self.data["sizes"].items() for e in expressions}
        fillers = {
            "size",
            "sizes",
            "men",
            "mens",
            "s",
            "'",
            "women",
            "womens",
            "men's",
            "women's",
            "a",
            "is",
            "w",
            "point",
            "of",
            "in",
            "sized",
            "boot",
            "boots",
            "m",
            "shoe",
            ":",
            "ladies",
        }
        start = place - 1
        while start >= 0 and place - start < 5 and self.forms[start] in fillers:
            start -= 1
        end = place + 1
        half = self.forms[place + 1 : place + 4] == ["1", "/", "2"]
        if half:
            number, end = number + 0.5, place + 4
        stop = end
        while stop < len(self.forms) and stop - end < 3 and self.forms[stop] in fillers:
            stop += 1
        name = ""
        if start >= 0 and self.forms[start] in systems:
            name, first, last = systems[self.forms[start]], start, end
        elif stop < len(self.forms) and self.forms[stop] in systems:
            name, first, last = systems[self.forms[stop]], place, stop + 1
        if not name:
            cued = self.near("size", place, end, before=4, after=2) < 99
            unit = self.unit(end)[0]
            if not (cued and self.inside("eu_size", number) and not unit):
                return None
            name, first, last = "EU", place, end
        women = name == "US" and self.near("women", place, end, before=5, after=4) < 99
        if name == "mondo" and number > 100:
            number /= 10
        low, high = {"EU": (15, 52), "US": (1, 20), "UK": (0, 18), "mondo": (13, 36)}[name]
        if not low <= number <= high:
            return None
        return self.told("boots.size", f"{name} {'W ' if women else ''}{number:g}", first, last)

    def bare(self, place: int, number: float) -> Told | None:
        end = place + 1
        after = self.forms[end] if end < len(self.forms) else ""
        before = self.forms[place - 1] if place else ""
        if self.near("waist", place, end, before=4, after=2) < 99:
            mm = number * 10 if number < 100 else number
            if self.inside("waist_mm", mm):
                return self.told("board.waist_width_mm", mm, place, end)
        if self.near("inseam", place, end, before=3, after=1) < 99 and self.inside("inseam_cm", number):
            return self.told("rider.inseam_cm", number, place, end)
        if self.inside("board_cm", number) and number >= 90:
            wide = after == "w"
            tall = self.near("height", place, end, before=2, after=1)
            board = self.near("board", place, end, before=4, after=3)
            if wide or (board < 99 and board <= tall):
                return self.told("board.length_cm", number, place, end + wide)
            if tall < 99 and number >= 120:
                return self.told("rider.height_cm", number, place, end)
        if before in ("weigh", "weighs", "weight", "weighing") and self.inside("weight_kg", number):
            return self.told("rider.weight_kg", number, place, end)
        return None

    def all(self) -> Iterator[Told]:
        for place in range(len(self.forms)):
            number = self.said.number(place)
            if number is None or place in self.used:
                continue
            heard = self.with_unit(place, number) or self.size(place, number)
            if heard is None and not self.unit(place + 1)[0]:
                heard = self.bare(place, number)
            if heard is not None:
                yield heard


def quantities_told(said: Said, data: Mapping[str, Any]) -> list[Told]:
    """Return the first of each quantity told; imperial units are turned into the sheet's own.

    Parameters
    ----------
    said
        The text and its tokens.
    data
        The packed `trees/match/facts.yaml`.

    """
    kept: dict[str, Told] = {}
    for told in _Reader(said, data).all():
        kept.setdefault(told.key, told)
    return list(kept.values())
