"""Faults of a sheet: each named by file, line and field, with what was expected, what was found and what to do."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from advisor.errors import SheetError, UnknownName
from advisor.sheet.reading import parse_sheet, parse_value, read_sheet
from tests.sheet.samples import DEMO

TEXT = DEMO.read_text(encoding="utf-8")


def line_of(start: str, text: str = TEXT) -> int:
    return next(number for number, line in enumerate(text.splitlines(), 1) if line.strip().startswith(start))


def faults_of(text: str) -> tuple[str, ...]:
    with pytest.raises(SheetError) as caught:
        parse_sheet(text.encode(), "s.yaml")
    return caught.value.faults


def changed(old: str, new: str) -> str:
    assert TEXT.count(old) >= 1
    return TEXT.replace(old, new, 1)


# what stands on the sheet, what it is changed to, the field named, and what the message must tell
FAULTS = [
    ("waist_width_mm: 254", "waist_width_mm: 25.4", "board.waist_width_mm", "did you mean 254 mm (25.4 cm)?"),
    ("waist_width_mm: 254", "waist_width_mm: 2540", "board.waist_width_mm", "did you mean 254 mm?"),
    ("waist_width_mm: 254", "waist_width_mm: 10", "board.waist_width_mm", "254 mm (10 inches)"),
    ("waist_width_mm: 254", "waist_width_mm: .nan", "board.waist_width_mm", "found .nan"),
    ("waist_width_mm: 254", "waist_width_mm: -.inf", "board.waist_width_mm", "found -.inf"),
    ("waist_width_mm: 254", "waist_width_mm: 1e999", "board.waist_width_mm", "found 1e999"),
    ("waist_width_mm: 254", "waist_width_mm: -254", "board.waist_width_mm", "cannot be negative"),
    ("waist_width_mm: 254", "waist_width_mm: 25,4 cm", "board.waist_width_mm", "a decimal point, such as 25.4"),
    ("waist_width_mm: 254", "waist_width_mm: 254 kg", "board.waist_width_mm", "mm, cm, m, in, ft"),
    ("waist_width_mm: 254", "waist_width_mm: [254]", "board.waist_width_mm", "expected a number"),
    ("waist_width_mm: 254", "waist_width_mm: true", "board.waist_width_mm", "expected a number"),
    ("waist_width_mm: 254", "waist_width: 254", "board.waist_width", "did you mean waist_width_mm?"),
    ("waist_width_mm: 254", "outsole_length_mm: 254", "board.outsole_length_mm", "boots.outsole_length_mm"),
    ("waist_width_mm: 254", "colour: red", "board.colour", "correct or remove it"),
    ("waist_width_mm: 254", "waist_width_mm: {value: 254, from: seen}", "board.waist_width_mm", "measured, told"),
    ("waist_width_mm: 254", "waist_width_mm: {val: 254}", "board.waist_width_mm", "{value, from, plus_minus}"),
    ("waist_width_mm: 254", "waist_width_mm: {from: told}", "board.waist_width_mm", "expected a value"),
    ("waist_width_mm: 254", "waist_width_mm: {value: 254, plus_minus: -1}", "board.waist_width_mm", "found '-1'"),
    ("height_cm: 178", "height_cm: 1.78", "rider.height_cm", "did you mean 178 cm (1.78 metres)?"),
    ("height_cm: 178", "height_cm: 70", "rider.height_cm", "177.8 cm (70 inches)"),
    ("inseam_cm: 82", "inseam_cm: 32", "rider.inseam_cm", "81.28 cm (32 inches)"),
    ("{value: 302, from", "{value: 30.2, from", "boots.outsole_length_mm", "302 mm (30.2 cm)"),
    ("sidecut_radius_m: 8.0", "sidecut_radius_m: 8000", "board.sidecut_radius_m", "8 m (8000 mm)"),
    ("side_bevel_deg: 1.0", "side_bevel_deg: 89", "board.side_bevel_deg", "1 for an 89-degree edge"),
    ("angle_deg: 15", "angle_deg: -65", "mount.front.angle_deg", "expected -60"),
    ("angle_deg: 15", "angle_deg: 16", "mount.front.angle_deg", "did you mean 15 or 18?"),
    ("row: 0", "row: 4", "mount.front.row", "the board has 3 rows"),
    ("row: 0", "row: 1.5", "mount.front.row", "a whole number"),
    ("slot_mm: 3", "slot_mm: 8", "mount.front.slot_mm", "-5 to 5 mm"),
    ("slot_mm: 3", "slot_mm: -5.5", "mount.front.slot_mm", "-5 to 5 mm"),
    ("heelcup: 0", "heelcup: 3", "mount.front.heelcup", "expected -2 to 2"),
    ("toe_ramp: 0", "toe_ramp: -1", "mount.front.toe_ramp", "expected 0 to 3"),
    ("lean_deg: 0", "lean_deg: 7", "mount.front.lean_deg", "a step of 5 degrees"),
    ("lean_deg: 0", "lean_deg: 30", "mount.front.lean_deg", "25 or less"),
    ("ladder_at: 8", "ladder_at: 20", "mount.front.ladder_at", "14 or less"),
    ("style: all_mountain", "style: all mountain", "rider.style", "did you mean all_mountain?"),
    ("style: all_mountain", "style: racing", "rider.style", "choose one of them"),
    ("leading_foot: left", "leading_foot: goofy", "rider.leading_foot", "goofy is right"),
    ("disc_flipped: false", "disc_flipped: maybe", "mount.front.disc_flipped", "true or false"),
    ("size: mondo 27.0", "size: 27", "boots.size", "did you mean mondo 27.0"),
    ("size: mondo 27.0", "size: US 9", "boots.size", "US M 9 or US W 9"),
    ("toe_ramp_steps: [0, 3]", "toe_ramp_steps: [3, 0]", "bindings.toe_ramp_steps", "the first step before the last"),
    ("toe_ramp_steps: [0, 3]", "toe_ramp_steps: 3", "bindings.toe_ramp_steps", "two whole numbers"),
    ("{left: 8, right: 12}", "{left: 40, right: -12}", "rider.turnout_deg.right", "is a sign or a side swapped?"),
    ("{left: 8, right: 12}", "{front: 8, right: 12}", "rider.turnout_deg.front", "expected left and right here"),
    ("{left: 8, right: 12}", "8", "rider.turnout_deg", "left, right"),
    ("{left: 268, right: 270}", "{left: 268, right: 240}", "rider.foot_length_mm.right", "measure both feet again"),
    ("nose_width_mm: 298", "nose_width_mm: 248", "board.nose_width_mm", "were they swapped?"),
    ("heel_width_mm: 88", "heel_width_mm: 118", "boots.ball_width_mm", "were they swapped?"),
    ("effective_edge_mm: 1200", "effective_edge_mm: 1690", "board.effective_edge_mm", "board's length (1580 mm)"),
    ("inseam_cm: 82", "inseam_cm: 60", "rider.inseam_cm", "for a height of 178 cm"),
    ("min: 0, max: 25", "min: 25, max: 0", "bindings.lean_deg.max", "were they swapped?"),
    ("  front:\n", "  left:\n", "mount.left", "expected front and back here"),
    ("insert_pattern: 2x4", "insert_pattern: 2 x 4", "board.insert_pattern", "did you mean 2x4?"),
    ("schema: 1", "schema: 2", "schema", "reads schema 1 only"),
    ("schema: 1", "schema: '1'", "schema", "reads schema 1 only"),
    ("boots:", "boot:", "boot", "did you mean boots?"),
]


@pytest.mark.parametrize(("old", "new", "field", "told"), FAULTS)
def test_a_fault_names_its_line_its_field_and_what_to_do(old: str, new: str, field: str, told: str) -> None:
    text = changed(old, new)
    fault = next(fault for fault in faults_of(text) if f" {field}: " in fault)
    name = field.rpartition(".")[2]
    if name in {"left", "right", "front", "max"} and field not in {"mount.left"}:
        name = field.split(".")[-2]
    lines = text.splitlines()
    where = int(fault.split(":")[1])
    assert fault.startswith("s.yaml:")
    assert name in lines[where - 1]
    assert "expected" in fault and "found" in fault
    assert told in fault


def test_a_sheet_without_its_schema_is_told_the_line_to_add() -> None:
    assert faults_of("rider: {height_cm: 178}") == (
        "s.yaml: schema: expected the line 'schema: 1', found none; add it at the top",
    )


def test_all_faults_come_in_one_go_in_the_order_of_their_lines() -> None:
    text = changed("waist_width_mm: 254", "waist_width_mm: 25.4").replace("angle_deg: 15", "angle_deg: -65")
    text = text.replace("row: 0", "row: 5").replace("style: all", "styles: all") + "rider:\n  height_cm: 178\n"
    faults = faults_of(text)
    fields = [fault.split(": ")[1] for fault in faults]
    assert fields == [
        "rider.styles",
        "board.waist_width_mm",
        "mount.front.angle_deg",
        "mount.front.row",
        "mount.back.row",
        "rider",
    ]
    lines = [int(fault.split(":")[1]) for fault in faults]
    assert lines == sorted(lines)
    assert lines[1] == line_of("waist_width_mm", text)


def test_nothing_is_written_beside_a_refused_sheet(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("schema: 1\nboard: {waist_width_mm: 25.4}\n", encoding="utf-8")
    with pytest.raises(SheetError):
        read_sheet(bad)
    assert [path.name for path in tmp_path.iterdir()] == ["bad.yaml"]


@pytest.mark.parametrize(
    ("text", "path", "value"),
    [
        ("rider: {height_cm: 5'10\"}", "rider.height_cm", 177.8),
        ("rider: {weight_kg: 168 lb}", "rider.weight_kg", 76.20351816),
        ("rider: {inseam_cm: 27.5 in}", "rider.inseam_cm", 69.85),
        ("boots: {size: eu 42}", "boots.size", "EU 42"),
        ("mount: {front: {angle_deg: +15°}}", "mount.front.angle_deg", 15.0),
        ("mount: {back: {angle_deg: -3}}", "mount.back.angle_deg", -3),
        ("mount: {back: {disc_flipped: yes}}", "mount.back.disc_flipped", True),
        ("bindings: {heelcup_steps: [-2, 2]}", "bindings.heelcup_steps", (-2, 2)),
        ("bindings: {base_height_mm: {toe: 14}}", "bindings.base_height_mm.toe", 14),
    ],
)
def test_metric_imperial_and_words_are_read_into_the_fields_own_unit(text: str, path: str, value: Any) -> None:
    sheet = parse_sheet(f"schema: 1\n{text}\n".encode(), "s.yaml")
    found = sheet.value(path)
    assert found == (pytest.approx(value) if isinstance(value, float) else value)


def test_a_leaf_in_object_form_keeps_where_it_came_from_and_its_spread() -> None:
    sheet = parse_sheet(
        b"schema: 1\nboots:\n  outsole_length_mm: {value: 11.9 in, from: measured, plus_minus: 0.1 in}\n", "s.yaml"
    )
    leaf = sheet.leaves["boots.outsole_length_mm"]
    assert (leaf.value, leaf.origin, leaf.line, leaf.words) == (pytest.approx(302.26), "measured", 3, "11.9 in")
    assert leaf.plus_minus == pytest.approx(2.54)


def test_blank_fields_and_sections_count_as_missing() -> None:
    sheet = parse_sheet(b"schema: 1\nrider:\n  height_cm:\nmount:\n", "s.yaml")
    assert not sheet.leaves


@pytest.mark.parametrize(
    ("path", "answer", "value"),
    [
        ("boots.outsole_length_mm", "11 7/8 in", 301.625),
        ("rider.style", "All mountain", "all_mountain"),
        ("mount.back.disc_flipped", "yes", True),
        ("mount.back.row", "-1", -1),
        ("boots.size", "mondo 27", "mondo 27.0"),
        ("mount.front.angle_deg", 18, 18),
    ],
)
def test_an_answer_in_words_becomes_the_fields_value(path: str, answer: str | float, value: Any) -> None:
    assert parse_value(path, answer) == value


def test_an_answer_that_does_not_fit_says_what_was_expected() -> None:
    with pytest.raises(SheetError, match="did you mean 254 mm"):
        parse_value("board.waist_width_mm", "25.4")
    with pytest.raises(SheetError, match=r"expected a number in mm, found 'dunno'; correct it"):
        parse_value("board.waist_width_mm", "dunno")
    with pytest.raises(SheetError, match="expected -60"):
        parse_value("mount.front.angle_deg", "-63°")
    with pytest.raises(UnknownName, match=r"board\.colour"):
        parse_value("board.colour", "red")


@pytest.mark.parametrize(
    ("text", "field"),
    [
        ("board: {insert_pattern: slot_track}\nmount: {front: {row: 1}}", "mount.front.row"),
        ("board: {insert_pattern: 4x4}\nmount: {back: {track_mm: 12}}", "mount.back.track_mm"),
        ("boots: {outsole_length_mm: 265}\nrider: {foot_length_mm: {left: 270}}", "boots.outsole_length_mm"),
    ],
)
def test_rows_and_tracks_exclude_each_other_and_a_boot_holds_its_foot(text: str, field: str) -> None:
    (fault,) = faults_of(f"schema: 1\n{text}\n")
    assert f" {field}: expected" in fault


@pytest.mark.parametrize(
    "text",
    [
        "board: {insert_pattern: slot_track}\nmount: {front: {row: 0, track_mm: 12}}",
        "mount: {front: {angle_deg: 17, row: 6, slot_mm: 9, heelcup: 4, lean_deg: 11, ladder_at: 30}}",
        "bindings: {notch_deg: 2.5}\nmount: {front: {angle_deg: 17.5}, back: {angle_deg: -7.5}}",
        "bindings: {lean_deg: {min: 3, step: 4}}\nmount: {front: {lean_deg: 11}}",
        "bindings: {slot_travel_mm: 5}\nmount: {front: {slot_mm: 5}, back: {slot_mm: -5}}",
    ],
)
def test_what_the_sheet_gives_no_reason_to_doubt_is_accepted(text: str) -> None:
    assert parse_sheet(f"schema: 1\n{text}\n".encode(), "s.yaml").leaves
