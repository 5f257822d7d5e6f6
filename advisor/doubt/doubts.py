"""What of a sheet to read again: odd numbers, fields that do not go together, and what would be right instead."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from math import inf

from advisor.doubt.network import Joint, Odd
from advisor.doubt.tables import DERIVED, Line, Plausibility, Together, load_plausibility
from advisor.geometry.measuring import measure
from advisor.geometry.register import MEASURES, Place
from advisor.knowledge.trees import Trees, authors
from advisor.sheet.fields import field_rows
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import LeafValue, Sheet

_SIZE = "boots.size"
_FEET = ("rider.foot_length_mm.left", "rider.foot_length_mm.right")
_UNITS = {"deg": "°", "": ""}
_TWO_SD = 2.0
MEASURED_AGAIN = 0.0
"""The ± of a number that was doubted and measured again: it is believed from then on."""


@dataclass(frozen=True)
class Doubt:
    """One thing on a sheet that is hard to believe.

    Parameters
    ----------
    id
        The relation: `joint.body`, `usual`, or its name in `trees/plausibility.yaml`.
    fields
        The sheet's fields to read again, the likeliest wrong first.
    says
        One sentence.
    supposed
        The fields as they would be if the likeliest is wrong.
    far
        How far off, in spreads or windows; larger is odder.

    """

    id: str
    fields: tuple[str, ...]
    says: str
    supposed: tuple[tuple[str, LeafValue], ...]
    far: float


def doubts_of(
    sheet: Sheet, boards: Iterable[Mapping[str, float]] = (), trees: Trees | None = None
) -> tuple[Doubt, ...]:
    """Return what is hard to believe on a sheet, the oddest first; one doubt for a field at most.

    Parameters
    ----------
    sheet
        As read.
    boards
        The numbers of the shop's own boards by field, where it has a shelf.
    trees
        The knowledge; the authors' where missing.

    """
    trees = trees or authors()
    table = load_plausibility(trees)
    numbers = _Numbers(sheet, trees)
    found = [*_joint(table, numbers, tuple(boards)), *_usual(table, numbers), *_together(table, numbers)]
    kept: list[Doubt] = []
    spoken: set[str] = set()
    for doubt in sorted(found, key=lambda one: -one.far):
        if doubt.fields[0] not in spoken and not _measured_again(sheet, doubt.fields[0]):
            kept.append(doubt)
            spoken.update(doubt.fields)
    return tuple(kept)


def _measured_again(sheet: Sheet, path: str) -> bool:
    leaf = sheet.leaves.get(path)
    return leaf is not None and leaf.origin == "measured" and leaf.plus_minus == MEASURED_AGAIN


class _Numbers:
    """The numbers of a sheet that were given, and measures taken on it."""

    def __init__(self, sheet: Sheet, trees: Trees) -> None:
        self.sheet = sheet
        self.style = str(sheet.value("rider.style") or "")
        self.known: Known = resolve(sheet, trees=trees)
        self.values: dict[str, float] = {}
        self.spreads: dict[str, float] = {}
        for path, leaf in sheet.leaves.items():
            if isinstance(leaf.value, int | float) and not isinstance(leaf.value, bool) and leaf.origin != "assumed":
                self.values[path] = float(leaf.value)
                self.spreads[path] = (leaf.plus_minus or 0.0) / _TWO_SD
        self._derive()

    def _derive(self) -> None:
        label = self.known.readings.get("boots.for_foot_mm")
        if label is not None and label.origin != "assumed":
            self.values["label_mm"], self.spreads["label_mm"] = label.value, label.plus_minus / _TWO_SD
        feet = [self.values[path] for path in _FEET if path in self.values]
        if feet:
            self.values["longer_foot_mm"] = max(feet)
        widths = ("board.nose_width_mm", "board.tail_width_mm", "board.waist_width_mm", "board.contact_length_mm")
        if all(path in self.values for path in widths):
            bare = resolve(self.sheet.without("board.sidecut_radius_m"), trees=self.known.trees)
            made = measure(bare, MEASURES["sidecut_radius_m"], Place(None))
            if made.known:
                self.values["natural_radius_m"] = made.value

    def number(self, name: str, foot: str) -> tuple[float, float] | None:
        """Return a field's or a measure's value and how far it could be off at all; None where there is none.

        A measure's ± is what nineteen in twenty stay within: the twentieth is no slip of the pen.
        """
        if name in self.values:
            return self.values[name], _TWO_SD * self.spreads.get(name, 0.0)
        if name not in MEASURES:
            return None
        wanted = MEASURES[name]
        side: FootSide | None = None if not foot else "front" if foot == "front" else "back"
        taken = measure(self.known, wanted, Place(side if wanted.scope != "board" else None))
        return (taken.value, taken.at_worst) if taken.known else None


# ---------------------------------------------------------------------------------------------- joint


@cache
def _joints(boards: tuple[tuple[tuple[str, float], ...], ...], trees: Trees) -> dict[str, Joint]:
    table = load_plausibility(trees)
    shelf = [dict(one) for one in boards]
    return {
        name: Joint([_by_the_shelf(line, shelf, table.shelf_least) for line in lines])
        for name, lines in table.joints.items()
    }


def _by_the_shelf(line: Line, shelf: list[dict[str, float]], least: int) -> Line:
    """Return a line as the shop's own boards have it, where there are enough of them; never a narrower spread."""
    if not line.shelf or line.log:
        return line
    rests = [
        one[line.field] - sum(times * one[taken] for taken, times in line.takes.items())
        for one in shelf
        if line.field in one and all(taken in one for taken in line.takes)
    ]
    if len(rests) < least:
        return line
    middle = sum(rests) / len(rests)
    sd = (sum((rest - middle) ** 2 for rest in rests) / (len(rests) - 1)) ** 0.5
    return Line(line.field, line.name, line.takes, middle, max(sd, line.sd), shelf=True)


def _joint(table: Plausibility, numbers: _Numbers, boards: tuple[Mapping[str, float], ...]) -> Iterator[Doubt]:
    for name, joint in _joints(tuple(tuple(sorted(one.items())) for one in boards), numbers.known.trees).items():
        values = dict(numbers.values)
        while True:
            odd = joint.odd(values, numbers.spreads)
            if not odd or abs(odd[0].far) <= table.limit:
                break
            alike = [one for one in odd if abs(one.far) >= table.nearly * abs(odd[0].far)]
            yield _odd(table, joint, name, alike, odd, numbers)
            for one in alike:
                del values[one.field]


def _odd(table: Plausibility, joint: Joint, name: str, alike: list[Odd], odd: list[Odd], numbers: _Numbers) -> Doubt:
    first = alike[0]
    named = {one.field: joint.lines[one.field].name for one in odd}
    others = [named[path] for path in joint.order if path in named and path != first.field][:3]
    unit = _slip_of_unit(table, first, numbers.values[first.field])
    says = table.says["unit_says" if unit else "joint_says" if len(alike) == 1 else "either_says"]
    rounded = float(f"{first.expected:.3g}")
    words = says.format(
        Name=_headed(named[first.field]),
        Names=_headed(_listed([named[one.field] for one in alike])),
        value=shown(first.field, numbers.values[first.field]),
        others=_listed(others),
        expected=shown(first.field, rounded),
        unit=unit,
    )
    fields = tuple(_SIZE if one.field == "label_mm" else one.field for one in alike)
    supposed = () if first.field in DERIVED else ((first.field, _fitting(first.field, rounded)),)
    return Doubt(f"joint.{name}", fields, words, supposed, abs(first.far) / table.limit)


def _slip_of_unit(table: Plausibility, odd: Odd, value: float) -> str:
    for unit in table.units:
        if abs(value * unit.factor - odd.expected) < _TWO_SD * odd.sd and unit.factor != 1:
            return unit.words
    return ""


# ---------------------------------------------------------------------------------------------- windows


def _usual(table: Plausibility, numbers: _Numbers) -> Iterator[Doubt]:
    for one in table.usual:
        value = numbers.values.get(one.field)
        if value is None or one.window[0] <= value <= one.window[1]:
            continue
        words = table.says["usual_says"].format(
            Name=_headed(field_rows()[one.field].words),
            value=shown(one.field, value),
            low=f"{one.window[0]:g}",
            high=shown(one.field, one.window[1]),
        )
        end = _likeliest(value, one.window)
        yield Doubt("usual", (one.field,), words, ((one.field, _fitting(one.field, end)),), _beyond(value, one.window))


def _together(table: Plausibility, numbers: _Numbers) -> Iterator[Doubt]:
    for one in table.together:
        taken = _result(one, numbers)
        if taken is None or any(name in numbers.values for name in one.without):
            continue
        value, spread = taken
        low, high = one.by.get(numbers.style, one.window)
        if low - spread <= value <= high + spread:
            continue
        fields = tuple(path for path in one.doubt if path in numbers.sheet.leaves)
        if fields:
            far = _beyond(value, (low, high))
            yield Doubt(one.id, fields, _said(one, numbers, value, (low, high)), _supposed(one, numbers, fields), far)


def _result(one: Together, numbers: _Numbers) -> tuple[float, float] | None:
    parts = []
    for terms in (one.plus, one.over):
        total = spread = 0.0
        for name, times in terms.items():
            taken = numbers.number(name, one.foot)
            if taken is None:
                return None
            total += times * taken[0]
            spread += abs(times) * taken[1]
        parts.append((total, spread))
    (value, spread), (divisor, rest) = parts
    if not one.over:
        return value, spread
    if divisor == 0:
        return None
    return value / divisor, spread / abs(divisor) + abs(value) * rest / divisor**2


def _supposed(one: Together, numbers: _Numbers, fields: tuple[str, ...]) -> tuple[tuple[str, LeafValue], ...]:
    leaves = numbers.sheet.leaves
    if one.suppose.swap:
        first, second = one.suppose.swap
        pairs = [(first + path.removeprefix(second), path) for path in leaves if path.startswith(f"{second}.")]
        pairs += [(second + path.removeprefix(first), path) for path in leaves if path.startswith(f"{first}.")]
        return tuple((path, leaves[source].value) for path, source in pairs)
    if one.suppose.turn:
        value = numbers.values.get(one.suppose.turn)
        return () if value is None else ((one.suppose.turn, _fitting(one.suppose.turn, -value)),)
    return _to_the_window(one, numbers, fields[0])


def _to_the_window(one: Together, numbers: _Numbers, path: str) -> tuple[tuple[str, LeafValue], ...]:
    """Return the field as it would have to be for the result to reach its window, the others as they stand."""
    taken = _result(one, numbers)
    value = numbers.values.get(path)
    times = one.plus.get(path)
    if taken is None or value is None or times is None:
        return ()
    end = _likeliest(taken[0], one.by.get(numbers.style, one.window))
    divisor = sum(factor * (numbers.number(name, one.foot) or (0.0, 0.0))[0] for name, factor in one.over.items())
    right = value + (end - taken[0]) * (divisor if one.over else 1.0) / times
    return ((path, _fitting(path, right)),)


# ---------------------------------------------------------------------------------------------- words


_HOLE = re.compile(r"\{([^{}]+)\}")


def _said(one: Together, numbers: _Numbers, value: float, window: tuple[float, float]) -> str:
    def fill(hole: re.Match[str]) -> str:
        name = hole[1]
        if name == "foot":
            return one.foot
        if name in {"low", "high", "value"}:
            return f"{round({'low': window[0], 'high': window[1], 'value': value}[name], 2):g}"
        taken = numbers.number(name, one.foot)
        return shown(name, taken[0]) if taken else str(numbers.sheet.value(name) if name in field_rows() else "?")

    return _HOLE.sub(fill, one.says)


def shown(name: str, value: float) -> str:
    """Return a field's or a measure's number with its unit, rounded as a hand reads it."""
    row = field_rows().get(name)
    unit = row.unit if row else MEASURES[name].unit if name in MEASURES else name.rpartition("_")[2]
    number = f"{round(value, 1):g}"
    sign = _UNITS.get(unit, f" {unit}")
    return f"{number}{sign}"


def _headed(words: str) -> str:
    return words[:1].upper() + words[1:]


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else "the rest"


def _likeliest(value: float, window: tuple[float, float]) -> float:
    """Return a window's middle; of a window with one end, that end."""
    if inf in {-window[0], window[1]}:
        return min(max(value, window[0]), window[1])
    return (window[0] + window[1]) / 2


def _beyond(value: float, window: tuple[float, float]) -> float:
    """Return how far outside a window a number lies, 1 at its end, by half the window's width where it has two ends."""
    low, high = window
    gap = max(low - value, value - high)
    half = (high - low) / 2 if inf not in {-low, high} else max(abs(low if low > -inf else high), 1.0)
    return 1 + gap / half


def _fitting(path: str, value: float) -> LeafValue:
    """Return a number as the field takes it: whole where it counts, within its limits."""
    row = field_rows()[path]
    within = min(max(value, row.low), row.high)
    return round(within) if row.kind == "integer" else round(within, 1)
