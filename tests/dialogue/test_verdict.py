"""Every answer says in one word what kind it is, by the outside face's own list."""

from __future__ import annotations

from advisor.cli.as_json import answer_json
from advisor.dialogue.answer import answer_case
from advisor.dialogue.case import Case
from advisor.graph.knowledge import load_knowledge
from advisor.graph.nodes import VERDICTS
from advisor.sheet.sheet import Sheet
from tests.small_world import ask, entry, knowledge

PROMISED = (
    "adjust partial leave look_first measure_first handle tuning fitter coach other_board other_part not_ridden "
    "clinician emergency"
)
"""The outside face's list, which other programs read."""


def test_the_list_is_the_one_that_is_promised() -> None:
    assert list(VERDICTS) == PROMISED.split()


def test_every_referral_of_the_knowledge_has_one_of_them() -> None:
    known = load_knowledge()
    assert {known.referral(name).verdict for name in known.compiled["referrals"]} <= set(VERDICTS)


def test_a_question_left_open_says_measure_first() -> None:
    world = knowledge(
        {
            "slides": entry(
                {"a": ask("snow", {"hard": "b", "soft": "c"}), "b": {"refer": "tuner"}, "c": {"refer": "nobody_knows"}},
                ("a", 1.0),
            )
        }
    )
    told = answer_json(answer_case(world, Case("slides", Sheet("", {}))))
    assert (told["outcome"], told["verdict"]) == ("needs", "measure_first")


def test_a_referral_says_its_own() -> None:
    world = knowledge({"slides": entry({"a": {"refer": "tuner"}}, ("a", 1.0))})
    assert answer_json(answer_case(world, Case("slides", Sheet("", {}))))["verdict"] == "tuning"
