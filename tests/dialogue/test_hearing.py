"""What a typed answer means."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.dialogue.choosing import chosen_option, says_unsure
from advisor.dialogue.hearing import change_told, field_named
from advisor.errors import AdvisorError
from advisor.graph.knowledge import load_knowledge
from advisor.match.heard import hear
from tests.small_world import knowledge

FACTS = knowledge({}).facts


@pytest.mark.parametrize(
    ("fact", "said", "option"),
    [
        ("lifts", "it lifts", "yes"),
        ("lifts", "it doesn't lift", "no"),
        ("lifts", "no, it does not lift", "no"),
        ("lifts", "no, it lifts", None),
        ("lifts", "yes it lifts", "yes"),
        ("lifts", "stays", "no"),
        ("dull", "right at the tip it is dull", "yes"),
        ("dull", "the edge is never sharp", "yes"),
        ("dull", "dull? no, sharp", None),
        ("snow", "icy", "hard"),
        ("snow", "not icy", None),
        ("snow", "3", "powder"),
        ("snow", "4", None),
        ("snow", "0", None),
        ("snow", "hard and soft", None),
        ("snow", "yes", None),
        ("snow", "HARD OR ICY!", "hard"),
    ],
)
def test_an_answer_is_taken_only_where_it_says_one_thing(fact: str, said: str, option: str | None) -> None:
    assert chosen_option(FACTS[fact], said) == option


def test_on_is_a_word_of_an_answer() -> None:
    """In a dialect in which `on` is a truth value it was lost from the words that carry nothing."""
    assert chosen_option(load_knowledge().facts["turn_phase"], "as soon as it is on edge") == "first"


@pytest.mark.parametrize(
    "said", ["don't know", "Don’t know.", "dunno", "no idea!", "sorry, no idea", "I can't tell", "skip"]
)
def test_not_knowing_is_heard(said: str) -> None:
    assert says_unsure(hear(said))


@pytest.mark.parametrize("said", ["I know", "it passed", "skipping rope", "?", "yes", ""])
def test_other_words_are_not_taken_for_not_knowing(said: str) -> None:
    assert not says_unsure(hear(said))


@pytest.mark.parametrize(
    ("wish", "path", "value"),
    [
        ("back slot 3", "mount.back.slot_mm", 3),
        ("front angle = 18", "mount.front.angle_deg", 18),
        ("front angle=18", "mount.front.angle_deg", 18),
        ("Back Slot to -3 mm", "mount.back.slot_mm", -3),
        ("mount.back.row=1", "mount.back.row", 1),
        ("waist width 25.4 cm", "board.waist_width_mm", 254),
        ("height 5'10\"", "rider.height_cm", 177.8),
        ("outsole 11 7/8 in", "boots.outsole_length_mm", 301.625),
    ],
)
def test_a_wish_names_a_field_and_a_value(wish: str, path: str, value: float) -> None:
    named, taken = change_told(wish)
    assert named == path
    assert taken == pytest.approx(value)


@pytest.mark.parametrize(
    "wish", ["", "back", "angle 3", "colour red", "front angle", "back slot banana", "= 3", "slot = = 3"]
)
def test_a_wish_that_cannot_be_done_says_why(wish: str) -> None:
    with pytest.raises(AdvisorError) as error:
        change_told(wish)
    assert len(str(error.value)) > 20


def test_a_name_that_fits_two_fields_asks_which() -> None:
    with pytest.raises(AdvisorError, match=r"mount\.front\.angle_deg, mount\.back\.angle_deg; say which"):
        field_named("angle")


@given(st.text(max_size=60))
def test_no_text_is_taken_for_more_than_one_option_or_breaks_the_hearing(said: str) -> None:
    for fact in FACTS.values():
        if fact.kind == "choice":
            option = chosen_option(fact, said)
            assert option is None or option in fact.options
    try:
        change_told(said)
    except AdvisorError as error:
        assert str(error)
