"""The same scenes as small pictures for a slip: drawing, scale bar and the few words that must stand in them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from advisor.draw.paper import Pen
from advisor.draw.scene import Panel, Scene
from advisor.draw.svg import Laid, paint_boards_and_boots, paint_mark
from advisor.geometry.contact import NEVER_DEG
from advisor.geometry.workings import number
from advisor.sheet.units import FACTORS, UnitSystem

_TEXT_MM = 2.7
_EMS = 0.56
_BAR_ROOM_MM = 4.5
_END_MM = 1.8
_TITLE_MM = 3.8
_GAP_MM = 4.0
_INCH_MM = FACTORS["mm"]["in"]
_GREYS = {"sole": "#f2f2f2", "part": "#ccc", "board": "#888"}
_STROKES = {"contact": (0.45, ""), "needed": (0.45, "1.4 0.9"), "base": (0.2, "0.6 0.6"), "angle": (0.2, "")}


def small_above(pen: Pen, scene: Scene, units: UnitSystem = "metric") -> None:
    """Draw the board across both bindings over the pen's whole width, with its overhangs and a scale bar."""
    panel = scene.panel("whole")
    left, _, right, _ = panel.page_box
    scale = pen.width_mm / (right - left)
    laid = Laid(panel, scale, 0.0, pen.down)
    paint_boards_and_boots(pen, panel, laid)
    for mark in panel.marks:
        paint_mark(pen, mark, laid)
    for label in panel.labels:
        words = _in_units(label.text, units)
        x, y = laid.at(label.at)
        half = len(words) * _TEXT_MM * _EMS / 2 + _END_MM
        pen.text(words, (max(half, min(x, pen.width_mm - half)), y + _TEXT_MM / 3), _TEXT_MM, "middle")
    pen.down += laid.height_mm
    _scale_bar(pen, 0.5, scale, 100, units)
    words = "dark: hangs over" + ("; dashed: before" if scene.compared else "")
    pen.text(words, (pen.width_mm - 0.5, pen.down - 1.2), _TEXT_MM, "end")


def small_sections(
    pen: Pen, named: Sequence[tuple[str, Scene]], units: UnitSystem = "metric", tallest_mm: float = 30.0
) -> None:
    """Draw sections side by side at one scale, their boards on one line, and move the pen below them.

    Parameters
    ----------
    pen
        Draws.
    named
        Titles and scenes from `in_section`, each with a panel.
    units
        Units of the scale bar.
    tallest_mm
        How tall the drawing itself may become [mm].

    """
    panels = [scene.panel("section") for _, scene in named]
    column = (pen.width_mm - _GAP_MM) / 2
    wide = max(panel.page_box[2] - panel.page_box[0] for panel in panels)
    low, high = min(panel.page_box[1] for panel in panels), max(panel.page_box[3] for panel in panels)
    scale = min(column / wide, tallest_mm / (high - low))
    # One picture alone has its words beside it.
    alone = len(named) == 1
    top = pen.down if alone else pen.down + 3 * _TITLE_MM
    for place, (title, scene) in enumerate(named):
        left = place * (column + _GAP_MM)
        panel = panels[place]
        _section(pen, panel, Laid(panel, scale, left, top + (high - panel.page_box[3]) * scale))
        for row, words in enumerate((title, *_tilts_told(scene))):
            at = (left + alone * (column + _GAP_MM), pen.down + row * _TITLE_MM + _TEXT_MM)
            pen.text(words, at, _TEXT_MM)
    pen.down = top + (high - low) * scale
    _scale_bar(pen, 0.5, scale, 20, units)
    pen.text(
        "solid: snow at contact; dashed: at the needed tilt", (pen.width_mm - 0.5, pen.down - 1.2), _TEXT_MM, "end"
    )


def _section(pen: Pen, panel: Panel, laid: Laid) -> None:
    for kind, grey in _GREYS.items():
        for outline in (one for one in panel.outlines if one.kind == kind):
            pen.shape(laid.all(outline.points), fill=grey, stroke="#000", stroke_width=0.22)
    for line in panel.lines:
        width, dashes = _STROKES[line.kind]
        pen.line(laid.all(line.points), stroke="#000", stroke_width=width, stroke_dasharray=dashes)
    for mark in panel.marks:
        paint_mark(pen, mark, laid, panel.view.right[0] < 0)


def _tilts_told(scene: Scene) -> tuple[str, str]:
    """Return two short lines; one would run into the next picture."""
    fall = scene.fall
    assert fall is not None
    needed = f"needed {number(fall.needed_deg)}°"
    if fall.contact_deg >= NEVER_DEG:
        return f"nothing touches; {needed}", ""
    word = "in hand" if fall.margin_deg >= 0 else "short: it drags first"
    return f"contact {number(fall.contact_deg)}°, {needed}", f"{number(abs(fall.margin_deg))}° {word}"


def _in_units(words: str, units: UnitSystem) -> str:
    """Return a label such as `+12.5 → +19.5 mm` in the units asked for.

    Examples
    --------
    >>> _in_units("+12.5 → +19.5 mm", "imperial"), _in_units("nose", "imperial")
    ('+0.49 → +0.77 in', 'nose')

    """
    if units == "metric" or not words.endswith(" mm"):
        return words
    inches = re.sub(r"[+-]?\d+(?:\.\d+)?", lambda found: f"{float(found[0]) / _INCH_MM:+.2f}", words)
    return inches.removesuffix(" mm") + " in"


def _scale_bar(pen: Pen, left_mm: float, scale: float, length_mm: int, units: UnitSystem) -> None:
    name = f"{length_mm} mm"
    length = length_mm * scale
    if units == "imperial":
        inches = max(1, round(length_mm / _INCH_MM))
        name, length = f"{inches} in", inches * _INCH_MM * scale
    pen.down += _BAR_ROOM_MM
    y = pen.down - 1.6
    pen.line(
        [(left_mm, y - 1), (left_mm, y), (left_mm + length, y), (left_mm + length, y - 1)],
        stroke="#000",
        stroke_width=0.25,
    )
    pen.text(name, (left_mm + length + 1.5, y + 0.3), _TEXT_MM)
