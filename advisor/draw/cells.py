"""Which sign stands in which cell of a terminal picture."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.draw.raster import Mask, Raster, dotted, outline_of, union
from advisor.draw.scene import Panel, Point
from advisor.plain_text import clean

_HALF_CELL = 4
_LONGEST = 1000
TILT_COLUMNS = 19
_SECTION_MARKS = {"part": "x", "first": "X"}
_ASCII = str.maketrans(
    {"°": " deg", "→": "->", "←": "<-", "↑": "^", "↓": "v", "±": "+/-", "²": "2", "–": "-", "…": "~"}
)


class Signs:
    """The signs of a picture, in plain ASCII or with braille and blocks.

    Parameters
    ----------
    ascii_only
        Whether plain ASCII must do.

    """

    def __init__(self, ascii_only: bool) -> None:
        self.ascii_only = ascii_only
        self.edge = "|" if ascii_only else "│"
        self.boot = ":" if ascii_only else "░"
        self.over = "#" if ascii_only else "█"
        self.was = "-"

    def text(self, words: str) -> str:
        """Return words as this terminal can show them, on one line and without control characters."""
        words = clean(words, _LONGEST)
        return words.translate(_ASCII).encode("ascii", "replace").decode() if self.ascii_only else words

    def legend(self, compared: bool) -> str:
        """Return what the signs of the picture from above mean."""
        if self.ascii_only:
            was = f"{self.was} boot before, " if compared else ""
            return f": boot, # overhang, {was}| edge, + binding, o insert"
        was = "dotted: boot before, " if compared else ""
        return f"Outline: boot, solid: overhang, {was}+ binding, o insert"

    @property
    def section_legend(self) -> str:
        """Return what the signs of the section mean."""
        if self.ascii_only:
            return "# board, = baseplate, : sole, X touches first"
        return "Speckled: baseplate, X touches first"

    def snow(self, kind: str) -> str:
        """Return a sample of a snow line."""
        if kind == "contact":
            return "**" if self.ascii_only else "⠤⠤"
        return ".." if self.ascii_only else "⠄⠄"


def foot_rows(panel: Panel, grid: Raster, signs: Signs) -> list[str]:
    """Return the rows of one foot from above."""
    board = union(grid.fill(o.points) for o in panel.outlines if o.kind == "board")
    boot = union(grid.fill(o.points) for o in panel.outlines if o.kind == "boot" and not o.earlier)
    was = union(grid.fill(o.points) for o in panel.outlines if o.kind == "boot" and o.earlier) or grid.empty()
    edge = union(grid.trace(line.points) for line in panel.lines if line.kind == "edge")
    over = [b & ~inside for b, inside in zip(boot, board, strict=True)]
    if signs.ascii_only:
        edges = [line.points for line in panel.lines if line.kind == "edge"]
        rows = _ascii_foot(grid, signs, boot, was, edges, over)
    else:
        shown = union([outline_of(boot), dotted(outline_of(was)), edge, over])
        rows = [[grid.braille(shown, row, column) for column in range(grid.columns)] for row in range(grid.rows)]
    for mark in sorted(panel.marks, key=lambda m: m.kind == "centre"):
        if not mark.earlier:
            row, column = grid.cell(mark.at)
            if 0 <= row < grid.rows and 0 <= column < grid.columns:
                rows[row][column] = "+" if mark.kind == "centre" else "o"
    return ["".join(row) for row in rows]


def _ascii_foot(
    grid: Raster, signs: Signs, boot: Mask, was: Mask, edges: Sequence[Sequence[Point]], over: Mask
) -> list[list[str]]:
    rows = []
    for row in range(grid.rows):
        edge = {grid.crossing(points, row) for points in edges}
        line = []
        for column in range(grid.columns):
            if column in edge:
                sign = signs.edge
            elif grid.count(over, row, column) >= _HALF_CELL:
                sign = signs.over
            elif grid.count(boot, row, column) >= _HALF_CELL:
                sign = signs.boot
            elif grid.count(was, row, column) >= _HALF_CELL:
                sign = signs.was
            else:
                sign = " "
            line.append(sign)
        rows.append(line)
    return rows


def section_rows(panel: Panel, grid: Raster, signs: Signs) -> list[str]:
    """Return the rows of a section."""
    board = union(grid.fill(o.points) for o in panel.outlines if o.kind == "board")
    sole = union(grid.fill(o.points) for o in panel.outlines if o.kind == "sole")
    parts = union(grid.fill(o.points) for o in panel.outlines if o.kind == "part") or grid.empty()
    contact = union(grid.trace(line.points) for line in panel.lines if line.kind == "contact") or grid.empty()
    needed = union(grid.trace(line.points) for line in panel.lines if line.kind == "needed")
    if signs.ascii_only:
        layers = ((contact, 1, "*"), (needed, 1, "."), (board, 3, "#"), (parts, 3, "="), (sole, 3, ":"))
        rows = [
            [
                next((sign for mask, least, sign in layers if grid.count(mask, row, column) >= least), " ")
                for column in range(grid.columns)
            ]
            for row in range(grid.rows)
        ]
    else:
        shown = union([board, outline_of(sole), dotted(parts), contact, dotted(needed)])
        rows = [[grid.braille(shown, row, column) for column in range(grid.columns)] for row in range(grid.rows)]
    for mark in panel.marks:
        row, column = grid.cell(mark.at)
        if mark.kind in _SECTION_MARKS and 0 <= row < grid.rows and 0 <= column < grid.columns:
            rows[row][column] = _SECTION_MARKS[mark.kind]
    return _with_tilts(panel, grid, ["".join(row) for row in rows], signs)


def _with_tilts(panel: Panel, grid: Raster, rows: list[str], signs: Signs) -> list[str]:
    """Write each snow line's tilt outside the picture, level with the line's upper end."""
    beside: dict[int, str] = {}
    for line, label in zip(
        (one for one in panel.lines if one.kind in {"contact", "needed"}), panel.labels, strict=True
    ):
        row = max(0, min(grid.cell(line.points[-1])[0], grid.rows - 1))
        while row in beside:
            row += 1
        beside[row] = signs.text(f"{signs.snow(line.kind)} {label.text}")
    if panel.view.right[0] < 0:
        return [f"{beside.get(row, ''):<{TILT_COLUMNS}}{line}" for row, line in enumerate(rows)]
    return [f"{line.ljust(grid.columns)}  {beside.get(row, '')}" for row, line in enumerate(rows)]
