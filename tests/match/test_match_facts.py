"""Facts told in a sentence.

Conversions: inch 2.54 cm, pound 0.45359237 kg, stone 14 lb, mile 1.609344 km (definitions).
"""

from __future__ import annotations

import pytest

from advisor.match import load_matcher


def facts(text: str) -> dict[str, object]:
    return {told.key: told.value for told in load_matcher().match(text).facts}


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("I'm 178 cm tall", "rider.height_cm", 178),
        ("I'm 1.78 m and the nose sinks", "rider.height_cm", 178),
        ("one metre seventy-eight", "rider.height_cm", 178),
        ("5'10 and my knee hurts", "rider.height_cm", 178),
        ("six feet tall", "rider.height_cm", 183),
        ("I weigh 165 lbs", "rider.weight_kg", 74.8),
        ("twelve stone six", "rider.weight_kg", 78.9),
        ("eighty kilos", "rider.weight_kg", 80),
        ("above 30 mph it shakes", "rider.speed_kmh", 48.3),
        ("at 45 km/h it shakes", "rider.speed_kmh", 45),
        ("inside leg 80", "rider.inseam_cm", 80),
        ("waist width is 25.4 cm", "board.waist_width_mm", 254),
        ("it's a 158W board", "board.length_cm", 158),
        ("the outsole is 302 mm", "boots.outsole_length_mm", 302),
        ("boots are size 42", "boots.size", "EU 42"),
        ("US 10.5 boots", "boots.size", "US 10.5"),
        ("women's US 8", "boots.size", "US W 8"),
        ("mondo 275", "boots.size", "mondo 27.5"),
        ("I ride goofy", "rider.leading_foot", "right"),
        ("I'm a beginner", "rider.style", "first_season"),
        ("slides on ice", "snow", "ice"),
        ("in deep powder the nose sinks", "snow", "powder"),
        ("my heel edge slides", "side", "heel"),
        ("my left knee hurts, I ride regular", "foot", "front"),
    ],
)
def test_a_fact_is_heard(text: str, key: str, value: object) -> None:
    assert facts(text)[key] == value


@pytest.mark.parametrize(
    ("text", "front", "back"),
    [
        ("I ride +15/-6", 15, -6),
        ("bindings at 18 front and -9 back", 18, -9),
        ("back foot is at zero, front at fifteen", 15, 0),
        ("duck stance, 12 and 12", 12, -12),
        ("plus 15 minus 15 and it hurts", 15, -15),
        ("my stance is 18/6", 18, 6),
    ],
)
def test_angles_are_heard_with_their_signs(text: str, front: int, back: int) -> None:
    heard = facts(text)
    assert (heard["mount.front.angle_deg"], heard["mount.back.angle_deg"]) == (front, back)


@pytest.mark.parametrize(
    "text",
    [
        "should I ride 15/-15?",
        "my mate rides 27/9",
        "what does +15/-6 mean",
        "regular or goofy?",
        "I fell 3 times on 2 runs",
    ],
)
def test_what_is_asked_or_told_of_others_is_no_fact(text: str) -> None:
    assert facts(text) == {}


def test_a_fact_keeps_its_words_as_typed() -> None:
    told = {fact.key: fact.words for fact in load_matcher().match("I'm 178 CM tall, Goofy").facts}
    assert told == {"rider.height_cm": "178 CM tall", "rider.leading_foot": "Goofy"}


def test_a_side_said_to_be_fine_is_not_the_side_of_the_complaint() -> None:
    assert facts("the toe edge is fine, the heel edge slides")["side"] == "heel"


@pytest.mark.parametrize(
    ("text", "snow"),
    [
        ("it isn't icy, it's slush and it slides", "soft"),
        ("no ice about, and it chatters anyway", None),
        ("not on ice, on hardpack it chatters", "hard"),
        ("the edge won't hold on ice", "ice"),
    ],
)
def test_snow_that_is_denied_is_no_fact(text: str, snow: str | None) -> None:
    assert facts(text).get("snow") == snow


def test_of_a_setting_that_was_moved_the_new_one_is_told() -> None:
    assert facts("put the front from 15 to 18 last week")["mount.front.angle_deg"] == 18


def test_what_a_slip_says_is_told_and_what_a_friend_rides_is_not() -> None:
    assert facts("hire card says +12 / -12, regular")["mount.back.angle_deg"] == -12
    told = facts("my mate rides 18/-18 but I'm on 9/0")
    assert (told["mount.front.angle_deg"], told["mount.back.angle_deg"]) == (9, 0)


def test_never_having_ridden_one_thing_makes_no_beginner() -> None:
    assert facts("I've never ridden switch and it feels odd").get("rider.style") is None
