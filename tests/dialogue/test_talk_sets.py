"""How much of a real talk is heard: sets written by another hand, half of them never looked at while tuning.

The floors lie a little under what was measured when the sets came in; `tests/bench/bench_talk.py` prints the figures.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.bench_talk import Talking, score, score_grid

SETS = Path(__file__).parents[1] / "talk_sets"
AT_LEAST = {
    "development_answers": {"read right": 0.95},
    "development_facts": {"recall": 0.95, "precision": 0.985},
    "development_switches": {"read right": 0.80},
    "development_meta": {"read right": 0.93},
    "development_languages": {"read right": 0.87},
    "development_dialogues": {
        "same outcome as with clean answers, with a sheet": 0.93,
        "same outcome as with clean answers, without a sheet": 0.90,
    },
    "held_answers": {"read right": 0.80},
    "held_facts": {"recall": 0.73, "precision": 0.87},
    "held_switches": {"read right": 0.72},
    "held_meta": {"read right": 0.49},
    "held_languages": {"read right": 0.74},
    "held_dialogues": {
        "same outcome as with clean answers, with a sheet": 0.88,
        "same outcome as with clean answers, without a sheet": 0.93,
    },
}
AT_MOST = {
    "development_answers": {"taken for another complaint": 0.015, "misread": 0.015},
    "development_facts": {"wrong field taken": 0.0},
    "held_answers": {"taken for another complaint": 0.02, "misread": 0.065},
    "held_facts": {"wrong field taken": 0.0},
    "held_switches": {"taken for another complaint": 0.03},
}


@pytest.mark.slow
@pytest.mark.parametrize("name", AT_LEAST)
def test_no_less_of_a_talk_is_heard_than_before(name: str) -> None:
    counts = score(SETS / f"{name}.jsonl")[0].counts
    for what, least in AT_LEAST[name].items():
        right, of = counts[what]
        assert right / of >= least, f"{what}: {right}/{of}"
    for what, most in AT_MOST.get(name, {}).items():
        wrong, of = counts[what]
        assert wrong / of <= most, f"{what}: {wrong}/{of}"


@pytest.mark.slow
def test_no_notation_of_angles_beside_a_complaint_is_taken_wrongly() -> None:
    counts = score_grid(Talking(False)).counts
    assert counts["wrong number taken"][0] == 0
    assert counts["both angles right"][0] == counts["both angles right"][1]


@pytest.mark.slow
@pytest.mark.parametrize(
    "name",
    [
        "development_dialogues",
        pytest.param(
            "held_dialogues",
            marks=pytest.mark.xfail(reason="a held talk differs once put away; the half is not looked at while tuning"),
        ),
    ],
)
def test_a_talk_put_away_and_taken_up_again_hears_as_much(name: str) -> None:
    file = SETS / f"{name}.jsonl"
    assert score(file, kept=True)[0].counts == score(file)[0].counts
