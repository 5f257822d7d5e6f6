"""Measures taken on a known set-up: value, ±, formula, inputs, or what is missing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache, cached_property
from math import hypot, inf, nan, sqrt
from operator import attrgetter
from random import Random

from advisor.geometry.maths import isnan
from advisor.geometry.register import MEASURES, Measure, Place, measure_named, places
from advisor.sheet.readings import Known, Reading
from advisor.sheet.setup import Setup

_STRAIGHT = 0.15  # of the ±, that bends may make up before the value counts as bent
_DRAWS = 200
_RADIUS = "board.sidecut_radius_mm"
_WIDTHS = ("board.nose_width_mm", "board.tail_width_mm", "board.contact_length_mm")


class Measurements(dict[str, "Measured"]):
    """Every measure of a set-up, by `id`, `id.side` or `id.side.edge`."""


class Measured:
    """One measure at one place: the value at once, its ±, formula and inputs when they are asked for.

    Parameters
    ----------
    measure, place
        What was measured, and where.
    known
        The set-up and its readings.
    value
        In the measure's unit; `nan` where something is missing.
    needs
        The sheet's fields that are missing.

    """

    def __init__(self, measure: Measure, place: Place, known: Known, value: float, needs: tuple[str, ...] = ()) -> None:
        self.measure = measure
        self.place = place
        self.value = value
        self.needs = needs
        self._known = known

    @property
    def known(self) -> bool:
        """Whether there is a value."""
        return not isnan(self.value)

    @property
    def setup(self) -> Setup:
        """Return the set-up that it was taken on."""
        return self._known.setup

    @property
    def key(self) -> str:
        """Return the measure's name with its place: `heel_margin_deg.back`, or `back.lean_deg` for a foot's field."""
        name, side = self.measure.id, self.place.side
        if side is None:
            return name
        return f"{side}.{name[5:]}" if name.startswith("foot.") else f"{name}.{self.place}"

    @cached_property
    def plus_minus(self) -> float:
        """Return half the 95 % band of the value; of a number that safety hangs on, how far it could be off at all."""
        if self.key not in self._known.bands:
            self._known.bands[self.key] = self._band()
        return self._known.bands[self.key]

    @property
    def at_worst(self) -> float:
        """Return how far the value could be off at all: every input at the end of its ± that moves the value most."""
        moving = self._known.moving
        ranges = [(path, moving[path]) for path in self._used if path in moving]
        if not ranges or not self.known:
            return 0.0
        return bound(lambda s: self.measure.at(s, self.place), self._known.scratch, ranges)

    def _band(self) -> float:
        if self.known and self.measure.made_of:
            parts = (self._part(name) for name in self.measure.made_of)
            return hypot(*(part.plus_minus for part in parts))
        if self.known and self.measure.follows:
            name, at = self.measure.follows
            part = measure(self._known, measure_named(f"{self.place.edge}_{name}"), Place(self.place.side))
            ends = (at(self.setup, max(0.0, part.low)), at(self.setup, min(90.0, part.high)))
            moving = self._known.moving
            own = [(path, moving[path]) for path in (_RADIUS, *_WIDTHS, "ride.slope_deg") if path in moving]
            beside = spread(lambda s: at(s, part.value), self._known.scratch, own)
            return hypot(max(abs(end - self.value) for end in ends), beside)
        wanted, place = self.measure, self.place
        if wanted.safety:
            return self.at_worst
        moving = self._known.moving
        ranges = [(path, moving[path]) for path in self._used if path in moving]
        if not ranges or not self.known:
            return 0.0
        push = (lambda s: wanted.push_at(s, place)) if wanted.push else None
        return spread(lambda s: wanted.at(s, place), self._known.scratch, ranges, push)

    def _part(self, name: str) -> Measured:
        from advisor.geometry.one_number import measure_or_field

        part = measure_or_field(name)
        return measure(self._known, part, self.place if part.scope == "foot" else Place())

    @cached_property
    def formula(self) -> str:
        """Return the formula with the numbers put in."""
        return self.measure.work_at(self._known.setup, self.place) if self.known else ""

    @property
    def inputs_by_path(self) -> tuple[tuple[str, Reading], ...]:
        """Return the readings that the value came from, by the set-up's paths: one field may give several numbers."""
        readings = self._known.readings
        return tuple((path, readings[path]) for path in self._used if path in readings)

    @property
    def inputs(self) -> tuple[Reading, ...]:
        """Return the readings that the value came from, by the sheet's field names."""
        readings = self._known.readings
        return tuple(readings[path] for path in self._used if path in readings)

    @property
    def window(self) -> tuple[float, float] | None:
        """Return both ends of a measure that is a window."""
        window = self.measure.window
        return window(self._known.setup) if window and self.known else None

    @property
    def low(self) -> float:
        """Return the lower end of the value's range."""
        return self.value - self.plus_minus

    @property
    def high(self) -> float:
        """Return the upper end of the value's range."""
        return self.value + self.plus_minus

    @property
    def _used(self) -> tuple[str, ...]:
        plan = _plan(self.measure.id, self.place)
        setup = self._known.setup
        used = tuple(path for path in plan.optional if not isnan(setup.get(path)))
        if _RADIUS in used:
            used = tuple(path for path in used if path not in _WIDTHS)
        return (*plan.required, *used)


class _Plan:
    """The set-up paths that a measure reads at a place, ready to be read quickly."""

    def __init__(self, measure: Measure, place: Place) -> None:
        self.required = tuple(measure.paths(place))
        self.optional = tuple(measure.paths(place, optional=True))
        self.read = attrgetter(*self.required, "board") if self.required else attrgetter("board", "rider")
        self.on_the_edge = _RADIUS in self.optional and measure.id != "needed_tilt_deg"

    def missing(self, setup: Setup) -> list[str]:
        """Return the paths without which there is no value."""
        values = self.read(setup)
        gaps = [path for path, value in zip(self.required, values, strict=False) if value != value]
        board = setup.board
        if self.on_the_edge and isnan(board.sidecut_radius_mm):
            waist = board.waist_width_mm
            if isnan(board.nose_width_mm + board.tail_width_mm + board.contact_length_mm + waist):
                gaps.append(_RADIUS)
        return gaps


@cache
def _plan(measure_id: str, place: Place) -> _Plan:
    from advisor.geometry.one_number import measure_or_field

    return _Plan(measure_or_field(measure_id), place)


def spread(
    value: Callable[[Setup], float],
    setup: Setup,
    ranges: Iterable[tuple[str, float]],
    push: Callable[[Setup], float] | None = None,
) -> float:
    """Compute half the 95 % band of a value whose inputs have theirs.

    An input's ± is two standard deviations. Where the value moves straight with each input the parts add as squares;
    where it bends, or stands still over a stretch, it is taken at drawn inputs, the same ones every time, and the ± is
    what nineteen draws in twenty stay within.

    Parameters
    ----------
    value
        The pure function of the set-up.
    setup
        A set-up that may be changed in place; it is put back, whatever a formula does.
    ranges
        Set-up paths and their ± [each in its own unit].
    push
        Given for a value that can stand still over a stretch of its inputs: a function that keeps moving with them.

    Returns
    -------
    float
        ± of the value, in its unit; 0 without ranges.

    """
    ends = [(path, setup.get(path), half) for path, half in ranges]
    try:
        return _band(value, setup, ends, push is not None)
    finally:
        for path, middle, _half in ends:
            setup.put(path, middle)


def _band(
    value: Callable[[Setup], float], setup: Setup, ends: Sequence[tuple[str, float, float]], stands: bool
) -> float:
    """Return the band's half width; the set-up is left moved."""
    base = value(setup)
    squares, bend = 0.0, 0.0
    for path, middle, half in ends:
        setup.put(path, middle + half)
        up = value(setup)
        setup.put(path, middle - half)
        down = value(setup)
        setup.put(path, middle)
        if isnan(up) or isnan(down):
            bend = inf
            continue
        squares += ((up - down) / 2) ** 2
        bend += (up + down - 2 * base) ** 2
    straight = sqrt(squares)
    if sqrt(bend) <= _STRAIGHT * straight and not (stands and straight == 0):
        return straight
    moved = []
    for draw in _draws(len(ends)):
        for (path, middle, half), sd in zip(ends, draw, strict=True):
            setup.put(path, middle + sd * half / 2)
        drawn = value(setup)
        if not isnan(drawn):
            moved.append(abs(drawn - base))
    moved.sort()
    if not moved:
        return 0.0
    place = 0.95 * (len(moved) - 1)
    low = int(place)
    return moved[low] + (place - low) * (moved[min(low + 1, len(moved) - 1)] - moved[low])


@cache
def _draws(inputs: int) -> tuple[tuple[float, ...], ...]:
    """Return standard normal draws, the same at every call, each with its mirror image."""
    chance = Random(inputs)
    half = [tuple(max(-3.0, min(3.0, chance.gauss(0, 1))) for _ in range(inputs)) for _ in range(_DRAWS // 2)]
    return (*half, *(tuple(-sd for sd in draw) for draw in half))


def bound(value: Callable[[Setup], float], setup: Setup, ranges: Iterable[tuple[str, float]]) -> float:
    """Compute how far a value moves with every input at its worst: a bound, for what must not happen at all."""
    ends = [(path, setup.get(path), half) for path, half in ranges]
    base, far = value(setup), 0.0
    try:
        for path, middle, half in ends:
            moved = []
            for step in (half, -half):
                setup.put(path, middle + step)
                moved.append(value(setup))
            setup.put(path, middle)
            far += max((abs(one - base) for one in moved if not isnan(one)), default=0.0)
    finally:
        for path, middle, _half in ends:
            setup.put(path, middle)
    return far


def measure(known: Known, wanted: Measure, place: Place) -> Measured:
    """Take one measure at one place.

    Parameters
    ----------
    known
        The set-up and its readings.
    wanted
        The measure.
    place
        The place; one of `places(wanted)`.

    Returns
    -------
    Measured
        With `needs` where a number is missing.

    """
    missing = _plan(wanted.id, place).missing(known.setup)
    if missing:
        needs = tuple(dict.fromkeys(known.sheet_path(path) for path in missing))
        return Measured(wanted, place, known, nan, needs)
    return Measured(wanted, place, known, wanted.at(known.setup, place))


def measure_all(known: Known) -> Measurements:
    """Take every measure of the register at every place."""
    return Measurements(
        (taken.key, taken)
        for wanted in MEASURES.values()
        for taken in (measure(known, wanted, place) for place in places(wanted))
    )
