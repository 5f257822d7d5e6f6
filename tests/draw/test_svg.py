"""The SVG: well formed, inside its page, grey, with text that stays text, and to the stated scale."""

from __future__ import annotations

import re
from dataclasses import replace
from math import nan
from xml.etree import ElementTree

import pytest

from advisor.draw import from_above, in_section
from advisor.draw.svg import render

SVG = "{http://www.w3.org/2000/svg}"


def scenes(setup):
    after = setup.copy()
    after.front.slot_mm, after.front.angle_deg, after.back.row = 4, 24, 1
    wide = setup.copy()
    wide.board.waist_width_mm, wide.front.angle_deg, wide.back.angle_deg = 300, -42, 60
    broken = setup.copy()
    broken.boots.outsole_length_mm = nan
    yield from_above(setup)
    yield from_above(setup, after)
    yield from_above(setup, wide, "right")
    yield from_above(broken)
    for edge in ("toe", "heel"):
        yield in_section(setup, "back", edge)
        yield in_section(wide, "front", edge)


def spots(root):
    """Every coordinate that is drawn; a letter counts as 0.53 of its size (measured mean in DejaVu Sans: 0.51)."""
    for one in root.iter():
        if one.get("points"):
            yield from (tuple(map(float, pair.split(","))) for pair in one.get("points").split())
        elif one.tag == f"{SVG}circle":
            x, y, r = (float(one.get(name)) for name in ("cx", "cy", "r"))
            yield from ((x - r, y - r), (x + r, y + r))
        elif one.tag == f"{SVG}rect":
            x, y, w, h = (float(one.get(name)) for name in ("x", "y", "width", "height"))
            yield from ((x, y), (x + w, y + h))
        elif one.tag == f"{SVG}text":
            x, y, size = (float(one.get(name)) for name in ("x", "y", "font-size"))
            long = len(one.text) * size * 0.53
            start = x - {"start": 0, "middle": long / 2, "end": long}[one.get("text-anchor")]
            yield from ((start, y - size * 0.75), (start + long, y + size * 0.2))


@pytest.mark.parametrize("width", [100, 128, 180])
def test_every_drawing_is_well_formed_and_stays_inside_its_view_box(setup, width):
    for scene in scenes(setup):
        root = ElementTree.fromstring(render(scene, width))
        left, top, wide, high = map(float, root.get("viewBox").split())
        assert (left, top, wide) == (0, 0, width)
        assert root.get("width") == f"{width}mm" and float(root.get("height")[:-2]) == high
        for x, y in spots(root):
            assert -0.01 <= x <= wide + 0.01 and -0.01 <= y <= high + 0.01


def test_an_a5_page_holds_the_picture_from_above_and_one_section(setup):
    """A5 is 148 x 210 mm (ISO 216); 10 mm margins leave 128 x 190."""
    after = setup.copy()
    after.front.slot_mm = 4
    drawn = (render(from_above(setup, after), 128), render(in_section(setup, "back", "heel"), 100))
    assert sum(float(re.search(r'height="([\d.]+)mm"', one).group(1)) for one in drawn) <= 190


def test_only_greys_are_used(setup):
    for scene in scenes(setup):
        for colour in re.findall(r'(?:fill|stroke)="([^"]+)"', render(scene)):
            assert colour == "none" or re.fullmatch(r"#(.)\1\1|#(..)\2\2", colour)


def test_names_and_numbers_are_text(setup):
    words = [one.text for one in ElementTree.fromstring(render(from_above(setup))).iter(f"{SVG}text")]
    assert {"toe edge", "heel edge", "nose", "tail", "+12.3 mm", "+19.7 mm", "+16.5 mm", "+22.5 mm"} <= set(words)


def test_outside_text_is_escaped_and_stripped(setup):
    scene = replace(from_above(setup), title='<script>alert("1")</script> & \x1b[31m\x00')
    text = render(scene)
    root = ElementTree.fromstring(text)
    assert "<script>" not in text and "\x1b" not in text
    assert root.find(f"{SVG}title").text == '<script>alert("1")</script> & [31m'


def test_the_scale_bar_and_the_boots_have_the_same_scale(square):
    """The bar is 100 mm; a boot square across is 302 mm from tip to tip."""
    root = ElementTree.fromstring(render(from_above(square)))
    boxes = [
        [tuple(map(float, pair.split(","))) for pair in one.get("points").split()] for one in root.iter(f"{SVG}polygon")
    ]
    boot = max(y for _, y in boxes[0]) - min(y for _, y in boxes[0])
    bar = next(
        points
        for one in root.iter(f"{SVG}polyline")
        if len(points := [tuple(map(float, p.split(","))) for p in one.get("points").split()]) == 4
    )
    assert boot / (bar[2][0] - bar[1][0]) == pytest.approx(3.02, abs=0.01)


def test_overhang_bars_at_true_size_are_as_long_as_the_overhang(setup):
    """A ruler laid on the page reads what the numbers beside it say."""
    text = render(from_above(setup))
    assert "Overhang, true size" in text
    dark = [one for one in ElementTree.fromstring(text).iter(f"{SVG}rect") if one.get("fill") == "#444"]
    assert [float(one.get("width")) for one in dark] == pytest.approx([12.3, 19.7, 16.5, 22.45], abs=0.06)


def test_missing_numbers_are_said_in_the_drawings_place(setup):
    setup.boots.heel_width_mm = nan
    words = " ".join(one.text for one in ElementTree.fromstring(render(from_above(setup))).iter(f"{SVG}text"))
    assert words.endswith("not drawn: needs boots.heel_width_mm.")
