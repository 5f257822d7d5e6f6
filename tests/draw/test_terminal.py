"""The terminal picture: to the stated scale, inside the asked width, and readable without colour."""

from __future__ import annotations

import re
import subprocess
import sys
import unicodedata
from dataclasses import replace
from math import inf, nan

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.draw import from_above, in_section
from advisor.draw.raster import Raster
from advisor.draw.terminal import render
from advisor.geometry.overhang import overhang_mm

few = settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
WIDTHS = (60, 61, 72, 79, 80, 81, 99, 100, 119, 120, 140)


def picture(lines):
    """The rows of both feet, between the edges' names and the bars."""
    first = next(i for i, line in enumerate(lines) if "heel edge" in line and "toe edge" in line) + 1
    return lines[first : next(i for i, line in enumerate(lines) if line.startswith("Overhang"))]


def stated(lines, what="1 column"):
    return float(re.search(rf"{what} = ([\d.]+) mm", " ".join(" ".join(lines).split())).group(1))


def changed(setup):
    after = setup.copy()
    after.front.slot_mm, after.front.angle_deg, after.back.row = 4, 24, 1
    return after


def scenes(setup):
    wide = setup.copy()
    wide.board.waist_width_mm, wide.front.angle_deg, wide.back.angle_deg = 300, -42, 60
    broken = setup.copy()
    broken.boots.outsole_length_mm = nan
    yield from_above(setup)
    yield from_above(setup, changed(setup))
    yield from_above(setup, wide, "right")
    yield from_above(broken)
    for edge in ("toe", "heel"):
        yield in_section(setup, "back", edge)
        yield in_section(wide, "front", edge)


@pytest.mark.parametrize("ascii_only", [True, False])
@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_is_wider_than_asked(setup, width, ascii_only):
    for scene in scenes(setup):
        for line in render(scene, width, ascii_only):
            assert len(line) <= min(width, 120)
            assert not any(unicodedata.east_asian_width(sign) in "WF" for sign in line)


def test_plain_ascii_when_asked_and_never_a_control_sign(setup):
    for scene in scenes(setup):
        assert all(" " <= sign <= "~" for line in render(scene, 80, ascii_only=True) for sign in line)
        assert not any(unicodedata.category(sign) == "Cc" for line in render(scene, 80) for sign in line)


def test_before_and_after_fit_a_screen_of_80_by_24(setup):
    slid = setup.copy()
    slid.front.slot_mm, slid.back.angle_deg = 4, -6
    for ascii_only in (True, False):
        assert len(render(from_above(setup, slid), 80, ascii_only)) <= 23
        assert len(render(from_above(setup, changed(setup)), 120, ascii_only)) <= 39
        for edge in ("toe", "heel"):
            assert len(render(in_section(setup, "back", edge), 80, ascii_only)) <= 24


@pytest.mark.parametrize("width", WIDTHS)
def test_the_scale_that_is_stated_is_the_scale_of_the_picture(square, width):
    """Read off the text: two holes of a row are 40 mm apart, the edges of this straight board 254 mm."""
    lines = render(from_above(square), width, ascii_only=True)
    scale = stated(lines)
    assert stated(lines, "1 row") == 2 * scale
    half = (min(width, 120) - 4) // 2
    rows = [line[:half] for line in picture(lines) if "o" in line[:half]]
    assert rows
    for line in rows:
        holes = [column for column, sign in enumerate(line) if sign == "o"]
        edges = [column for column, sign in enumerate(line) if sign == "|"]
        assert len(holes) == 2 and len(edges) == 2
        assert (holes[1] - holes[0]) * scale == pytest.approx(40, abs=scale)
        assert (edges[1] - edges[0]) * scale == pytest.approx(254, abs=scale)


@pytest.mark.parametrize("width", WIDTHS)
def test_the_overhang_shown_is_the_overhang_measured_to_a_column(square, width):
    """A boot set 12 mm toward its toes hangs over 36 mm at the toe and 12 mm at the heel (151 - 127 = 24)."""
    square.front.seat_mm = square.back.seat_mm = 12
    lines = render(from_above(square), width, ascii_only=True)
    scale = stated(lines)
    half = (min(width, 120) - 4) // 2
    rows = [line[:half] for line in picture(lines)]
    toe = max(len(re.search(r"\|(#*)\s*$", line).group(1)) for line in rows)
    heel = max(len(re.match(r" *(#*)\|", line).group(1)) for line in rows)
    assert toe * scale == pytest.approx(36, abs=scale)
    assert heel * scale == pytest.approx(12, abs=scale)


@given(angle=st.floats(-45, 45), slot=st.floats(-5, 5))
@few
def test_the_boots_furthest_sub_pixel_is_within_one_of_the_core(setup, angle, slot):
    """The cell of the drawn overhang's end against the core's own number, along the straight edge beside it."""
    setup.board.sidecut_radius_mm, setup.front.angle_deg, setup.front.slot_mm = 1e9, angle, slot
    panel = from_above(setup).panel("front")
    grid = Raster(panel, 9.0)
    boot = next(o for o in panel.outlines if o.kind == "boot")
    mask = grid.fill(boot.points)
    edge = grid.dots((panel.box[0], 127.0))[0]
    furthest = max(row.bit_length() for row in mask)
    over = overhang_mm(setup, setup.front, "toe")
    assert (furthest - edge) * grid.dot_mm == pytest.approx(over, abs=grid.dot_mm)


def test_a_slide_of_4_mm_shows_in_the_bars(setup):
    """The ends move 4 mm apart from the edges: two signs at 2 mm a column, and the numbers say it."""
    after = setup.copy()
    after.front.slot_mm = -4
    lines = render(from_above(setup, after), 80, ascii_only=True)
    bars = {" ".join(line.split()[:2]): line[:38] for line in lines if line.startswith(("toe ", "heel "))}
    for end, way in (("toe", -2), ("heel", 2)):
        assert bars[f"{end} after"].count("#") - bars[f"{end} before"].count("#") == way
    assert "+12.3 mm" in bars["toe before"] and "+8.3 mm" in bars["toe after"]
    assert "Moved: front binding 4 mm toward the heel edge <-." in lines


def test_boot_edge_overhang_and_the_boot_before_have_a_sign_each(setup):
    after = changed(setup)
    lines = render(from_above(setup, after), 100, ascii_only=True)
    assert set("".join(picture(lines))) == set(" |:#-+o")


def test_an_unchanged_set_up_shows_no_boot_before(setup):
    lines = render(from_above(setup, setup.copy()), 80, ascii_only=True)
    assert not any("-" in line for line in picture(lines))
    assert lines[-1] == "Moved: nothing."


def test_a_regular_rider_has_the_toe_edge_on_the_right_a_goofy_rider_on_the_left(setup):
    for leading, first in (("left", "heel edge"), ("right", "toe edge")):
        heads = [line for line in render(from_above(setup, None, leading), 80) if "heel edge" in line]
        assert heads[0].startswith(first)


def test_the_stance_line_moves_by_as_many_columns_as_the_binding(setup):
    after = setup.copy()
    after.front.row = 2  # 40 mm toward the nose
    lines = render(from_above(setup, after), 80, ascii_only=True)
    step = stated(lines, "Along the board, 1 column")
    before, later = (next(line for line in lines if line.startswith(name)) for name in ("before ", "after "))
    assert (before.index("F") - later.index("F")) * step == pytest.approx(40, abs=step)
    assert before.index("B") == later.index("B")
    assert (later.index("B") - later.index("F")) * step == pytest.approx(580, abs=step)


def test_the_section_marks_the_first_contact_and_says_both_tilts(setup):
    text = render(in_section(setup, "back", "heel"), 80, ascii_only=True)
    assert sum(line.count("X") for line in text[2:]) == 1
    assert any("contact 57.3 deg" in line for line in text) and any("needed 45 deg" in line for line in text)


def test_missing_numbers_give_a_sentence_and_no_picture(setup):
    setup.board.waist_width_mm = nan
    assert render(from_above(setup), 80) == [
        "From above (regular, left foot leads): not drawn: needs board.waist_width_mm."
    ]


PATHS = (
    "boots.outsole_length_mm", "boots.ball_width_mm", "boots.heel_width_mm", "boots.toe_rise_length_mm",
    "board.waist_width_mm", "board.sidecut_radius_mm", "board.row_pitch_mm", "board.rows_each_way",
    "board.thickness_mm", "board.reference_width_mm", "bindings.base_length_mm", "bindings.toe_ramp_mm",
    "front.angle_deg", "front.row", "back.slot_mm", "back.seat_mm", "ride.edge_sink_mm", "rider.tilt_deg",
)  # fmt: skip


@given(path=st.sampled_from(PATHS), value=st.sampled_from([nan, inf, -inf, 0.0, -1.0, -500.0, 1e-9, 1e5, 1e12]))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_no_number_however_odd_ends_in_an_exception(setup, path, value):
    odd = setup.copy()
    odd.put(path, value)
    for scene in (from_above(setup, odd), in_section(odd, "back", "heel"), in_section(odd, "front", "toe")):
        assert scene.needs or scene.panels
        assert all(len(line) <= 80 for line in render(scene, 80, ascii_only=True))


def test_words_from_outside_lose_their_control_signs(setup):
    scene = replace(from_above(setup), title="\x1b[31mred\u202e" + "x" * 400)
    text = render(scene, 80)
    assert "\x1b" not in "".join(text) and "\u202e" not in "".join(text)
    assert max(map(len, text)) <= 80


def test_drawing_loads_none_of_the_heavy_libraries():
    code = (
        "import sys; import advisor.draw, advisor.draw.terminal, advisor.draw.svg; "
        "print([m for m in ('pydantic', 'networkx', 'numpy', 'rich', 'prompt_toolkit', 'yaml') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("width", [48, 80, 110])
def test_in_inches_every_length_is_turned_and_every_column_stays(setup, width):
    after = setup.copy()
    after.front.slot_mm, after.front.angle_deg, after.back.row = 4, 24, 1
    for scene in (from_above(setup, after), in_section(setup, "back", "heel")):
        metric, inches = render(scene, width), render(scene, width, units="imperial")
        assert not re.search(r"\d mm\b", "\n".join(inches)) and max(map(len, inches)) <= width
        told = re.compile(r"([+-]?\d+(?:\.\d+)?)\s+(mm|in)\b")
        pairs = [told.findall(" ".join(" ".join(lines).split())) for lines in (metric, inches)]
        assert len(pairs[0]) == len(pairs[1]) > 0
        for (mm, _), (inch, unit) in zip(*pairs, strict=True):
            assert unit == "in" and abs(float(mm) / 25.4 - float(inch)) <= 0.0051  # the inch is 25.4 mm by definition
        # The same words begin in the same column of both.
        for word in ("Overhang", "toe before", "heel after"):
            columns = [
                [found.start() for line in lines for found in re.finditer(word, line)] for lines in (metric, inches)
            ]
            assert columns[0] == columns[1]
