"""The shipped matcher: what it must always do, whatever the phrases."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import KnowledgeError
from advisor.match import Matching, load_matcher
from advisor.match.clarify import clarify, help_text
from advisor.match.matcher import OUT_OF_SCOPE
from advisor.match.model_file import Rows, fingerprint, load, write
from advisor.workshop.matcher.model_check import model_is_stale

ROOT = Path(__file__).resolve().parents[2]


def match(text: str) -> Matching:
    return load_matcher().match(text)


def test_the_shipped_model_is_built_from_the_phrases_as_they_stand() -> None:
    assert not model_is_stale(), "python -m advisor.workshop.matcher.train"


@given(st.text(max_size=200))
@settings(max_examples=40, deadline=None)
def test_any_text_gives_ranked_probabilities(text: str) -> None:
    found = match(text)
    scores = [one.score for one in found.matches]
    assert len(scores) >= 5
    assert scores == sorted(scores, reverse=True)
    assert all(0 <= score <= 1 for score in scores) and sum(scores) <= 1.001
    assert OUT_OF_SCOPE not in [one.id for one in found.matches]
    assert not (found.sure and not found.understood)


@pytest.mark.parametrize("text", ["", "   ", "\x1b\x07", "???", "\u043c\u043e\u0439", "12 34"])
def test_a_text_without_words_of_ours_is_not_understood(text: str) -> None:
    found = match(text)
    assert not found.understood and not found.sure


def test_the_same_text_gives_the_same_answer() -> None:
    assert match("my toes go numb") == match("my toes go numb")


def test_words_that_carried_a_match_stand_in_the_text() -> None:
    text = "The HEEL edge lets go on ice"
    words = match(text).matches[0].words
    assert words and all(word in text for word in words)


@pytest.mark.parametrize(
    ("text", "entry"),
    [
        ("toe side is fine, it's the heel side that slides", "heel_washout"),
        ("heel side is fine, it's the toe side that slides", "toe_washout"),
        ("my left knee hurts when riding, I ride regular", "sore_front_knee"),
        ("my left knee hurts when riding, I ride goofy", "sore_back_knee"),
        ("how wide should my stance be?", "ask_stance_width"),
        ("my stance feels too wide", "feels_stretched"),
        ("FS chatter on ice", "edge_chatter"),
        ("my tows go numm", "numb_toes"),
    ],
)
def test_plain_cases_named_in_the_catalogue_are_found(text: str, entry: str) -> None:
    assert match(text).matches[0].id == entry


def test_two_complaints_are_both_heard() -> None:
    found = match("my toes go numb and also the nose sinks in powder")
    assert found.second is not None
    assert {found.matches[0].id, found.second.id} == {"numb_toes", "nose_dives"}


@pytest.mark.parametrize("text", ["my toes go numb", "the stance feels too wide", "the stance feels too narrow"])
def test_one_complaint_has_no_second(text: str) -> None:
    assert match(text).second is None


def test_a_vague_text_is_answered_by_a_question_between_entries() -> None:
    matcher = load_matcher()
    found = match("my knee hurts")
    question = clarify(found, matcher)
    assert found.understood and not found.sure and question is not None
    assert 2 <= len(question.choices) <= 3
    assert question.question.endswith("?")
    assert all(choice.meaning in question.question for choice in question.choices)


def test_a_sure_match_and_a_foreign_text_get_no_such_question() -> None:
    matcher = load_matcher()
    assert clarify(match("the nose sinks in powder"), matcher) is None
    assert clarify(match("where can I buy a lift pass"), matcher) is None
    assert "edge" in help_text(matcher)


@pytest.mark.parametrize(
    "text",
    [
        "my skis chatter on ice",
        "my car pulls to the left when I brake",
        "my fingers go numb in these gloves",
        "how much is a pair of bindings",
        "my goggles slip off the helmet",
    ],
)
def test_our_words_about_other_things_are_none_of_ours(text: str) -> None:
    assert not match(text).understood


@pytest.mark.parametrize("text", ["on the flat it pulls like a shopping trolley", "it's slow to turn, like a lorry"])
def test_a_thing_only_likened_to_does_not_make_it_foreign(text: str) -> None:
    assert match(text).understood


def test_scores_of_an_understood_text_are_shares_of_what_is_ours() -> None:
    scores = [one.score for one in match("my knee hurts").matches]
    assert sum(scores) == pytest.approx(1, abs=0.05)


def test_every_class_has_a_meaning_of_its_own() -> None:
    matcher = load_matcher()
    meanings = matcher.meanings["meanings"]
    entries = set(matcher.classes) - {OUT_OF_SCOPE}
    assert entries == set(meanings)
    assert len(set(meanings.values())) == len(meanings)


def test_the_run_time_loads_no_training_library() -> None:
    code = (
        "import sys; from advisor.match import load_matcher; load_matcher().match('my heel edge lets go');"
        "print([m for m in ('numpy', 'scipy', 'yaml', 'pydantic', 'rich') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"


def test_rows_add_up_as_written(tmp_path: Path) -> None:
    """Weights are bytes about 128 times a multiplier: 2*(130-128) + 3*(126-128) = -2, by hand."""
    rows = {"one": [130, 128, 127, 128, 255, 2, 10], "two": [126, 128, 128, 129, 0, 3, 20]}
    write({"classes": ["a", "b", "c", "d", "e"]}, rows, tmp_path / "m.bin")
    header, read = load(tmp_path / "m.bin")
    assert header["rows"] == 2
    sums, shares = read.total([read.find("one"), read.find("two")])
    assert sums == [-2, 0, -2, 3, 2 * 127 - 3 * 128]
    assert shares == 30
    assert read.find("three") == -1
    assert read.weight(read.find("two"), 0) == -6


@given(st.lists(st.lists(st.integers(0, 255), min_size=9, max_size=9), min_size=1, max_size=8))
def test_lanes_agree_with_plain_sums(rows: list[list[int]]) -> None:
    table = Rows(7, b"\0" * 4 * len(rows), b"".join(map(bytes, rows)))
    sums, shares = table.total(range(len(rows)))
    assert sums == [sum((row[c] - 128) * row[7] for row in rows) for c in range(7)]
    assert shares == sum(row[8] for row in rows)


def test_a_missing_or_foreign_model_file_says_what_to_do(tmp_path: Path) -> None:
    for content in (None, b"nonsense"):
        file = tmp_path / "model.bin"
        if content is not None:
            file.write_bytes(content)
        with pytest.raises(KnowledgeError, match=r"model\.bin.*python -m advisor\.workshop\.matcher\.train"):
            load(file)


def test_fingerprints_are_crc_32() -> None:
    """Check value of CRC-32 (IEEE 802.3) for "123456789", from memory: CBF43926."""
    assert fingerprint("123456789") == 0xCBF43926


@pytest.mark.parametrize(
    "text",
    [
        "my heels slide, stance is 56 cm, angles 15 and 0",
        "I'm 5'10\", EU 43 boots, goofy, my left knee hurts after a day, board is 25 cm wide",
    ],
)
def test_a_number_told_in_passing_is_no_second_complaint(text: str) -> None:
    assert load_matcher().match(text).second is None


def test_a_question_with_a_number_may_be_one() -> None:
    found = load_matcher().match("my toes drag and how wide should the board be for size 45 boots?")
    assert found.second is not None
    assert {found.matches[0].id, found.second.id} == {"toe_drag", "ask_board_width"}
