"""Windows: what is good, and how a value is judged."""

from __future__ import annotations

from math import inf, nan
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import KnowledgeError
from advisor.geometry.measuring import measure_all
from advisor.geometry.stance import stance_width_goal_mm
from advisor.knowledge.trees import Trees
from advisor.solve.windows import Interval, Window, load_windows
from tests.make_setup import example_known, example_setup, known, source_ids


def _window(good: Interval, close: Interval, scale: float) -> Window:
    return Window(good, close, good, 1.0, scale, "why", "common_practice")


def test_every_window_names_a_source_that_exists() -> None:
    setup = example_setup()
    for name in load_windows().ids():
        window = load_windows().window(name.replace("foot.", "front."), setup)
        assert window is not None, name
        assert window.source in source_ids(), name
        assert window.why, name


def test_good_lies_within_look_closer_for_every_style() -> None:
    for style in ("first_season", "freestyle", "powder", "all_mountain", "carving"):
        setup = example_setup(style)
        for name in load_windows().ids():
            window = load_windows().window(name, setup)
            assert window is not None
            assert window.close.low <= window.good.low <= window.good.high <= window.close.high, (name, style)
            assert window.scale > 0
            assert window.notice > 0


def test_margins_are_good_from_five_degrees_and_out_below_zero() -> None:
    """Common practice, no source: contact tilt over needed tilt, 5 and more; look closer below 0."""
    window = load_windows().window("heel_margin_deg", example_setup())
    assert window is not None
    assert [window.state(v) for v in (5.0, 4.9, 0.0, -0.1, nan)] == ["good", "close", "close", "out", "unknown"]


def test_the_stance_width_window_is_the_riders_own() -> None:
    setup = example_setup()
    good = load_windows().good("stance_width_mm", known(setup))
    assert good is not None
    assert (good.low, good.high) == stance_width_goal_mm(setup)


def test_powder_wants_the_weight_further_back() -> None:
    """Common practice, no source: front load share 0.48..0.52 on piste, 0.44..0.48 in powder."""
    piste = load_windows().good("front_load_share", known(example_setup("all_mountain")))
    powder = load_windows().good("front_load_share", known(example_setup("powder")))
    assert piste == Interval(0.48, 0.52)
    assert powder == Interval(0.44, 0.48)


def test_a_taken_measure_is_judged_at_its_place() -> None:
    taken = measure_all(example_known())
    windows = load_windows()
    assert windows.state(taken["turnout_gap_deg.front"]) == "good"  # 15 to hips at 9.5, 8 of the rider's own: -2.5
    assert windows.state(taken["turnout_gap_deg.back"]) == "good"  # 0 to hips at 9.5, 12 of the rider's own: -2.5
    duck = example_setup()
    duck.back.angle_deg = -21  # hips held at 0, where -1 would share it
    taken = measure_all(known(duck))
    assert windows.state(taken["turnout_gap_deg.front"]) == "good"  # 15 to the hips, 8 of the rider's own: 7
    assert windows.state(taken["turnout_gap_deg.back"]) == "close"  # 21 to the hips, 12 of the rider's own: 9
    assert windows.state(taken["local_width_mm.front"]) == "unknown"


def test_a_missing_number_leaves_a_window_open() -> None:
    setup = example_setup()
    setup.rider.height_mm = setup.rider.thigh_mm = nan
    assert load_windows().good("stance_width_mm", known(setup)) is None


@given(st.floats(-50, 50), st.floats(0.01, 30), st.floats(0.1, 20), st.floats(-100, 100))
def test_strain_is_one_at_both_ends_and_grows_outside(low: float, width: float, scale: float, value: float) -> None:
    good = Interval(low, low + width)
    window = _window(good, Interval(low - scale, low + width + scale), scale)
    assert window.strain(low) == pytest.approx(1)
    assert window.strain(low + width) == pytest.approx(1)
    assert window.strain(good.high + scale) == pytest.approx(2)
    if good.has(value):
        assert 0 <= window.strain(value) <= 1 + 1e-9
    else:
        assert window.strain(value) == pytest.approx(1 + good.distance(value) / scale)


def test_an_open_window_has_no_strain_well_inside() -> None:
    window = _window(Interval(5, inf), Interval(0, inf), 5)
    assert window.strain(10) == 0
    assert window.strain(40) == 0
    assert window.strain(7.5) == 0.5


@pytest.mark.parametrize(
    ("entry", "complaint"),
    [
        ({"heel_margin": {"good": [5, None]}}, "neither a measure"),
        ({"heel_margin_deg": {"good": [5, None], "notice": 1, "why": "x"}}, "source"),
        ({"heel_margin_deg": {"good": [5], "notice": 1, "why": "x", "source": "derived"}}, r"\[low, high\]"),
        ({"heel_margin_deg": {"good": [5, 1], "notice": 1, "why": "x", "source": "derived"}}, "low end first"),
        ({"heel_margin_deg": {"good": ["no.such", 1], "notice": 1, "why": "x", "source": "derived"}}, "no.such"),
        ({"heel_margin_deg": {"good": "splay_deg", "notice": 1, "why": "x", "source": "derived"}}, "no measure with a"),
        ({"heel_margin_deg": {"good": [5, None], "notice": "a", "why": "x", "source": "derived"}}, "notice"),
        ({"heel_margin_deg": {"good": [5, None], "gut": 1, "notice": 1, "why": "x", "source": "derived"}}, "gut"),
        ({"heel_margin_deg": 5}, "expected good"),
    ],
)
def test_a_faulty_file_says_where_and_what(entry: dict[str, Any], complaint: str, tmp_path: Path) -> None:
    (tmp_path / "windows.yaml").write_text(yaml.safe_dump(entry))
    with pytest.raises(KnowledgeError, match=complaint):
        load_windows(Trees(tmp_path))
