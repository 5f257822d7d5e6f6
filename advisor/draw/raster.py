"""A panel as sub-pixels of terminal cells: 2 across and 4 down in each cell, which makes them square.

A mask is a list of whole numbers, one a row of sub-pixels from the top; bit i is the i-th sub-pixel from the left.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil, floor, hypot

from advisor.draw.scene import Panel, Point

Mask = list[int]


class Raster:
    """The grid that a panel is painted on.

    Parameters
    ----------
    panel
        The panel.
    column_mm
        Width of one column [mm]; a row is twice that, as a terminal's cell is about twice as high as wide.

    """

    def __init__(self, panel: Panel, column_mm: float) -> None:
        left, bottom, right, top = panel.page_box
        self.dot_mm = column_mm / 2
        self.columns = max(1, ceil((right - left) / column_mm - 1e-9))
        self.rows = max(1, ceil((top - bottom) / (2 * column_mm) - 1e-9))
        self.wide, self.high = 2 * self.columns, 4 * self.rows
        self._left = (left + right) / 2 - self.wide * self.dot_mm / 2
        self._top = (top + bottom) / 2 + self.high * self.dot_mm / 2
        self._view = panel.view

    def empty(self) -> Mask:
        """Return a mask with nothing set."""
        return [0] * self.high

    def dots(self, point: Point) -> tuple[float, float]:
        """Return a point of the panel's frame as (across, down) in sub-pixels from the top left, unrounded."""
        right, up = self._view.page(point)
        return ((right - self._left) / self.dot_mm, (self._top - up) / self.dot_mm)

    def cell(self, point: Point) -> tuple[int, int]:
        """Return the (row, column) of the cell that holds a point; may lie outside the grid."""
        across, down = self.dots(point)
        return (floor(down / 4), floor(across / 2))

    def fill(self, points: Sequence[Point]) -> Mask:
        """Return the mask of a closed outline: every sub-pixel whose middle lies inside (even-odd rule)."""
        corners = [self.dots(point) for point in points]
        mask = self.empty()
        for row in range(self.high):
            level = row + 0.5
            crossings = []
            for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True):
                if (y1 <= level) != (y2 <= level):
                    crossings.append(x1 + (level - y1) * (x2 - x1) / (y2 - y1))
            crossings.sort()
            for start, end in zip(crossings[::2], crossings[1::2], strict=True):
                first, last = max(0, ceil(start - 0.5)), min(self.wide, ceil(end - 0.5))
                if last > first:
                    mask[row] |= (1 << last) - (1 << first)
        return mask

    def trace(self, points: Sequence[Point]) -> Mask:
        """Return the mask of an open line, one sub-pixel wide."""
        mask = self.empty()
        spots = [self.dots(point) for point in points]
        for (x1, y1), (x2, y2) in pairwise(spots):
            steps = max(1, ceil(hypot(x2 - x1, y2 - y1) * 2))
            for step in range(steps + 1):
                self._set(mask, x1 + (x2 - x1) * step / steps, y1 + (y2 - y1) * step / steps)
        return mask

    def _set(self, mask: Mask, across: float, down: float) -> None:
        column, row = floor(across), floor(down)
        if 0 <= row < self.high and 0 <= column < self.wide:
            mask[row] |= 1 << column

    def crossing(self, points: Sequence[Point], row: int) -> int | None:
        """Return the column in which an open line crosses the middle of a row of cells, `None` where it does not."""
        level = 4 * row + 2
        for (x1, y1), (x2, y2) in pairwise(self.dots(point) for point in points):
            if (y1 <= level) != (y2 <= level):
                return floor((x1 + (level - y1) * (x2 - x1) / (y2 - y1)) / 2)
        return None

    def count(self, mask: Mask, row: int, column: int) -> int:
        """Return how many of a cell's 8 sub-pixels are set."""
        return sum(((line >> (2 * column)) & 3).bit_count() for line in mask[4 * row : 4 * row + 4])

    def braille(self, mask: Mask, row: int, column: int) -> str:
        """Return a cell's sub-pixels as one braille character, a space where none is set."""
        bits = 0
        for line, (left, right) in zip(mask[4 * row : 4 * row + 4], _BRAILLE, strict=True):
            pair = (line >> (2 * column)) & 3
            bits |= (left if pair & 1 else 0) | (right if pair & 2 else 0)
        return chr(0x2800 + bits) if bits else " "


_BRAILLE = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))


def outline_of(mask: Mask) -> Mask:
    """Return the rim of a mask: set sub-pixels with one unset beside, above or below."""
    padded = [0, *mask, 0]
    return [
        line & ~(line << 1 & line >> 1 & above & below)
        for above, line, below in zip(padded, mask, padded[2:], strict=False)
    ]


def dotted(mask: Mask) -> Mask:
    """Return every other sub-pixel of a mask, in a chequer."""
    return [line & (0x5555_5555_5555_5555_5555_5555_5555_5555 << (row % 2)) for row, line in enumerate(mask)]


def union(masks: Iterable[Mask]) -> Mask:
    """Return the sub-pixels set in any of the masks of one grid."""
    total: Mask = []
    for mask in masks:
        total = [a | b for a, b in zip(total, mask, strict=True)] if total else list(mask)
    return total
