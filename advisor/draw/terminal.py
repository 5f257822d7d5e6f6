"""A scene as lines of text, to scale: braille dots for outlines, or plain ASCII that reads as well.

Boot, edge and overhang are told apart by their signs, never by colour.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from math import ceil

from advisor.draw.bars import bar_lines
from advisor.draw.cells import TILT_COLUMNS, Signs, foot_rows, section_rows
from advisor.draw.raster import Raster
from advisor.draw.scene import Fall, Panel, Scene, arrow
from advisor.draw.strip import strip_lines
from advisor.geometry.workings import number
from advisor.sheet.units import FACTORS, UnitSystem

_INCH_MM = FACTORS["mm"]["in"]
_LENGTH = re.compile(r"( *)([+-]?\d+(?:\.\d+)?) mm\b( {4,})?")
_WIDEST = 120
_NARROWEST = 36
_SIDE_BY_SIDE = 60
_GUTTER = "    "
_STEP_MM = 0.5
_SECTION_COLUMNS = 61
_SECTION_ROWS = 20
_FOOT_ROWS = 11  # keeps before and after within a screen of 24 lines ...
_FOOT_ROWS_WIDE = 22  # ... and of 40
_WIDE = 100


def render(scene: Scene, width: int = 80, ascii_only: bool = False, units: UnitSystem = "metric") -> list[str]:
    """Draw a scene as lines of text.

    Parameters
    ----------
    scene
        From `from_above` or `in_section`.
    width
        Columns to fill; no line is longer. Under 36 counts as 36 and over 120 as 120.
    ascii_only
        Whether to use the 95 plain signs alone.
    units
        Units of the lengths that are told.

    Returns
    -------
    list of str
        Lines without line ends, colours or control characters.

    """
    width = max(_NARROWEST, min(width, _WIDEST))
    signs = Signs(ascii_only)
    if scene.needs:
        lines = [scene.not_drawn]
    elif scene.fall:
        lines = _section(scene, scene.fall, width, signs)
    else:
        lines = _above(scene, width, signs)
    if units == "imperial":
        lines = [_LENGTH.sub(_in_inches, line) for line in lines]
    return [part.rstrip() for line in lines for part in _fitted(signs.text(line), width)]


def _in_inches(found: re.Match[str]) -> str:
    """Return a length in inches; where blanks stand beside it, what follows keeps its column."""
    before, number_mm, after = found[1], found[2], found[3] or ""
    sign = "+" if number_mm.startswith("+") else ""
    told = f"{float(number_mm) / _INCH_MM:{sign}.2f} in"
    longer = len(told) - len(f"{number_mm} mm")
    if len(before) > 1:
        before = before[longer:] if longer > 0 else before + " " * -longer
    elif after:
        after = after[longer:] if longer > 0 else after + " " * -longer
    return before + told + after


def _fitted(line: str, width: int) -> list[str]:
    return [line] if len(line.rstrip()) <= width else textwrap.wrap(line, width, subsequent_indent="  ")


def _above(scene: Scene, width: int, signs: Signs) -> list[str]:
    abreast = width >= _SIDE_BY_SIDE
    column = (width - len(_GUTTER)) // 2 if abreast else width
    feet = [scene.panel("front"), scene.panel("back")]
    rows = _FOOT_ROWS_WIDE if width >= _WIDE else _FOOT_ROWS
    scale = max(_scale(panel, column, rows) for panel in feet)
    blocks = [_foot_block(scene, panel, scale, column, signs) for panel in feet]
    lines = [f"{scene.title}, nose up. 1 column = {number(scale)} mm, 1 row = {number(2 * scale)} mm."]
    lines.append(signs.legend(scene.compared))
    lines += _beside(blocks, column) if abreast else [line for block in blocks for line in block]
    bars = [bar_lines(scene, panel.name, column, signs) for panel in feet]
    lines += _beside(bars, column) if abreast else [line for block in bars for line in block]
    lines += strip_lines(scene, width)
    if scene.compared:
        lines.append(_moved(scene))
    return lines


def _scale(panel: Panel, columns: int, rows: int) -> float:
    """Return the least mm a column, in steps of 0.5, at which a panel fits."""
    left, bottom, right, top = panel.page_box
    least = max((right - left) / columns, (top - bottom) / (2 * rows))
    return max(1, ceil(least / _STEP_MM - 1e-9)) * _STEP_MM


def _foot_block(scene: Scene, panel: Panel, scale: float, columns: int, signs: Signs) -> list[str]:
    grid = Raster(panel, scale)
    left, right = ("heel edge", "toe edge") if scene.leading == "left" else ("toe edge", "heel edge")
    head = left + right.rjust(grid.columns - len(left))
    return [signs.text(panel.title)[:columns], head, *foot_rows(panel, grid, signs)]


def _beside(blocks: Sequence[Sequence[str]], column: int) -> list[str]:
    rows = max(len(block) for block in blocks)
    filled = [[*block, *([""] * (rows - len(block)))] for block in blocks]
    return [_GUTTER.join(part.ljust(column) for part in parts) for parts in zip(*filled, strict=True)]


def _moved(scene: Scene) -> str:
    if not scene.moves:
        return "Moved: nothing."
    return (
        "Moved: " + "; ".join(f"{m.side} {m.words}{arrow(scene.panel(m.side).view, m.way)}" for m in scene.moves) + "."
    )


def _section(scene: Scene, fall: Fall, width: int, signs: Signs) -> list[str]:
    panel = scene.panel("section")
    scale = _scale(panel, min(width - TILT_COLUMNS, _SECTION_COLUMNS), _SECTION_ROWS)
    grid = Raster(panel, scale)
    return [
        f"{scene.title}. 1 column = {number(scale)} mm, 1 row = {number(2 * scale)} mm.",
        f"Board drawn flat, snow tilted. {signs.section_legend}",
        *section_rows(panel, grid, signs),
        *fall.sentences(),
    ]
