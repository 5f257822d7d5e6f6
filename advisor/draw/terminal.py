"""A scene as lines of text, to scale: braille dots for outlines, or plain ASCII that reads as well.

Boot, edge and overhang are told apart by their signs, never by colour.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from advisor.draw.bars import bar_lines
from advisor.draw.cells import TILT_COLUMNS, Signs, foot_rows, section_rows
from advisor.draw.raster import Raster
from advisor.draw.scene import Fall, Move, Panel, Scene
from advisor.draw.strip import strip_lines
from advisor.geometry.contact import NEVER_DEG
from advisor.geometry.workings import number

__all__ = ["render"]

_WIDEST = 120
_NARROWEST = 36
_SIDE_BY_SIDE = 60
_GUTTER = "    "
_STEP_MM = 0.5
_SECTION_COLUMNS = 61


def render(scene: Scene, width: int = 80, ascii_only: bool = False) -> list[str]:
    """Draw a scene as lines of text.

    Parameters
    ----------
    scene
        From `from_above` or `in_section`.
    width
        Columns to fill; no line is longer. Under 36 counts as 36 and over 120 as 120.
    ascii_only
        Whether to use the 95 plain signs alone.

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
    return [part.rstrip() for line in lines for part in _fitted(signs.text(line), width)]


def _fitted(line: str, width: int) -> list[str]:
    return [line] if len(line.rstrip()) <= width else textwrap.wrap(line, width, subsequent_indent="  ")


def _above(scene: Scene, width: int, signs: Signs) -> list[str]:
    abreast = width >= _SIDE_BY_SIDE
    column = (width - len(_GUTTER)) // 2 if abreast else width
    feet = [scene.panel("front"), scene.panel("back")]
    scale = max(_scale(panel, column) for panel in feet)
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


def _scale(panel: Panel, columns: int) -> float:
    """Return the least mm a column, in steps of 0.5, at which a panel fits."""
    left, _, right, _ = panel.page_box
    steps = 1
    while (right - left) / (steps * _STEP_MM) > columns:
        steps += 1
    return steps * _STEP_MM


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
    return "Moved: " + "; ".join(f"{m.side} {m.words}{_arrow(scene, m)}" for m in scene.moves) + "."


def _arrow(scene: Scene, move: Move) -> str:
    right, up = scene.panel(move.side).view.page(move.way)
    if not (right or up):
        return ""
    return f" {'→' if right > 0 else '←'}" if right else f" {'↑' if up > 0 else '↓'}"


def _section(scene: Scene, fall: Fall, width: int, signs: Signs) -> list[str]:
    panel = scene.panel("section")
    scale = _scale(panel, min(width - TILT_COLUMNS, _SECTION_COLUMNS))
    grid = Raster(panel, scale)
    lines = [
        f"{scene.title}. 1 column = {number(scale)} mm, 1 row = {number(2 * scale)} mm.",
        f"Board drawn flat, snow tilted. {signs.section_legend}",
        *section_rows(panel, grid, signs),
    ]
    if fall.contact_deg >= NEVER_DEG:
        lines.append("Contact: never; nothing hangs over this edge.")
    else:
        lines.append(
            f"Contact at {number(fall.contact_deg)}°: the {fall.part}, {number(fall.beyond_mm)} mm beyond the edge, "
            f"{number(fall.height_mm)} mm over the base."
        )
    word = "in hand" if fall.margin_deg >= 0 else "short: it drags first"
    lines.append(f"Needed {number(fall.needed_deg)}°: {number(abs(fall.margin_deg))}° {word}.")
    if fall.sink_mm > 0:
        lines.append(f"The edge stands {number(fall.sink_mm)} mm in the snow.")
    return lines
