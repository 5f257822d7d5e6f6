"""Each formula, worked by hand from its own text, gives the value beside it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

import pytest

from advisor.geometry.measuring import Measured, measure_all
from advisor.geometry.register import MEASURES, places
from advisor.geometry.workings import number
from advisor.sheet.setup import Setup
from tests.make_setup import example_setup, known, source_ids
from tests.strategies import STYLES

_HANDS = {
    "sqrt": math.sqrt, "hypot": math.hypot, "min": min, "max": max,
    "atan": lambda x: math.degrees(math.atan(x)), "asin": lambda x: math.degrees(math.asin(x)),
    "acos": lambda x: math.degrees(math.acos(x)), "sin": lambda x: math.sin(math.radians(x)),
    "cos": lambda x: math.cos(math.radians(x)), "abs": abs,
}  # fmt: skip
# Texts that tell in words which numbers go in, but are too long to be worked on one line.
_IN_WORDS = {
    "knee_offset_mm", "stance_width_goal_mm", "min_waist_mm", "max_waist_mm", "toe_lever_mm", "heel_lever_mm",
    "ramp_to_edge_mm", "sidecut_radius_m",
}  # fmt: skip


def _worked(text: str) -> float:
    """Work the last sum of a formula's text as a person would: signs and squares as written, angles in degrees."""
    last = text.split(", boot")[0].split(", start")[0].split(", baseplate")[0].split(", hip joint")[0]
    last = last.rsplit(" = ", 1)[1]
    last = re.sub(r"([\w)])\s+x\s+", r"\1 * ", last)
    last = last.replace("²", "**2").replace(" cos ", " * cos ")
    last = re.sub(r"cos (-?[\d.]+)", r"cos(\1)", last.replace("* * cos", "* cos"))
    last = re.sub(r"(\d) (\(|sqrt)", r"\1 * \2", last)
    last = re.sub(r"\|([^|]*)\|", r"abs(\1)", last)
    return float(eval(last, {"__builtins__": {}}, _HANDS))


def _cases() -> Iterator[tuple[str, Setup]]:
    yield "as it stands", example_setup()
    s = example_setup("carving")
    s.front.angle_deg, s.back.angle_deg, s.back.row, s.front.slot_mm = 24, -9, 1, 3
    s.front.heelcup, s.back.seat_mm, s.front.toe_ramp, s.back.riser_mm = -1, 2.5, 1, 1
    s.front.highback_turn_deg, s.rider.speed_kmh, s.back.disc_flipped = 6, 22, True
    s.ride.slope_deg = 8
    yield "another", s


def _close(taken: Measured, by_hand: float) -> bool:
    """One decimal in the text: angles and speeds from short overhangs are the coarsest."""
    share = {"deg": 0.01, "km/h": 0.01, "1": 0.01, "N": 0.03}.get(taken.measure.unit, 0.002)
    return abs(by_hand - taken.value) <= 0.25 + share * abs(taken.value)


@pytest.mark.parametrize(("name", "s"), list(_cases()), ids=lambda x: x if isinstance(x, str) else "")
def test_formula_worked_by_hand_gives_the_value(name: str, s: Setup) -> None:
    for key, taken in measure_all(known(s)).items():
        if taken.measure.id in _IN_WORDS or "never" in taken.formula:
            continue
        if " = " not in taken.formula:
            assert "min(" in taken.formula or taken.measure.id == "needed_tilt_deg", key
            continue
        assert _close(taken, _worked(taken.formula)), (key, taken.value, taken.formula)


def test_contact_with_sink_is_worked_from_the_numbers_named() -> None:
    s = example_setup()
    s.ride.edge_sink_mm = 6
    taken = measure_all(known(s))["heel_contact_deg.back"]
    z, d, p = (float(re.search(rf"\b{name} = ([\d.]+)", taken.formula)[1]) for name in "zdp")  # type: ignore[index]
    by_hand = math.degrees(math.acos(p / math.hypot(z, d)) - math.atan(d / z))
    assert taken.value == pytest.approx(by_hand, abs=0.15)


@pytest.mark.parametrize("style", STYLES)
def test_every_formula_holds_numbers_and_every_measure_its_source(style: str) -> None:
    for key, taken in measure_all(known(example_setup(style))).items():
        assert re.search(r"\d", taken.formula), key
        assert "nan" not in taken.formula, key
        assert "?" not in taken.formula, key
        assert taken.measure.words
        assert taken.measure.source in source_ids(), key


def test_the_widths_behind_a_sidecut_are_named() -> None:
    s = example_setup()
    s.board.sidecut_radius_mm = math.nan
    taken = measure_all(known(s))["sidecut_radius_m"]
    for width in ("298", "296", "254", "1160"):
        assert width in taken.formula


def test_register_names_end_in_their_unit_and_places_are_named_once() -> None:
    ending = {"mm": "_mm", "deg": "_deg", "km/h": "_kmh", "N": "_n", "m": "_m", "turns": "_turns", "teeth": "_teeth"}
    for name, measure in MEASURES.items():
        assert name == measure.id
        assert name.endswith(ending.get(measure.unit, "")), name
        assert len(set(places(measure))) == len(places(measure))


def test_numbers_are_written_for_people() -> None:
    assert [number(x) for x in (12.50, -0.04, 3.0, math.nan, -2.25)] == ["12.5", "0", "3", "?", "-2.2"]
