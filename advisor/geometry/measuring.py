"""Measures taken on a known set-up: value, ±, formula, inputs, or what is missing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cache, cached_property
from math import nan
from operator import attrgetter

from advisor.geometry.maths import isnan
from advisor.geometry.register import MEASURES, Measure, Place, places
from advisor.sheet.readings import Known, Reading
from advisor.sheet.setup import Setup

__all__ = ["Measured", "Measurements", "measure", "measure_all", "spread"]

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
        """Return half the width of the range in which the true value lies, as the inputs' ± allow."""
        moving = self._known.moving
        ranges = [(path, moving[path]) for path in self._used if path in moving]
        if not ranges or not self.known:
            return 0.0
        wanted, place = self.measure, self.place
        push = (lambda s: wanted.push_at(s, place)) if wanted.push else None
        return spread(lambda s: wanted.at(s, place), self._known.scratch, ranges, push)

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
    """Compute half the width of the range that a value takes while its inputs move within their ±.

    Each input is moved alone to learn which way it pushes; then all are moved together to the ends that raise and that
    lower the value, and the largest deviation wins. Exact for values that rise or fall steadily with each input.

    Parameters
    ----------
    value
        The pure function of the set-up.
    setup
        A set-up that may be changed in place; it is put back, whatever a formula does.
    ranges
        Set-up paths and their ± [each in its own unit].
    push
        A function that rises and falls with the same inputs, for a value that stands still over a stretch of them.

    Returns
    -------
    float
        ± of the value, in its unit; 0 without ranges.

    """
    ends = [(path, setup.get(path), half) for path, half in ranges]
    try:
        return _widest(value, setup, ends, push)
    finally:
        for path, middle, _half in ends:
            setup.put(path, middle)


def _widest(
    value: Callable[[Setup], float],
    setup: Setup,
    ends: Sequence[tuple[str, float, float]],
    push: Callable[[Setup], float] | None,
) -> float:
    """Return the largest deviation; the set-up is left moved."""
    base = value(setup)
    worst = 0.0
    patterns: set[tuple[float, ...]] = set()
    for learn in (value, push) if push else (value,):
        start = learn(setup)
        pattern = []
        for path, middle, half in ends:
            way = 0.0
            for step in (half, -half):
                setup.put(path, middle + step)
                moved = learn(setup)
                if moved != start:
                    way = step if moved > start else -step
                    if learn is value and not isnan(moved):
                        worst = max(worst, abs(moved - base))
                    break
            setup.put(path, middle)
            pattern.append(way)
        patterns |= {tuple(pattern), tuple(-way for way in pattern)}
    for corner in patterns:
        for (path, middle, _half), way in zip(ends, corner, strict=True):
            setup.put(path, middle + way)
        moved = value(setup)
        if not isnan(moved):
            worst = max(worst, abs(moved - base))
    return worst


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
