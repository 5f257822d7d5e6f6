"""Estimates against published body measures.

ANSUR II: Gordon et al., NATICK/TR-15/007 (2014), 4082 men and 1986 women, a military population; means, standard
deviations and correlations computed from the public files (`ansur2_summary.json`). Foot progression angle: Staheli et
al., J. Bone Joint Surg. 67-A (1985) 39-47. Segment fractions: Drillis & Contini 1966, from memory.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from advisor.errors import KnowledgeError
from advisor.knowledge.tables import load_table
from advisor.knowledge.trees import Trees
from advisor.sheet.estimates import Rule, apply_rules, load_estimates
from advisor.sheet.fields import field_rows
from advisor.sheet.practice import load_practice
from advisor.sheet.readings import Reading
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Leaf, Sheet

ANSUR = json.loads((Path(__file__).parent / "ansur2_summary.json").read_text(encoding="utf-8"))
COLUMN = {name: place for place, name in enumerate(ANSUR["columns"])}
SEXES = ("male", "female")


def mean(sex: str, column: str) -> float:
    return float(ANSUR[sex]["mean"][COLUMN[column]])


def riders(sex: str, count: int = 1500) -> NDArray[np.float64]:
    """Draw riders with the study's means, standard deviations and correlations."""
    sd = np.array(ANSUR[sex]["sd"])
    spread = np.array(ANSUR[sex]["corr"]) * np.outer(sd, sd)
    return np.random.default_rng(7).multivariate_normal(ANSUR[sex]["mean"], spread, count)


def rules_for(gives: str, takes: str) -> list[Rule]:
    return [rule for rule in load_estimates().rules if rule.gives == gives and rule.takes == takes]


def estimate(gives: str, takes: str, value: float) -> Reading:
    known = {takes: Reading(value, "told", 0.0, takes)}
    apply_rules(known, rules_for(gives, takes), {})
    return known[gives]


@pytest.mark.parametrize("sex", SEXES)
@pytest.mark.parametrize(
    ("gives", "takes", "truth", "given"),
    [
        ("rider.inseam_mm", "rider.height_mm", "crotchheight_mm", "stature_mm"),
        ("rider.height_mm", "rider.inseam_mm", "stature_mm", "crotchheight_mm"),
        ("rider.ankle_height_mm", "rider.height_mm", "lateralmalleolusheight_mm", "stature_mm"),
        ("left.foot_length_mm", "rider.height_mm", "footlength_mm", "stature_mm"),
    ],
)
def test_the_range_of_an_estimate_holds_the_true_length_of_nineteen_riders_in_twenty(
    sex: str, gives: str, takes: str, truth: str, given: str
) -> None:
    drawn = riders(sex)
    inside = 0
    for rider in drawn:
        reading = estimate(gives, takes, rider[COLUMN[given]])
        inside += abs(reading.value - rider[COLUMN[truth]]) <= reading.plus_minus
    assert 0.93 <= inside / len(drawn) <= 0.975


@pytest.mark.parametrize("sex", SEXES)
@pytest.mark.parametrize(
    ("takes", "given"), [("rider.height_mm", "stature_mm"), ("rider.inseam_mm", "crotchheight_mm")]
)
def test_the_range_of_thigh_and_shank_holds_nineteen_legs_in_twenty(sex: str, takes: str, given: str) -> None:
    """The study's landmarks stand in for the joints: trochanterion, middle of the kneecap, ankle bone."""
    drawn = riders(sex)
    for gives, upper, lower in (
        ("rider.thigh_mm", "trochanterionheight_mm", "kneeheightmidpatella_mm"),
        ("rider.shank_mm", "kneeheightmidpatella_mm", "lateralmalleolusheight_mm"),
    ):
        lengths = drawn[:, COLUMN[upper]] - drawn[:, COLUMN[lower]]
        inside = [
            abs((reading := estimate(gives, takes, rider[COLUMN[given]])).value - length) <= reading.plus_minus
            for rider, length in zip(drawn, lengths, strict=True)
        ]
        assert 0.93 <= sum(inside) / len(inside) <= 0.98


@pytest.mark.parametrize("sex", SEXES)
@pytest.mark.parametrize(
    ("gives", "truth", "factor"),
    [
        ("rider.inseam_mm", "crotchheight_mm", 1.0),
        ("rider.ankle_height_mm", "lateralmalleolusheight_mm", 1.0),
        ("left.foot_length_mm", "footlength_mm", 1.0),
        ("rider.pelvis_width_mm", "bicristalbreadth_mm", 0.86),  # 0.86: hip bone points over crests, from memory
    ],
)
def test_the_estimate_for_a_mean_rider_is_the_studys_mean_within_a_third_of_its_range(
    sex: str, gives: str, truth: str, factor: float
) -> None:
    reading = estimate(gives, "rider.height_mm", mean(sex, "stature_mm"))
    assert abs(reading.value - mean(sex, truth) * factor) <= max(reading.plus_minus / 3, 5)


@pytest.mark.parametrize("sex", SEXES)
def test_boot_widths_are_the_studys_foot_widths_with_room_for_the_boot(sex: str) -> None:
    foot = mean(sex, "footlength_mm")
    ball = estimate("boots.ball_width_mm", "longer.foot_length_mm", foot)
    heel = estimate("boots.heel_width_mm", "longer.foot_length_mm", foot)
    assert ball.value == pytest.approx(mean(sex, "footbreadthhorizontal_mm") + 7, abs=1.5)
    assert heel.value == pytest.approx(mean(sex, "heelbreadth_mm") + 16, abs=1.6)


@pytest.mark.parametrize("sex", SEXES)
def test_the_leg_of_a_mean_rider_is_as_long_as_the_studys(sex: str) -> None:
    """Trochanter to ankle bone, men and women, within a centimetre: a fixed share of height gave men 34 mm too much."""
    height = mean(sex, "stature_mm")
    leg = sum(estimate(f"rider.{name}_mm", "rider.height_mm", height).value for name in ("thigh", "shank"))
    assert leg == pytest.approx(mean(sex, "trochanterionheight_mm") - mean(sex, "lateralmalleolusheight_mm"), abs=10)


def test_the_same_height_with_a_long_and_a_short_inseam_has_a_long_and_a_short_leg() -> None:
    for name in ("rider.thigh_mm", "rider.shank_mm"):
        short, long = (estimate(name, "rider.inseam_mm", inseam) for inseam in (780, 900))
        assert short.value + 40 < long.value
        assert short.plus_minus < estimate(name, "rider.height_mm", 1780).plus_minus


def test_turnout_covers_the_published_normal_range_within_two_degrees() -> None:
    """Staheli: mean about +10, normal -3 to +20."""
    known: dict[str, Reading] = {}
    apply_rules(known, rules_for("left.turnout_deg", ""), {})
    reading = known["left.turnout_deg"]
    assert reading.value == 10
    assert reading.value - reading.plus_minus == pytest.approx(-3, abs=2)
    assert reading.value + reading.plus_minus == pytest.approx(20, abs=2)


def test_every_estimate_names_a_source_that_exists_and_a_number_of_the_set_up() -> None:
    table, sources = load_table("estimates.yaml"), set(load_table("sources.yaml"))
    for entry in (*table["rules"], *table["believable"].values(), table["reading_error"], table["row_pitch_mm"]):
        assert entry["source"] in sources
        assert entry["words"]
    assert set(table["reading_error"]["fields"]) <= set(field_rows())
    resolve(Sheet("s", {"rider.height_cm": Leaf(178)}), load_practice())


def test_an_estimate_never_replaces_what_the_sheet_says() -> None:
    known = {"rider.thigh_mm": Reading(410.0, "measured", 5.0, "rider.thigh_mm")}
    known["rider.height_mm"] = Reading(1800.0, "told", 10.0, "rider.height_cm")
    apply_rules(known, load_estimates().rules, {})
    assert known["rider.thigh_mm"] == Reading(410.0, "measured", 5.0, "rider.thigh_mm")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("rules: [", r"estimates\.yaml:2"),
        ("- 1", "hold fields with values"),
        ("rules: []\nbelievable: {}\nrow_pitch_mm: {}", "reading_error"),
        (
            "reading_error: {fields: {}}\nbelievable: {}\nrow_pitch_mm: {patterns: {}, words: w, source: s}\n"
            "rules: [{gives: rider.thigh_mm, takes: rider.height_mm, times: a lot, source: s, words: w}]",
            r"rule 1 \(gives rider\.thigh_mm\): expected times as a number",
        ),
        (
            "reading_error: {fields: {}}\nbelievable: {}\nrow_pitch_mm: {patterns: {}, words: w, source: s}\n"
            "rules: [{gives: rider.thigh_mm, takes: rider.height_mm, words: w}]",
            "expected source as text",
        ),
        (
            "reading_error: {fields: {}}\nbelievable: {a: {least: 1}}\nrules: []\n"
            "row_pitch_mm: {patterns: {}, words: w, source: s}",
            "expected most as a number",
        ),
    ],
)
def test_unsound_knowledge_is_refused_by_file_and_entry(text: str, told: str, tmp_path: Path) -> None:
    (tmp_path / "estimates.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(KnowledgeError, match=told):
        load_estimates(Trees(tmp_path))
