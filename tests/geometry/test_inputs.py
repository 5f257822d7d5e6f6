"""A measure reads what it declares and declares what it reads; what it lacks it names."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from math import isnan, nan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.geometry.measuring import measure_all
from advisor.geometry.register import MEASURES, Measure, Place, measure_named, places
from advisor.sheet.setup import Setup
from tests.make_setup import example_setup, known
from tests.strategies import setups

# Words and switches, no numbers: they carry no ± and always have a value.
_SWITCHES = {"side", "outward", "slots", "disc_flipped", "style"}


def _number_paths() -> Iterator[str]:
    s = Setup()
    for part in fields(Setup):
        held = getattr(s, part.name)
        if not is_dataclass(held):
            yield part.name
            continue
        for field in fields(held):
            if field.name not in _SWITCHES:
                yield f"{part.name}.{field.name}"


PATHS = tuple(_number_paths())


class _Part:
    """A part of a set-up that writes down which of its fields are read."""

    def __init__(self, name: str, part: Any, read: set[str]) -> None:
        self._name, self._part, self._read = name, part, read

    def __getattr__(self, field: str) -> Any:
        if field not in _SWITCHES:
            self._read.add(f"{self._name}.{field}")
        return getattr(self._part, field)


class _Recorder:
    """A set-up that writes down which of its numbers are read."""

    def __init__(self, s: Setup) -> None:
        self.read: set[str] = set()
        self._s = s
        self._parts = {
            f.name: _Part(f.name, getattr(s, f.name), self.read)
            for f in fields(Setup)
            if is_dataclass(getattr(s, f.name))
        }

    def __getattr__(self, name: str) -> Any:
        if name in self._parts:
            return self._parts[name]
        self.read.add(name)
        return getattr(self._s, name)

    def foot(self, side: str) -> Any:
        return self._parts[side]


def _reads(measure: Measure, place: Place, s: Setup) -> set[str]:
    recorder = _Recorder(s)
    measure.at(recorder, place)  # type: ignore[arg-type]
    return recorder.read


def _declared(measure: Measure, place: Place) -> set[str]:
    return {*measure.paths(place), *measure.paths(place, optional=True)}


@given(setups())
def test_every_number_that_a_value_hangs_on_is_declared(s: Setup) -> None:
    """A number may be read along the way without counting (a boot tip knows its height, an overhang needs none)."""
    for measure in MEASURES.values():
        for place in places(measure):
            value = measure.at(s, place)
            for path in _reads(measure, place, s) - _declared(measure, place):
                without = s.copy()
                without.put(path, nan)
                assert measure.at(without, place) == value, (measure.id, str(place), path)


def _ways_to_fill_a_sheet() -> Iterator[Setup]:
    for slots in ("across", "along"):
        for radius, waist_at in ((8000.0, nan), (nan, nan), (nan, 5.0)):
            for tilt in (nan, 40.0):
                s = example_setup()
                s.front.slots = s.back.slots = slots
                s.board.sidecut_radius_mm, s.board.waist_place_mm, s.rider.tilt_deg = radius, waist_at, tilt
                s.bindings.heelcup_reach_mm, s.bindings.heelcup_height_mm = 10, 30
                s.bindings.highback_reach_mm, s.bindings.highback_height_mm = 20, 90
                s.front.riser_mm, s.back.cant_deg, s.front.cant_deg, s.boots.lean_deg = 1, 2, 1, 5
                yield s


def test_every_declared_input_is_read_in_some_set_up() -> None:
    read: dict[tuple[str, Place], set[str]] = defaultdict(set)
    for s in _ways_to_fill_a_sheet():
        for measure in MEASURES.values():
            for place in places(measure):
                read[measure.id, place] |= _reads(measure, place, s)
    idle = {
        (measure.id, str(place)): unread
        for measure in MEASURES.values()
        for place in places(measure)
        if (unread := _declared(measure, place) - read[measure.id, place])
    }
    assert idle == {}


def test_inputs_are_declared_once_and_are_numbers_of_the_set_up() -> None:
    for measure in MEASURES.values():
        for place in places(measure):
            declared = [*measure.paths(place), *measure.paths(place, optional=True)]
            assert len(declared) == len(set(declared)), measure.id
            assert set(declared) <= set(PATHS), measure.id


# Snow and slope are 0 unless told, never unknown.
@given(setups(), st.sets(st.sampled_from([p for p in PATHS if not p.startswith("ride.")]), min_size=1, max_size=60))
def test_what_is_not_known_gives_no_number_but_a_name_of_what_is_missing(s: Setup, gaps: set[str]) -> None:
    for path in gaps:
        s.put(path, nan)
    for taken in measure_all(known(s)).values():
        missing = gaps & set(taken.measure.paths(taken.place))
        if missing:
            assert isnan(taken.value)
            assert len(taken.needs) >= len(missing)
            assert taken.formula == ""
            assert taken.plus_minus == 0
        elif not taken.needs:
            assert not isnan(taken.value), taken.key
            assert taken.formula
        else:
            assert isnan(taken.value)


def test_an_empty_sheet_gives_needs_for_every_measure_and_no_fault() -> None:
    for taken in measure_all(known(Setup())).values():
        assert isnan(taken.value)
        assert taken.needs, taken.key


@pytest.mark.parametrize("path", [path for path in PATHS if not path.startswith("practice.")])
def test_a_single_gap_is_named_by_its_sheet_field(path: str) -> None:
    s = example_setup()
    s.put(path, nan)
    k = known(s)
    for taken in measure_all(k).values():
        if path in taken.measure.paths(taken.place):
            assert taken.needs == (k.sheet_path(path),)


def test_a_name_that_is_no_measure_gets_the_nearest_ones() -> None:
    from advisor.errors import UnknownName

    with pytest.raises(UnknownName, match="toe_overhang_mm"):
        measure_named("toe_overhang")
