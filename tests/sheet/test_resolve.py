"""From sheet to set-up: units, sides, settings by default, and how far off each number may be."""

from __future__ import annotations

from math import hypot, isnan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import KnowledgeError
from advisor.geometry.board import waist_place_mm
from advisor.knowledge.trees import Trees
from advisor.sheet.fields import field_rows
from advisor.sheet.paths import setup_path, sheet_path
from advisor.sheet.practice import PracticeValue, load_practice
from advisor.sheet.reading import parse_sheet, read_sheet
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Leaf, Sheet
from tests.sheet.samples import DEMO


def known_of(text: str) -> Known:
    return resolve(parse_sheet(f"schema: 1\n{text}\n".encode(), "s.yaml"), load_practice())


def test_every_number_of_the_demo_sheet_reaches_the_set_up_in_mm_and_degrees() -> None:
    known = resolve(read_sheet(DEMO), load_practice())
    setup = known.setup
    assert (setup.rider.height_mm, setup.rider.inseam_mm) == (1780, 820)
    assert setup.board.sidecut_radius_mm == 8000
    assert (setup.bindings.base_height_toe_mm, setup.bindings.base_height_heel_mm) == (14, 16)
    assert (setup.front.angle_deg, setup.back.slot_mm, setup.back.disc_flipped) == (15, -4, False)
    assert (setup.front.slots, setup.rider.style, setup.screw_torque_nm) == ("across", "all_mountain", 4)
    assert setup.board.row_pitch_mm == 20
    for path, reading in known.readings.items():
        assert setup.get(path) == reading.value
        assert not isnan(reading.value)
        assert reading.plus_minus >= 0


@pytest.mark.parametrize(("leading", "front", "back"), [("left", (268, 8), (270, 12)), ("right", (270, 12), (268, 8))])
def test_left_and_right_go_to_front_and_back_by_the_leading_foot(
    leading: str, front: tuple[float, float], back: tuple[float, float]
) -> None:
    known = known_of(
        f"rider: {{leading_foot: {leading}, foot_length_mm: {{left: 268, right: 270}}, "
        "turnout_deg: {left: 8, right: 12}}"
    )
    assert (known.setup.front.foot_length_mm, known.setup.front.turnout_deg) == front
    assert (known.setup.back.foot_length_mm, known.setup.back.turnout_deg) == back
    assert known.sheet_path("front.turnout_deg") == f"rider.turnout_deg.{leading}"


def test_without_a_leading_foot_the_range_covers_regular_and_goofy() -> None:
    known = known_of("rider: {turnout_deg: {left: 4, right: 14}}")
    for side, value in (("front", 4), ("back", 14)):
        reading = known.readings[f"{side}.turnout_deg"]
        assert (reading.value, reading.origin, reading.sheet_path) == (value, "assumed", "rider.leading_foot")
        for truth in (4 - 2, 4 + 2, 14 - 2, 14 + 2):
            assert abs(reading.value - truth) <= reading.plus_minus


def test_what_cannot_honestly_be_assumed_stays_unknown() -> None:
    known = known_of("rider: {style: carving}")
    for path in (
        "board.waist_width_mm",
        "board.sidecut_radius_mm",
        "boots.outsole_length_mm",
        "boots.ball_width_mm",
        "front.angle_deg",
        "back.angle_deg",
        "rider.height_mm",
        "rider.thigh_mm",
        "rider.speed_kmh",
        "screw_torque_nm",
        "bindings.screw_length_mm",
        "board.insert_depth_mm",
        "front.strap_left_mm",
    ):
        assert isnan(known.setup.get(path))
        assert path not in known.readings


@pytest.mark.parametrize(
    ("text", "outsole", "spread"),
    [
        ("boots: {size: mondo 27.0}", 300, 8),
        ("rider: {foot_length_mm: {left: 268, right: 270}}", 300, hypot(8, 1)),
        ("rider: {height_cm: 178}", 0.166 * 1780 - 22 + 30, hypot(8, 18, 0.166 * 10)),
        ("boots: {size: mondo 27.0}\nrider: {foot_length_mm: {left: 250}}", 300, 8),
        ("boots: {outsole_length_mm: 305, size: mondo 27.0}", 305, 1),
    ],
)
def test_the_outsole_comes_from_the_measure_then_the_label_then_the_foot_then_the_height(
    text: str, outsole: float, spread: float
) -> None:
    reading = known_of(text).readings["boots.outsole_length_mm"]
    assert reading.value == pytest.approx(outsole)
    assert reading.plus_minus == pytest.approx(spread)


def test_a_size_with_disagreeing_conventions_widens_the_range() -> None:
    mondo, eu = (known_of(f"boots: {{size: {size}}}").readings for size in ("mondo 26.5", "EU 42"))
    assert eu["boots.outsole_length_mm"].plus_minus > mondo["boots.outsole_length_mm"].plus_minus
    assert eu["front.foot_length_mm"].origin == "assumed"


def test_settings_that_are_not_told_stand_in_the_middle_with_a_range() -> None:
    known = known_of("bindings: {slot_travel_mm: 6, lean_deg: {min: 4}}\nmount: {front: {angle_deg: 15}}")
    slot, lean = known.readings["front.slot_mm"], known.readings["front.lean_deg"]
    assert (slot.value, slot.origin, slot.plus_minus) == (0, "assumed", 6)
    assert (lean.value, lean.origin) == (4, "assumed")
    assert known.setup.front.disc_flipped is False
    assert known.readings["front.seat_mm"].plus_minus == 5


def test_the_waist_of_a_printed_radius_is_taken_at_the_reference_centre_unless_told() -> None:
    told = known_of("board: {reference_setback_mm: 20, sidecut_radius_m: 8, waist_width_mm: 254}").setup.board
    assert waist_place_mm(told) == -20
    told = known_of("board: {reference_setback_mm: 20, waist_place_mm: 5}").readings["board.waist_place_mm"]
    assert (told.value, told.origin, told.plus_minus) == (5, "told", 5)


@pytest.mark.parametrize(("pattern", "pitch"), [("4x4", 40), ("2x4", 20), ("slot_track", 0)])
def test_the_insert_pattern_gives_the_rows_their_pitch(pattern: str, pitch: float) -> None:
    """4x4: 40 mm packs; 2x4: 20 mm along the board (common practice, no source)."""
    known = known_of(f"board: {{insert_pattern: {pattern}}}")
    assert known.setup.board.row_pitch_mm == pitch
    assert known.readings["board.row_pitch_mm"].origin == "looked_up"
    assert known_of(f"board: {{insert_pattern: {pattern}, row_pitch_mm: 25}}").setup.board.row_pitch_mm == 25


def test_a_slot_track_has_no_rows_but_a_place_along_it() -> None:
    known = known_of("board: {insert_pattern: slot_track}\nmount: {front: {track_mm: 12}}")
    assert known.setup.front.track_mm == 12
    assert (known.setup.front.row, known.plus_minus("front.row")) == (0, 0)
    assert known.plus_minus("back.track_mm") == 20
    assert known_of("board: {insert_pattern: 4x4}").plus_minus("back.track_mm") == 0


def test_a_plain_reading_is_as_far_off_as_the_usual_instrument_and_a_stated_one_as_it_says() -> None:
    known = known_of(
        "rider: {height_cm: 178, speed_kmh: 28, inseam_cm: {value: 82, from: measured, plus_minus: 1}}\n"
        "board: {waist_width_mm: 254}"
    )
    assert known.plus_minus("rider.height_mm") == 10
    assert known.plus_minus("rider.speed_kmh") == 10
    assert known.plus_minus("board.waist_width_mm") == 0
    assert known.plus_minus("rider.inseam_mm") == 10
    assert known.readings["rider.inseam_mm"].origin == "measured"


@given(
    st.sampled_from([row for row in field_rows().values() if row.kind == "number"]),
    st.floats(0, 1),
    st.floats(0, 20),
)
def test_a_numbers_value_and_range_go_through_in_the_same_proportion(row, share: float, spread: float) -> None:  # type: ignore[no-untyped-def]
    value = row.low + share * (row.high - row.low)
    known = resolve(Sheet("s", {row.path: Leaf(value, "measured", spread), "rider.leading_foot": Leaf("left")}), {})
    path = setup_path(row.path)
    if not path:
        return
    reading = known.readings[path]
    factor = {"cm": 10, "m": 1000}.get(row.unit, 1)
    assert reading.value == pytest.approx(value * factor)
    assert reading.plus_minus == pytest.approx(spread * factor)
    assert reading.origin == "measured"
    assert sheet_path(path) == row.path


def test_the_fields_that_the_set_up_does_not_use_are_known() -> None:
    unused = {
        row.path for row in field_rows().values() if row.kind in {"number", "integer"} and not setup_path(row.path)
    }
    lean = {f"bindings.lean_deg.{name}" for name in ("min", "max", "step")}
    measured = {f"measured.{foot}.{edge}_overhang_mm" for foot in ("front", "back") for edge in ("toe", "heel")}
    told = {"board.length_cm", "board.age_days", "boots.age_days", "measured.stance_width_mm"}
    assert unused == lean | measured | told


def test_the_trades_numbers_follow_the_style_and_an_untold_style_widens_them() -> None:
    """Tilts by style: common practice, no source."""
    carving, untold = known_of("rider: {style: carving}"), known_of("rider: {height_cm: 178}")
    assert carving.setup.practice.style_tilt_deg == 60
    assert carving.readings["practice.style_tilt_deg"].origin == "looked_up"
    reading = untold.readings["practice.style_tilt_deg"]
    assert (reading.value, reading.origin, reading.sheet_path) == (45, "assumed", "rider.style")
    for tilt in (25, 35, 45, 60):
        assert abs(reading.value - tilt) <= reading.plus_minus
    assert known_of("rider: {style: freestyle}").setup.practice.width_style_low == pytest.approx(0.4)


def test_the_trades_numbers_that_formulas_need_all_have_a_value() -> None:
    practice = resolve(read_sheet(DEMO), load_practice()).setup.practice
    for name in practice.__slots__:
        assert not isnan(getattr(practice, name)), name


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("tilt: 45", "tilt: expected {value"),
        ("tilt: {value: steep, source: s, words: w}", "expected value as a number, found 'steep'"),
        ("tilt: {value: .nan, source: s, words: w}", "expected value as a number"),
        ("tilt: {value: 1, words: w}", "expected source as text"),
        ("tilt: {source: s, words: w, carving: [1, 2, 3]}", "tilt.carving: expected two numbers"),
    ],
)
def test_unsound_practice_is_refused_by_file_and_entry(text, told, tmp_path) -> None:  # type: ignore[no-untyped-def]
    (tmp_path / "practice.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(KnowledgeError) as caught:
        load_practice(Trees(tmp_path))
    assert "trees/practice.yaml" in str(caught.value)
    assert told in str(caught.value)


def test_a_practice_value_carries_its_unit_and_source() -> None:
    assert load_practice()["style_tilt_deg.carving"] == PracticeValue(
        60, 5, "deg", "common_practice", "the tilt this style rides"
    )


def test_what_is_missing_is_named_as_the_sheet_names_it_at_the_foot_that_leads() -> None:
    known = resolve(Sheet("", {"rider.leading_foot": Leaf("right", "told", None)}), load_practice())
    assert known.sheet_path("rider.height_mm") == "rider.height_cm"
    assert known.sheet_path("front.foot_length_mm") == "rider.foot_length_mm.right"
    assert known.sheet_path("front.ladder_at") == "mount.front.ladder_at"
    assert known.sheet_path("board.sidecut_radius_mm") == "board.sidecut_radius_m"
