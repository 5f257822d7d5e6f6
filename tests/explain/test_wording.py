"""Numbers, units and knowledge texts in words."""

from __future__ import annotations

from math import inf, nan

import pytest

from advisor.explain.filling import fill
from advisor.explain.reasoning import minutes_words
from advisor.explain.wording import in_units, interval_words, quantity, signed, told_words
from advisor.geometry.measuring import measure_all
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import read_sheet
from advisor.sheet.resolve import resolve
from tests.conftest import ROOT

KNOWN = resolve(read_sheet(ROOT / "transcripts_demo" / "larchfall_heel.yaml"), load_practice())


@pytest.mark.parametrize(
    ("text", "imperial"),
    [
        ("slide it 25.4 mm", "slide it 1 in"),
        ("-4 to 4 mm", "-0.16 in to 0.16 in"),
        ("0 to 20 mm", "0 in to 0.79 in"),
        ("15 deg and more", "15° and more"),
        ("no numbers, 3 notches", "no numbers, 3 notches"),
        ("a 5 mmX bolt", "a 5 mmX bolt"),
    ],
)
def test_millimetres_turn_to_inches_at_25_4_to_the_inch(text: str, imperial: str) -> None:
    assert in_units(text, "imperial") == imperial


def test_metric_texts_keep_their_millimetres() -> None:
    assert in_units("-4 to 4 mm", "metric") == "-4 to 4 mm"


def test_a_missing_number_is_said_to_be_missing() -> None:
    assert quantity(nan, "mm") == "not known"


def test_a_change_has_its_sign() -> None:
    assert (signed(4, "mm"), signed(-2.5, "deg"), signed(0, "mm")) == ("+4 mm", "-2.5°", "+0 mm")


def test_open_intervals_have_words() -> None:
    assert interval_words(-inf, 0, "deg") == "below 0°"
    assert interval_words(5, inf, "deg") == "5° and more"
    assert interval_words(-4, 4, "mm") == "-4 mm to 4 mm"
    assert interval_words(-inf, inf, "mm") == "any value"


def test_a_text_gets_the_numbers_of_the_core_at_the_foot_at_hand() -> None:
    measures = measure_all(KNOWN)
    back, front = measures["heel_overhang_mm.back"].value, measures["heel_overhang_mm.front"].value
    told = fill("{heel_overhang_mm} and {heel_overhang_mm.front} on the {foot} foot", KNOWN, ("back",))
    assert told == f"{back:.0f} mm and {front:.0f} mm on the back foot"


def test_a_text_in_imperial_has_no_millimetres_left() -> None:
    told = fill("{heel_overhang_mm} out, 5 mm to spare, -4 to 4 mm is good", KNOWN, ("back",), "imperial")
    assert "mm" not in told
    assert told.count(" in") == 4


def test_lines_of_a_text_flow_together_and_paragraphs_stay() -> None:
    assert fill("one\ntwo\n\nthree\n", KNOWN) == "one two\n\nthree"


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("mount.front.angle_deg", 15.0, "front angle 15°"),
        ("boots.outsole_length_mm", 302.0, "outsole length 302 mm"),
        ("rider.leading_foot", "right", "leading foot right"),
        ("rider.style", "all_mountain", "style all mountain"),
        ("snow", "hard", "snow hard"),
        ("rider.turnout_deg.left", 8, "turnout left 8°"),
    ],
)
def test_a_told_fact_is_named_in_words(key: str, value: object, words: str) -> None:
    assert told_words(key, value) == words


def test_bench_time_in_words() -> None:
    assert [minutes_words(m) for m in (0.2, 1, 2.5)] == ["12 seconds", "1 minute", "2.5 minutes"]
