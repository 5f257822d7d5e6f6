"""Words, spelling, sides, clauses and denials."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from advisor.match import load_matcher
from advisor.match.reading import Reading
from advisor.match.spelling import Speller, distance
from advisor.match.text import MAX_CHARACTERS, clean, stem, tokens


def reading(text: str) -> Reading:
    return load_matcher().read(text)


def forms(text: str) -> list[str]:
    return [word.form for word in reading(text).words]


def test_control_characters_never_survive_cleaning() -> None:
    assert clean("heel\x1b[2J\x07 edge\u202e\x9b") == "heel[2J edge"


@given(st.text(max_size=300))
def test_cleaned_text_is_printable_and_its_tokens_point_into_it(text: str) -> None:
    cleaned = clean(text)
    assert cleaned.isprintable()
    assert len(cleaned) <= 20 * MAX_CHARACTERS
    for token in tokens(cleaned):
        assert 0 <= token.start < token.end <= len(cleaned)


def test_inflected_forms_of_a_word_share_one_stem() -> None:
    assert len({stem(word) for word in ("chatter", "chatters", "chattered", "chattering")}) == 1
    assert len({stem(word) for word in ("slip", "slips", "slipped", "slipping")}) == 1
    assert stem("knees") == stem("knee")


def test_an_adjacent_swap_is_one_edit() -> None:
    """Optimal string alignment: a swap of neighbours is one edit (definition)."""
    assert distance("hele", "heel", 2) == 1
    assert distance("binding", "bnidign", 3) == 2


@given(st.text("abc", max_size=6), st.text("abc", max_size=6))
def test_the_distance_is_symmetric_and_zero_only_for_equal_words(one: str, two: str) -> None:
    assert distance(one, two, 9) == distance(two, one, 9)
    assert (distance(one, two, 9) == 0) == (one == two)


def test_known_words_stay_and_unknown_ones_become_the_nearest_own_word() -> None:
    speller = Speller({"binding": 0, "highback": 1}, {"winding"}.__contains__)
    assert speller.correct("winding") == "winding"
    assert speller.correct("bindng") == "binding"
    assert speller.correct("hihgbcak") == "highback"
    assert speller.correct("zzzzzz") == "zzzzzz"


def test_shorthand_is_written_out() -> None:
    assert forms("FS fine, BS not") == ["toeside", "fine", "heelside", "not"]
    assert forms("HS and TS") == ["heelside", "and", "toeside"]


def test_left_and_right_become_front_and_back_once_the_stance_is_told() -> None:
    assert "frontknee" in forms("my left knee hurts, I ride regular")
    assert "backknee" in forms("my right knee hurts, I ride regular")
    assert "frontknee" in forms("goofy, and my right knee hurts")
    assert "backknee" in forms("I ride with my right foot in front and the left knee aches")


def test_left_and_right_stay_where_the_stance_is_not_told() -> None:
    assert "left" in forms("my left knee hurts")
    assert "left" in forms("regular or goofy, my left knee hurts")


def test_right_as_in_correct_is_no_side() -> None:
    assert "right" in forms("I ride regular and something is not right")


def test_a_clause_that_says_all_is_well_is_set_apart() -> None:
    well = [clause.reassured for clause in reading("toe side is fine, it's the heel side that slides").clauses]
    assert well == [True, False]


def test_a_denied_fault_is_dropped_but_a_denied_virtue_is_the_complaint() -> None:
    fault = {word.form: word.dropped for word in reading("it isn't chattering, the edge slides away").words}
    assert fault["chattering"] and not fault["slides"]
    virtue = {word.form: word.dropped for word in reading("the edge won't hold").words}
    assert not virtue["hold"]


def test_questions_are_noticed() -> None:
    assert reading("how wide should I stand?").question_cues
    assert not reading("my heel edge slides").question_cues
