"""The drawn bodies keep the published figures of ANSUR II: means, spreads and correlations."""

from __future__ import annotations

from math import sqrt
from random import Random

import pytest

from advisor.workshop.training.population import draw_body, load_figures

_MANY = 4000


def _bodies(sex: str) -> list[dict[str, float]]:
    random = Random(11)
    return [draw_body(random, sex, 3.0) for _ in range(_MANY)]


def _mean_sd(values: list[float]) -> tuple[float, float]:
    mean = sum(values) / len(values)
    return mean, sqrt(sum((value - mean) ** 2 for value in values) / (len(values) - 1))


@pytest.mark.parametrize(("sex", "height", "foot"), [("male", 1756.2, 271.2), ("female", 1628.5, 246.3)])
def test_drawn_bodies_have_the_published_means(sex: str, height: float, foot: float) -> None:
    """Means from the report's public data, computed outside the project: stature and foot length in mm."""
    bodies = _bodies(sex)
    assert _mean_sd([one["stature_mm"] for one in bodies])[0] == pytest.approx(height, abs=4)
    assert _mean_sd([one["footlength_mm"] for one in bodies])[0] == pytest.approx(foot, abs=1)


def test_no_figure_lies_beyond_three_standard_deviations() -> None:
    figures = load_figures()["male"]
    for body in _bodies("male"):
        for name, mean, sd in zip(figures.columns, figures.mean, figures.sd, strict=True):
            assert abs(body[name] - mean) <= 3 * sd + 1e-9


def test_foot_length_goes_with_height_as_published() -> None:
    """Men: foot length = 0.1373 stature + 30.13, r = .718 (regression over the same public data)."""
    bodies = _bodies("male")
    heights, feet = [b["stature_mm"] for b in bodies], [b["footlength_mm"] for b in bodies]
    (mh, sh), (mf, sf) = _mean_sd(heights), _mean_sd(feet)
    r = sum((h - mh) * (f - mf) for h, f in zip(heights, feet, strict=True)) / (len(bodies) - 1) / sh / sf
    assert r == pytest.approx(0.718, abs=0.04)
    assert r * sf / sh == pytest.approx(0.1373, abs=0.01)
