"""Knowledge texts with this rider's numbers put in; a sentence whose number is not known is left out."""

from __future__ import annotations

import re
from collections.abc import Callable
from math import inf

from advisor.explain.wording import foot_words, in_units, quantity, shown_unit
from advisor.geometry.contact import first_contact
from advisor.geometry.measuring import measure
from advisor.geometry.one_number import measure_or_field
from advisor.geometry.register import MEASURES, SIDES, Measure, places
from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide
from advisor.sheet.units import UnitSystem
from advisor.solve.windows import Interval, load_windows

_PLACEHOLDER = re.compile(r"\{(good:|size:)?([a-z_]+(?:\.[a-z_]+)*)\}")
_ONE_OR_BOTH = re.compile(r"\{([^{}|]*)\|([^{}|]*)\}")
_LINE_END = re.compile(r"(?<!\n)\n(?!\n)")
_SENTENCE = re.compile(r".+?(?:(?<=[.!?])\s+|$)", re.DOTALL)
_WORDS_OF_THE_SETUP = {"rider.style"}
_SMALL = 2.0


class _NotKnownError(Exception):
    """A number that a sentence needs is not known."""


def fill(text: str, known: Known, feet: tuple[FootSide, ...] = (), units: UnitSystem = "metric") -> str:
    """Put a set-up's numbers into a knowledge text.

    `{heel_contact_deg}` is the measure at the feet at hand (`feet`, else the front), `{heel_contact_deg.back}` at the
    back foot; `{back.lean_deg}`, `{foot.lean_deg}` and `{board.row_pitch_mm}` are numbers of the set-up, and
    `{good:stance_width_mm}` is a measure's or a number's window for this rider, and `{size:knee_offset_mm}` a number
    without its sign. `{foot}` is the foot's name, `{boot hangs|boots hang}` the words for one foot or for both,
    `{heel_part}` and `{toe_part}` what meets the snow first there, `{sizes_of_boot}` and `{sizes_of_foot}` boot sizes
    in every system. A sentence whose number is not known is left out, as long as another sentence is left.
    """
    filler = _Filler(known, feet, units)
    told: list[str] = []
    text = _ONE_OR_BOTH.sub(lambda words: words[2 if len(filler.at) > 1 else 1], _LINE_END.sub(" ", text))
    for sentence in _SENTENCE.findall(text):
        try:
            told.append(_PLACEHOLDER.sub(filler.number, sentence))
        except _NotKnownError:
            continue
    filled = "".join(told).strip()
    if not re.search(r"\w", filled):
        filled = _PLACEHOLDER.sub(filler.number_or_words, text).strip()
    return in_units(filled, units)


class _Filler:
    """Puts in one number after the other for one set-up and the feet at hand."""

    def __init__(self, known: Known, feet: tuple[FootSide, ...], units: UnitSystem) -> None:
        self.known = known
        self.feet = feet
        self.at: tuple[FootSide, ...] = feet or ("front",)
        self.units = units

    def number_or_words(self, match: re.Match[str]) -> str:
        """Return what stands for a placeholder, `not known` where the number is missing."""
        try:
            return self.number(match)
        except _NotKnownError:
            return "not known"

    def number(self, match: re.Match[str]) -> str:
        """Return what stands for a placeholder."""
        name, at = _placed(match[2], self.at)
        if match[1] == "good:":
            return self._window(match[2])
        if name in _PARTS:
            return _PARTS[name](self, at)
        if name in _WORDS_OF_THE_SETUP:
            return self._option(name)
        wanted = measure_or_field(name)
        if wanted.scope == "board":
            return self._value(wanted, None, match[1])
        told = {side: self._value(wanted, side, match[1]) for side in at}
        if len(set(told.values())) == 1:
            return next(iter(told.values()))
        return " and ".join(f"{value} ({side})" for side, value in told.items())

    def _value(self, wanted: Measure, side: FootSide | None, how: str | None) -> str:
        place = next(p for p in places(wanted) if p.side == side)
        value = measure(self.known, wanted, place).value
        if value != value:
            raise _NotKnownError
        if how == "size:":
            value = abs(value)
        if wanted.unit == "N":
            value = round(value, -2)
        unit = shown_unit(wanted.id, wanted.unit)
        return quantity(value, unit, decimals=0 if wanted.unit in {"deg", "mm"} and _whole(wanted) else None)

    def _window(self, name: str) -> str:
        window = load_windows(self.known.trees).window(name, self.known.setup)
        if window is None:
            raise _NotKnownError
        named, _ = _placed(name, self.at)
        return window_words(window.good, shown_unit(named, measure_or_field(named).unit))

    def _option(self, path: str) -> str:
        from advisor.graph.knowledge import load_knowledge

        value = str(getattr(self.known.setup.rider, path.partition(".")[2]))
        fact = load_knowledge(self.known.trees).facts.get(path)
        return fact.options.get(value, value) if fact else value


def _placed(name: str, at: tuple[FootSide, ...]) -> tuple[str, tuple[FootSide, ...]]:
    """Return the measure, number or special word that a placeholder names, and the feet that it is told at."""
    for side in SIDES:
        if name.endswith(f".{side}"):
            return name.removesuffix(f".{side}"), (side,)
        if name.startswith(f"{side}."):
            return f"foot.{name.removeprefix(f'{side}.')}", (side,)
    return name, at


def _whole(wanted: Measure) -> bool:
    """Return whether a tech says it without decimals: everything measured, but no part's own size."""
    return wanted.id in MEASURES or wanted.id.startswith("foot.")


def window_words(good: Interval, unit: str) -> str:
    """Return a window in words, its ends as a tech says them."""
    if unit == "%":
        return Interval(good.low * 100, good.high * 100).words("%")
    return whole_ends(good, unit).words(unit)


def whole_ends(good: Interval, unit: str) -> Interval:
    """Return a window with its ends in whole millimetres or degrees, as a tech says it; a narrow one as it is."""
    if unit not in {"mm", "deg"} or good.high - good.low < 2:
        return good
    ends = (end if abs(end) == inf or abs(end) < _SMALL else float(round(end)) for end in (good.low, good.high))
    return Interval(*ends)


def _foot_name(filler: _Filler, at: tuple[FootSide, ...]) -> str:
    return foot_words(filler.feet) if filler.feet else at[0]


def _heel_part(filler: _Filler, at: tuple[FootSide, ...]) -> str:
    setup = filler.known.setup
    return " and ".join(dict.fromkeys(first_contact(setup, setup.foot(side), "heel")[0].name for side in at))


def _toe_part(filler: _Filler, at: tuple[FootSide, ...]) -> str:
    setup = filler.known.setup
    return " and ".join(dict.fromkeys(first_contact(setup, setup.foot(side), "toe")[0].name for side in at))


def _sizes_of_boot(filler: _Filler, at: tuple[FootSide, ...]) -> str:
    """Return the foot that the label stands for by the line of boot labels, and its sizes in every system."""
    del at
    reading = filler.known.readings.get("boots.for_foot_mm")
    if reading is None:
        raise _NotKnownError
    low, high = reading.value - reading.plus_minus, reading.value + reading.plus_minus
    foot = _foot_by_label(reading.note, reading.value, filler.known.trees)
    length = f"{low:.0f} mm" if high - low < 1 else f"about {foot:.0f} mm ({low:.0f} to {high:.0f})"
    sizes = _sizes(low, high, filler.known.trees, foot)
    return f"{reading.note or 'the label'} stands for a foot of {length}: {sizes}"


def _foot_by_label(label: str, middle: float, trees: Trees) -> float:
    """Return the foot that a label stands for by the line that boot labels follow [mm]; else the middle of all."""
    from advisor.sheet.boot_size import SizeError, parse_boot_size, size_systems

    try:
        size = parse_boot_size(label)
    except SizeError:
        return middle
    slope, plus = size_systems(trees)[size.system].boots or (0.0, 0.0)
    return (size.number - plus) / slope if slope else middle


def _sizes_of_foot(filler: _Filler, at: tuple[FootSide, ...]) -> str:
    """Return the longer foot, and its sizes in every system with their spread."""
    del at
    found = [filler.known.readings.get(f"{side}.foot_length_mm") for side in SIDES]
    feet = [foot for foot in found if foot and (foot.origin != "assumed" or foot.sheet_path == "rider.leading_foot")]
    if not feet:
        raise _NotKnownError
    longer = max(feet, key=lambda foot: foot.value)
    return f"the longer foot, {longer.value:.0f} mm, is {_sizes(longer.value, longer.value, filler.known.trees)}"


def _sizes(low: float, high: float, trees: Trees, foot: float | None = None) -> str:
    """Return the sizes of a foot: the number on a boot's label first, the spread of other tables behind it."""
    from advisor.sheet.boot_size import size_systems, sizes_for

    told = []
    for key, (least, most) in sizes_for(low, high, trees).items():
        system = size_systems(trees)[key]
        label = system.label_for((low + high) / 2 if foot is None else round(foot / 5) * 5 if not system.step else foot)
        if not system.step and foot is not None:
            told.append(label)
            continue
        ends = [f"{round(size / (system.step or 0.1)) * (system.step or 0.1):g}" for size in (least, most)]
        if label and label.startswith(f"{system.label} ") and ends[0] != ends[1]:
            label = f"{label} (other tables {ends[0]} to {ends[1]})"
        if label:
            told.append(label)
    return ", ".join(told)


_PARTS: dict[str, Callable[[_Filler, tuple[FootSide, ...]], str]] = {
    "foot": _foot_name,
    "heel_part": _heel_part,
    "toe_part": _toe_part,
    "sizes_of_boot": _sizes_of_boot,
    "sizes_of_foot": _sizes_of_foot,
}
