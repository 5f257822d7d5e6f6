"""Doubt in the sheet: true sheets are let be, wrong ones are noticed, and the sentences name what to read again.

The riders come from an own generator (`riders.py`), which shares no number with `trees/plausibility.yaml`.
"""

from __future__ import annotations

import json
import sys
from math import log
from pathlib import Path

import numpy as np
import pytest

from advisor.doubt.doubts import doubts_of
from advisor.doubt.network import Joint
from advisor.doubt.tables import Line, load_plausibility
from advisor.errors import SheetError
from advisor.knowledge.trees import authors
from advisor.sheet.reading import parse_sheet
from advisor.sheet.sheet import Sheet

sys.path.insert(0, str(Path(__file__).parent))
import riders

RIDERS = 400


def sheet_of(document: dict[str, object]) -> Sheet:
    return parse_sheet(json.dumps(document).encode(), "larchfall.yaml")


def test_a_true_sheet_is_doubted_less_than_once_in_fifty() -> None:
    doubted = 0
    for seed in range(RIDERS):
        try:
            doubted += bool(doubts_of(sheet_of(riders.rider(90_000 + seed))))
        except SheetError:
            doubted += 1
    assert doubted / RIDERS <= 0.02


@pytest.mark.parametrize("kind", riders.WRONG)
def test_a_wrong_sheet_is_noticed_nine_times_in_ten(kind: str) -> None:
    noticed = 0
    for seed in range(40):
        try:
            noticed += bool(doubts_of(sheet_of(riders.gone_wrong(riders.rider(70_000 + seed), kind))))
        except SheetError:
            noticed += 1
    assert noticed >= 36 or (kind == "weight in pounds" and noticed >= 30)


def test_the_bodies_follow_the_published_figures() -> None:
    """Each line of the body is the least-squares line of ANSUR II, men and women in equal parts, children let in."""
    table = json.loads((Path(riders.__file__).parents[1] / "sheet" / "ansur2_summary.json").read_text())
    place = {name: i for i, name in enumerate(table["columns"])}
    means = np.mean([table[sex]["mean"] for sex in ("male", "female")], axis=0)
    cov = np.zeros((len(place), len(place)))
    for sex in ("male", "female"):
        sd, away = np.array(table[sex]["sd"]), np.array(table[sex]["mean"]) - means
        cov += (np.array(table[sex]["corr"]) * np.outer(sd, sd) + np.outer(away, away)) / 2
    lines = {line.field: line for line in load_plausibility(authors()).joints["body"]}
    height = place["stature_mm"]
    for field, column, unit in (("rider.inseam_cm", "crotchheight_mm", 10), ("foot", "footlength_mm", 1)):
        slope = cov[place[column], height] / cov[height, height] * 10 / unit
        rest = cov[place[column], place[column]] - cov[place[column], height] ** 2 / cov[height, height]
        line = lines[field]
        assert line.takes["rider.height_cm"] == pytest.approx(slope, rel=0.01)
        made = line.plus + line.takes["rider.height_cm"] * means[height] / 10
        assert made == pytest.approx(means[place[column]] / unit, rel=0.012)
        assert rest**0.5 / unit <= line.sd <= 1.4 * rest**0.5 / unit
    weight = lines["rider.weight_kg"]
    for sex in ("male", "female"):
        tall, heavy = table[sex]["mean"][height] / 10, table[sex]["mean"][place["weightkg"]]
        assert abs(log(heavy) - weight.plus - weight.takes["rider.height_cm"] * tall) < weight.sd


def test_the_joint_is_a_normal_distribution() -> None:
    """Against numpy: the covariance that the lines make, and the conditional mean and spread."""
    joint = Joint(
        [Line("a", "a", {}, 5, 2), Line("b", "b", {"a": 2}, 1, 1.5), Line("c", "c", {"a": -1, "b": 0.5}, 0, 1)]
    )
    root = np.array([[2, 0, 0], [4, 1.5, 0], [-2 + 2, 0.75, 1]])
    cov = root @ root.T
    assert [[joint.cov[x, y] for y in "abc"] for x in "abc"] == pytest.approx(cov)
    odd = {one.field: one for one in joint.odd({"a": 9, "b": 10, "c": 3}, {})}
    mean = np.array([5, 11, 0.5])
    others = np.linalg.solve(cov[np.ix_([1, 2], [1, 2])], cov[[1, 2], 0])
    assert odd["a"].expected == pytest.approx(5 + others @ (np.array([10, 3]) - mean[1:]))
    assert odd["a"].sd == pytest.approx((cov[0, 0] - others @ cov[[1, 2], 0]) ** 0.5)


def test_the_odd_one_is_named_and_what_would_do() -> None:
    document = riders.rider(5)
    document["boots"]["outsole_length_mm"] += 60
    (doubt, *_) = doubts_of(sheet_of(document))
    assert doubt.fields[0] == "boots.outsole_length_mm"
    (field, value) = doubt.supposed[0]
    assert field == "boots.outsole_length_mm"
    assert abs(float(value) - riders.rider(5)["boots"]["outsole_length_mm"]) < 15


def test_a_weight_in_pounds_is_called_one() -> None:
    sheet = sheet_of({"schema": 1, "rider": {"height_cm": 178, "weight_kg": 172}})
    (doubt,) = doubts_of(sheet)
    assert "in pounds" in doubt.says and "172 kg" in doubt.says


def test_a_negative_front_angle_is_read_and_said() -> None:
    sheet = sheet_of({"schema": 1, "mount": {"front": {"angle_deg": -12}, "back": {"angle_deg": -15}}})
    assert sheet.value("mount.front.angle_deg") == -12
    (doubt,) = doubts_of(sheet)
    assert doubt.fields[0] == "mount.front.angle_deg" and "toes toward the tail" in doubt.says


def test_a_fields_own_plus_minus_excuses_it() -> None:
    told = {"schema": 1, "rider": {"height_cm": 178, "inseam_cm": 99}}
    assert doubts_of(sheet_of(told))
    told["rider"]["inseam_cm"] = {"value": 99, "plus_minus": 12}
    assert not doubts_of(sheet_of(told))


def test_the_shops_own_boards_say_what_is_usual() -> None:
    """Forty boards of a shop that sells wide ones: a wide one is no slip of the pen there."""
    wide = {"schema": 1, "board": {"length_cm": 158, "waist_width_mm": 292, "effective_edge_mm": 1200}}
    assert doubts_of(sheet_of(wide))
    shelf = [
        {
            "board.length_cm": 150.0 + n % 20,
            "board.waist_width_mm": 280.0 + n % 20 + n % 7,
            "board.effective_edge_mm": 1140.0 + 8 * (n % 20),
        }
        for n in range(40)
    ]
    assert not doubts_of(sheet_of(wide), shelf)


def test_a_ruler_that_cannot_be_right_with_sole_and_board_is_doubted_with_them() -> None:
    document = riders.rider(11)
    toe, heel = riders.overhangs(document, "back")
    document["measured"] = {"back": {"toe_overhang_mm": round(toe), "heel_overhang_mm": round(heel)}}
    assert not any(doubt.id.startswith("ruler") for doubt in doubts_of(sheet_of(document)))
    document["measured"]["back"]["heel_overhang_mm"] = round(heel) + 30
    (doubt,) = [one for one in doubts_of(sheet_of(document)) if one.id.startswith("ruler")]
    assert "boots.outsole_length_mm" in doubt.fields and "measured.back.heel_overhang_mm" in doubt.fields
