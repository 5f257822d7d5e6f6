"""The shop's outcomes in the order of causes: the mean of a Beta posterior, and off where there is no log."""

from __future__ import annotations

from pathlib import Path

import pytest
from scipy.integrate import quad

from advisor.dialogue.case import Case
from advisor.dialogue.walk import walk
from advisor.graph.knowledge import load_knowledge
from advisor.graph.odds import ShopKnowledge, load_prior_cases, shop_odds
from advisor.sheet.reading import read_sheet
from tests.conftest import ROOT

_SHEET = ROOT / "transcripts_demo" / "larchfall_heel.yaml"


@pytest.mark.parametrize(("odds", "better", "tried", "prior"), [(0.29, 9, 12, 12), (0.1, 0, 5, 4), (0.5, 3, 3, 2)])
def test_the_odds_are_the_mean_of_the_posterior_by_bayes_rule(
    odds: float, better: int, tried: int, prior: float
) -> None:
    # Bayes' rule worked out by numerical integration: prior density times Bernoulli likelihood.
    def weight(p: float) -> float:
        a, b = prior * odds + better, prior * (1 - odds) + tried - better
        return p ** (a - 1) * (1 - p) ** (b - 1)

    mean = quad(lambda p: p * weight(p), 0, 1)[0] / quad(weight, 0, 1)[0]
    assert shop_odds(odds, better, tried, prior) == pytest.approx(mean, abs=1e-6)


def test_without_outcomes_the_knowledge_is_as_written() -> None:
    knowledge = load_knowledge()
    assert ShopKnowledge(knowledge, {}).entry("heel_washout") is knowledge.entry("heel_washout")
    other = {"no_such_entry": {"x": (1, 1)}, "heel_washout": {"no_such_suspect": (5, 5)}}
    assert ShopKnowledge(knowledge, other).entry("heel_washout").suspects == knowledge.entry("heel_washout").suspects


def test_a_cause_whose_change_never_helps_here_gives_way_to_the_next() -> None:
    knowledge = load_knowledge()
    case = Case("heel_washout", read_sheet(Path(_SHEET)), {"binding_play": "no"})
    first = walk(knowledge, case).found
    assert first
    failing = ShopKnowledge(knowledge, {"heel_washout": {first.suspect.name: (0, 60)}})
    second = walk(failing, case).found
    assert second and second.suspect.start != first.suspect.start
    told = next(one for one in failing.entry("heel_washout").suspects if one.start == first.suspect.start)
    assert (told.better, told.tried) == (0, 60)
    assert told.odds == pytest.approx(load_prior_cases() * first.suspect.odds / (load_prior_cases() + 60))
    # Everything but the order and the odds of the suspects is as written.
    plain = knowledge.entry("heel_washout")
    assert failing.entry("heel_washout")._replace(suspects=plain.suspects) == plain
