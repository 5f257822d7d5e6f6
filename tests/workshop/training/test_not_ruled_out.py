"""Where facts show no cause, the likeliest that a "don't know" left open is named, with what it hangs on."""

from __future__ import annotations

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.explain.doubt import doubt_words
from advisor.graph.knowledge import load_knowledge
from advisor.workshop.random_riders import ordinary_sheet


def _walked(entry: str, told: dict[str, str | None]) -> Answer:
    """Answer what is asked from `told`; None, and what is not in it, is "don't know"."""
    knowledge = load_knowledge()
    case = Case(entry, ordinary_sheet())
    for _ in range(30):
        answer = answer_case(knowledge, case)
        question = answer.walk.question
        if question is None or answer.outcome != "needs":
            return answer
        fact = question.fact.id
        value = told.get(fact)
        case = case.with_unsure(fact) if value is None else case.with_answer(fact, value)
    raise AssertionError("it goes on asking")


_SOUND_EDGE = {
    "binding_play": "no",
    "tips_detuned": "yes",
    "edge_burr": "no",
    "base_shape": "flat",
    "catch_when": "turning",
}


def test_with_every_answer_honest_nothing_is_made_up() -> None:
    answer = _walked("catches_edge", dict(_SOUND_EDGE))
    assert answer.cause is None and answer.walk.doubted is None and doubt_words(answer) == ""


def test_the_one_suspect_that_nobody_could_rule_out_is_named_as_not_shown() -> None:
    answer = _walked("catches_edge", {**_SOUND_EDGE, "edge_burr": None})
    assert answer.cause is not None and answer.cause.id == "edge_burred"
    assert answer.walk.doubted is not None and answer.walk.doubted.id == "edge_burr"
    assert answer.line is not None and not answer.line.sure
    assert "Not shown" in doubt_words(answer) and answer.walk.doubted.question in doubt_words(answer)


def test_of_two_left_open_the_likelier_is_named() -> None:
    """Sharp tips have higher odds than a burr in the entry."""
    answer = _walked("catches_edge", {**_SOUND_EDGE, "edge_burr": None, "tips_detuned": None})
    assert answer.cause is not None and answer.cause.id == "tips_grab"


def test_a_shown_cause_beats_one_left_open() -> None:
    answer = _walked("catches_edge", {**_SOUND_EDGE, "tips_detuned": None, "base_shape": "edges_high"})
    assert answer.cause is not None and answer.cause.id == "base_edges_high"
    assert answer.walk.doubted is None


def test_signs_that_nobody_could_tell_send_to_a_clinician_before_nothing_is_said() -> None:
    told = {"snow": "hard", "leans_back": "no", "knee_drops": "no", "knee_signs": None}
    answer = _walked("sore_back_knee", told)
    assert answer.referral is not None and answer.referral.id == "clinician_knee"


def test_one_answer_that_stands_against_a_look_is_doubted() -> None:
    """The heel moves out of the cup by what is told; all looks there are sound, and the boot turns out too long."""
    told = {
        "heel_lift_place": "out_of_cup", "strap_seat": "bend", "straps_snug": "yes", "cup_play": "no",
        "laces_hold": "yes", "toes_touch": "loose",
    }  # fmt: skip
    answer = _walked("heel_lift", told)
    assert answer.cause is not None and answer.cause.id == "boot_too_long"
    assert answer.walk.doubted is not None and answer.walk.doubted.id == "heel_lift_place"
    assert "doubted" in doubt_words(answer)
