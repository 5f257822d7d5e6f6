"""The same scenes as small pictures for a slip: drawing, scale bar and the few words that must stand in them."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.draw.paper import Pen
from advisor.draw.scene import Panel, Scene
from advisor.draw.svg import Laid, paint_boards_and_boots, paint_mark
from advisor.geometry.contact import NEVER_DEG
from advisor.geometry.workings import number

__all__ = ["small_above", "small_sections"]

_TEXT_MM = 2.7
_EMS = 0.56
_BAR_ROOM_MM = 4.5
_END_MM = 1.8
_TITLE_MM = 3.8
_GAP_MM = 4.0
_GREYS = {"sole": "#f2f2f2", "part": "#ccc", "board": "#888"}
_STROKES = {"contact": (0.45, ""), "needed": (0.45, "1.4 0.9"), "base": (0.2, "0.6 0.6"), "angle": (0.2, "")}


def small_above(pen: Pen, scene: Scene) -> None:
    """Draw the board across both bindings over the pen's whole width, with its overhangs and a scale bar."""
    panel = scene.panel("whole")
    left, _, right, _ = panel.page_box
    scale = pen.width_mm / (right - left)
    laid = Laid(panel, scale, 0.0, pen.down)
    paint_boards_and_boots(pen, panel, laid)
    for mark in panel.marks:
        paint_mark(pen, mark, laid)
    for label in panel.labels:
        x, y = laid.at(label.at)
        half = len(label.text) * _TEXT_MM * _EMS / 2 + _END_MM
        pen.text(label.text, (max(half, min(x, pen.width_mm - half)), y + _TEXT_MM / 3), _TEXT_MM, "middle")
    pen.down += laid.height_mm
    _scale_bar(pen, 0.5, scale, 100)
    words = "dark: hangs over" + ("; dashed: before" if scene.compared else "")
    pen.text(words, (pen.width_mm - 0.5, pen.down - 1.2), _TEXT_MM, "end")


def small_sections(pen: Pen, named: Sequence[tuple[str, Scene]], tallest_mm: float = 30.0) -> None:
    """Draw sections side by side at one scale, their boards on one line, and move the pen below them.

    Parameters
    ----------
    pen
        Draws.
    named
        Titles and scenes from `in_section`, each with a panel.
    tallest_mm
        How tall the drawing itself may become [mm].

    """
    panels = [scene.panel("section") for _, scene in named]
    column = (pen.width_mm - _GAP_MM) / 2
    wide = max(panel.page_box[2] - panel.page_box[0] for panel in panels)
    low, high = min(panel.page_box[1] for panel in panels), max(panel.page_box[3] for panel in panels)
    scale = min(column / wide, tallest_mm / (high - low))
    top = pen.down + 2 * _TITLE_MM
    for place, (title, scene) in enumerate(named):
        left = place * (column + _GAP_MM)
        pen.text(title, (left, pen.down + _TEXT_MM), _TEXT_MM)
        pen.text(_tilts_told(scene), (left, pen.down + _TITLE_MM + _TEXT_MM), _TEXT_MM)
        panel = panels[place]
        _section(pen, panel, Laid(panel, scale, left, top + (high - panel.page_box[3]) * scale))
    pen.down = top + (high - low) * scale
    _scale_bar(pen, 0.5, scale, 20)
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


def _tilts_told(scene: Scene) -> str:
    fall = scene.fall
    assert fall is not None
    needed = f"needed {number(fall.needed_deg)}°"
    if fall.contact_deg >= NEVER_DEG:
        return f"nothing touches; {needed}"
    word = "in hand" if fall.margin_deg >= 0 else "short"
    return f"contact {number(fall.contact_deg)}°, {needed}: {number(abs(fall.margin_deg))}° {word}"


def _scale_bar(pen: Pen, left_mm: float, scale: float, length_mm: int) -> None:
    pen.down += _BAR_ROOM_MM
    y, length = pen.down - 1.6, length_mm * scale
    pen.line(
        [(left_mm, y - 1), (left_mm, y), (left_mm + length, y), (left_mm + length, y - 1)],
        stroke="#000",
        stroke_width=0.25,
    )
    pen.text(f"{length_mm} mm", (left_mm + length + 1.5, y + 0.3), _TEXT_MM)
