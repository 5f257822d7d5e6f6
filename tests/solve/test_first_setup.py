"""The whole mount from rider, boots, board and bindings."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest
import yaml

from advisor.knowledge_home import trees_dir
from advisor.sheet.practice import load_practice
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.bench_order import load_bench_order
from advisor.solve.first_setup import FirstSetup, first_setup
from advisor.solve.windows import load_windows
from tests.make_setup import source_ids
from tests.solve.brute_force import value_at
from tests.solve.random_sheets import random_document, random_sheet, sheet_from


def roomy(**board: float) -> Sheet:
    """Return an all-mountain rider whose board has room for the boots."""
    document = random_document(Random(3))
    document["rider"] |= {
        "style": "all_mountain", "height_cm": 178, "inseam_cm": 84, "speed_kmh": 26,
        "turnout_deg": {"left": 9, "right": 9}, "foot_length_mm": {"left": 268, "right": 268},
    }  # fmt: skip
    document["boots"] |= {"outsole_length_mm": 298, "ball_width_mm": 106, "heel_width_mm": 86}
    document["board"] |= {
        "waist_width_mm": 258, "sidecut_radius_m": 8, "insert_pattern": "2x4", "rows_each_way": 3,
        "reference_width_mm": 540, "reference_setback_mm": 10, "effective_edge_mm": 1200, "insert_depth_mm": 8,
    } | board  # fmt: skip
    document["bindings"] |= {
        "notch_deg": 3, "slot_travel_mm": 5, "hole_offset_mm": 3, "heelcup_steps": [-2, 2], "disc_thickness_mm": 6,
        "toe_ramp_steps": [0, 3], "screw_length_mm": 16,
    }  # fmt: skip
    for side in ("front", "back"):
        document["mount"][side] = {"seat_mm": -2, "strap_left_mm": 40, "strap_right_mm": 41, "ladder_at": 8}
    del document["mount"]["screw_torque_nm"]
    return sheet_from(document)


def value(result: FirstSetup, key: str) -> float:
    return result.after[key].value


def test_the_steps_are_data_with_sources_that_exist() -> None:
    table = yaml.safe_load((trees_dir() / "first_setup.yaml").read_text(encoding="utf-8"))
    named = {entry["source"] for entry in (*table["steps"].values(), table["hand_over"])}
    assert named <= source_ids()
    assert list(load_bench_order().steps) == ["rows", "angles", "centring", "ramp", "screws", "straps", "highback"]


def test_a_board_that_fits_is_mounted_with_everything_good() -> None:
    result = first_setup(roomy())
    assert (result.outcome, result.fit, result.needs) == ("set", "fits", ())
    for key in (
        "stance_width_mm", "front_load_share", "splay_deg", "turnout_gap_deg.front", "turnout_gap_deg.back",
        "overhang_split_mm.front", "overhang_split_mm.back", "toe_margin_deg.front", "heel_margin_deg.front",
        "toe_margin_deg.back", "heel_margin_deg.back", "highback_gap_deg.front", "highback_gap_deg.back",
        "screw_turns", "screw_gap_mm", "strap_offset_mm.front", "ladder_spare_teeth.back",
    ):  # fmt: skip
        assert load_windows().state(result.after[key]) == "good", (key, value(result, key))


def test_an_all_mountain_rider_starts_near_fifteen_and_zero() -> None:
    """Common practice, no source: +15 / 0 is a sound all-mountain start, front +12..+24, back -3..+3."""
    after = first_setup(roomy()).sheet_after
    assert after.value("mount.front.angle_deg") == 15
    assert after.value("mount.back.angle_deg") in {-3, 0}


def test_the_reference_stance_is_kept_where_it_suits() -> None:
    """Common practice, no source: the board's reference stance is the start when the board is the right size."""
    after = first_setup(roomy()).sheet_after
    assert (after.value("mount.front.row"), after.value("mount.back.row")) == (0, 0)


def test_slots_run_across_and_the_lean_is_least() -> None:
    """Common practice, no source: slots across for centring; least forward lean is the start."""
    result = first_setup(roomy())
    for side in ("front", "back"):
        assert result.sheet_after.value(f"mount.{side}.slots") == "across"
        assert result.sheet_after.value(f"mount.{side}.lean_deg") == 0


def test_screws_too_long_for_the_insert_are_swapped() -> None:
    """16 mm less 6 of disc and 1 of washer is 9 in an insert of 8: it would stand on the floor."""
    result = first_setup(roomy())
    assert result.sheet_after.value("bindings.screw_length_mm") == 14


def test_a_board_too_narrow_is_said_first_with_the_waist_that_would_do() -> None:
    """A rider who tips the board to 58 degrees needs more board under the same boots."""
    result = first_setup(roomy(waist_width_mm=235).with_value("rider.tilt_deg", 58))
    assert (result.outcome, result.fit) == ("refer", "narrow")
    assert result.min_waist_mm > 235
    wider = roomy(waist_width_mm=round(result.min_waist_mm) + 5).with_value("rider.tilt_deg", 58)
    assert first_setup(wider).outcome == "set"


def test_a_board_too_wide_is_said() -> None:
    result = first_setup(roomy(waist_width_mm=348))
    assert result.fit == "wide"
    assert result.max_waist_mm < 348


def test_a_missing_number_is_named_instead_of_guessed() -> None:
    result = first_setup(roomy().without("board.waist_width_mm"))
    assert result.outcome == "needs"
    assert result.needs == ("board.waist_width_mm",)
    assert result.steps == ()


def test_what_the_sheet_said_of_its_mount_does_not_matter() -> None:
    sheet = roomy()
    moved = sheet.with_value("mount.back.slot_mm", 4).with_value("mount.front.angle_deg", 30)
    assert first_setup(moved).sheet_after == first_setup(sheet).sheet_after


def test_the_mount_is_a_sheet_that_passes_every_check() -> None:
    random = Random(17)
    for _ in range(8):
        result = first_setup(random_sheet(random, small=True))
        after = sheet_from(result.sheet_after.to_dict())
        angle = after.value("mount.front.angle_deg")
        assert isinstance(angle, int | float)
        assert angle >= 0


def test_every_step_says_its_numbers_and_why_the_others_lost() -> None:
    result = first_setup(roomy())
    assert [step.id for step in result.steps][:4] == ["rows", "angles", "centring", "centring"]
    for step in result.steps:
        assert "{" not in step.says
        assert any(digit in step.says for digit in "0123456789")
        assert step.mind
        for judged in step.judged:
            assert judged.value == pytest.approx(
                value(result, judged.key) if judged.key in result.after else judged.value
            )
        for other in step.runners_up:
            assert other.reason
            assert other.settings != step.settings
    assert result.hand_over


def _best_by_trying_all(known: Known, notch: int, travel: int, cups: range) -> list[tuple[int, int, float, float]]:
    """Return (out, bad, excess, steps) of every pair of angles, by trying all of it, best first.

    Written for sheets on which only angles, slide, disc and heelcup are set; steps are notches away from the start.
    """
    setup = known.setup
    windows = load_windows()

    def state(key: str) -> str:
        window = windows.window(key, setup)
        assert window is not None
        return window.state(value_at(setup, key))

    def excess(key: str) -> float:
        window = windows.window(key, setup)
        assert window is not None
        return max(0.0, window.strain(value_at(setup, key)) - 1)

    starts = {"front": setup.front.angle_deg, "back": setup.back.angle_deg}
    angles = {"front": range(0, 46, notch), "back": range(-(27 // notch) * notch, 37, notch)}
    bad: dict[tuple[str, int], int] = {}
    for side, foot in (("front", setup.front), ("back", setup.back)):
        for angle in angles[side]:
            foot.angle_deg = angle
            counts = []
            for flipped, slot, cup in product((False, True), range(-travel, travel + 1), cups):
                foot.disc_flipped, foot.slot_mm, foot.heelcup = flipped, slot, cup
                counts.append(sum(state(f"{edge}_margin_deg.{side}") != "good" for edge in ("toe", "heel")))
            bad[side, angle] = min(counts)
        foot.disc_flipped, foot.slot_mm, foot.heelcup, foot.angle_deg = False, 0, max(cups.start, 0), starts[side]
    ranks = []
    keys = ("front.angle_deg", "back.angle_deg", "turnout_gap_deg.front", "turnout_gap_deg.back", "splay_deg")
    for front, back in product(angles["front"], angles["back"]):
        setup.front.angle_deg, setup.back.angle_deg = front, back
        out = sum(state(key) == "out" for key in keys[2:])
        steps = (abs(front - starts["front"]) + abs(back - starts["back"])) / notch
        ranks.append((out, bad["front", front] + bad["back", back], round(sum(map(excess, keys)), 6), steps))
    return sorted(ranks)


def test_the_angles_are_the_best_of_all_with_each_foot_centred_for_each() -> None:
    random = Random(31)
    for _ in range(4):
        document = random_document(random, small=True)
        result = first_setup(sheet_from(document))
        chosen = {side: result.sheet_after.value(f"mount.{side}.angle_deg") for side in ("front", "back")}
        notch, travel = document["bindings"]["notch_deg"], document["bindings"]["slot_travel_mm"]
        low, high = document["bindings"]["heelcup_steps"]
        starts = {"front": round(15 / notch) * notch, "back": 0}
        known = resolve(result.sheet_after, load_practice())
        for side, foot in (("front", known.setup.front), ("back", known.setup.back)):
            foot.angle_deg, foot.slot_mm, foot.disc_flipped, foot.heelcup = starts[side], 0, False, max(low, 0)
            foot.toe_ramp = document["bindings"]["toe_ramp_steps"][0]
        best = _best_by_trying_all(known, notch, travel, range(low, high + 1))[0]
        steps = sum(abs(float(chosen[side]) - starts[side]) for side in starts) / notch  # type: ignore[arg-type]
        margins = sum(
            load_windows().state(result.after[f"{edge}_margin_deg.{side}"]) != "good"
            for edge in ("toe", "heel")
            for side in ("front", "back")
        )
        assert steps == best[3]
        assert margins == best[1]
