"""Units in and out. Factors: international inch 25.4 mm, pound 0.45359237 kg, mile 1.609344 km (exact definitions)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.sheet.units import (
    UnitError,
    format_height,
    format_length,
    format_quantity,
    parse_length_mm,
    parse_quantity,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("27.5 in", 698.5),
        ("5'10\"", 1778.0),
        ("5′ 10″", 1778.0),
        ("5 ft 10 in", 1778.0),
        ("6'", 1828.8),
        ("5'10 1/2\"", 1790.7),
        ("178 cm", 1780.0),
        ("1.78 m", 1780.0),
        ("10 5/8 in", 269.875),
        ("10 5 / 8 in", 269.875),
        ("5/8 in", 15.875),
        ('12"', 304.8),
        ("302", 302.0),
        ("-3 mm", -3.0),
        ("−3 mm", -3.0),
        (302, 302.0),
    ],
)
def test_a_length_is_understood_as_a_tech_writes_it(text: str | float, mm: float) -> None:
    assert parse_length_mm(text) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("168 lb", "kg", 76.20351816),
        ("60 mph", "km/h", 96.56064),
        ("10 m/s", "km/h", 36.0),
        ("15", "deg", 15.0),
        ("+15°", "deg", 15.0),
        ("15 deg", "deg", 15.0),
        ("-3 degrees", "deg", -3.0),
        ("4 Nm", "N·m", 4.0),
        ("35 in-lb", "N·m", 3.954469),
        ("3 ft-lb", "N·m", 4.067454),
        ("8 m", "m", 8.0),
        ("26.2 ft", "m", 7.98576),
        ("3", "", 3.0),
    ],
)
def test_every_quantity_comes_out_in_the_fields_own_unit(text: str, unit: str, value: float) -> None:
    assert parse_quantity(text, unit) == pytest.approx(value, rel=1e-7)


@pytest.mark.parametrize(
    ("text", "unit", "told"),
    [
        ("25,4 cm", "mm", "25.4"),
        ("254 kg", "mm", "mm, cm, m, in, ft"),
        ("wide", "mm", "a number in mm"),
        ("", "mm", "a number in mm"),
        ("5'10\"", "kg", "kg, g, lb"),
        ("3 teeth", "", "a plain number"),
        ("5/0 in", "mm", "divides by zero"),
        ("nan", "mm", "a number in mm"),
        ("1e5", "mm", "mm, cm"),
        ("9" * 41, "mm", "too long"),
    ],
)
def test_a_text_of_another_kind_is_refused_with_what_was_expected(text: str, unit: str, told: str) -> None:
    with pytest.raises(UnitError, match=r"expected|divides|too long") as caught:
        parse_quantity(text, unit)
    assert told in str(caught.value)


@given(st.floats(min_value=-2000, max_value=2000))
def test_a_length_written_in_inches_reads_back_within_its_hundredth(mm: float) -> None:
    assert parse_length_mm(format_length(mm, "imperial")) == pytest.approx(mm, abs=25.4 * 0.0051)


@given(st.floats(min_value=-2000, max_value=2000), st.sampled_from([2, 4, 8, 16, 32]))
def test_a_length_written_in_fractions_reads_back_within_half_a_fraction(mm: float, fraction: int) -> None:
    assert parse_length_mm(format_length(mm, "imperial", fraction=fraction)) == pytest.approx(
        mm, abs=25.4 / fraction / 2 + 1e-6
    )


@given(st.integers(min_value=900, max_value=2300))
def test_a_height_in_feet_reads_back_within_half_an_inch(mm: int) -> None:
    assert parse_length_mm(format_height(mm, "imperial")) == pytest.approx(mm, abs=12.7 + 1e-6)


def test_angles_stay_degrees_and_counts_stay_bare_in_imperial() -> None:
    assert format_quantity(-3, "deg", "imperial") == "-3°"
    assert format_quantity(8, "", "imperial") == "8"
    assert format_quantity(76, "kg", "imperial") == "167.6 lb"
    assert format_quantity(0.04, "mm") == "0 mm"
    assert format_quantity(-0.04, "mm") == "0 mm"
