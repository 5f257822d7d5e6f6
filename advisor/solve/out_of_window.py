"""Every number of a set-up that lies outside its own window (`trees/windows.yaml`), whatever the complaint is about."""

from __future__ import annotations

from collections.abc import Iterator
from math import isnan
from typing import NamedTuple

from advisor.geometry.measuring import Measured, measure
from advisor.geometry.one_number import measure_or_field
from advisor.geometry.register import SIDES, Measure, Place, places
from advisor.sheet.readings import Known
from advisor.solve.windows import State, Window, load_windows


class OutOfWindow(NamedTuple):
    """One number outside its window.

    Parameters
    ----------
    measured
        The number, with its ±.
    window
        Where it should lie.
    state
        `close`: worth a look; `out`: beyond that.
    sure
        Whether it lies outside `good` wherever in its ± it is.

    """

    measured: Measured
    window: Window
    state: State
    sure: bool

    @property
    def key(self) -> str:
        """Return its name with its place: `stance_width_mm`, `turnout_gap_deg.back`."""
        return self.measured.key

    @property
    def strain(self) -> float:
        """Return how wrong it is: 1 at the end of its window, one more for each step from right to wrong."""
        return self.window.strain(self.measured.value)


def out_of_window(known: Known) -> tuple[OutOfWindow, ...]:
    """Return what lies outside its window, the worst first.

    A number that rests on nothing told is a guess about riders at large, and none of this set-up: it is left out.
    """
    found = sorted(_outside(known), key=lambda one: -one.strain)
    return tuple(found)


def _outside(known: Known) -> Iterator[OutOfWindow]:
    windows = load_windows(known.trees)
    for name in windows.ids():
        for wanted, place in _taken_at(name):
            one = measure(known, wanted, place)
            window = windows.window(one.key, known.setup) if one.known else None
            if window is None or isnan(one.value):
                continue
            state = window.state(one.value)
            if state in {"close", "out"} and _told(one):
                yield OutOfWindow(one, window, state, window.good.distance(one.value) > one.plus_minus)


def _taken_at(name: str) -> list[tuple[Measure, Place]]:
    """Return the measure that a window is for, at every place; `front.angle_deg` is a field at one foot."""
    side, _, tail = name.partition(".")
    if side in SIDES:
        wanted = measure_or_field(f"foot.{tail}")
        return [(wanted, place) for place in places(wanted) if place.side == side]
    wanted = measure_or_field(name)
    return [(wanted, place) for place in places(wanted)]


def _told(one: Measured) -> bool:
    readings = [reading for reading in one.inputs if not reading.sheet_path.startswith("practice.")]
    return any(reading.origin != "assumed" for reading in readings)
