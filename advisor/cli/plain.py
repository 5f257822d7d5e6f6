"""The text model as plain lines: for pipes, logs, screen readers and recordings."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from advisor.explain.text import Block, Drawing, Heading, Points, Say, Table, Text

_GAP = 2
_LEAST_COLUMN = 8
_MOST_SQUEEZED = 3


def plain_lines(text: Text, width: int = 80) -> list[str]:
    """Return the lines of a text, none wider than `width` (but for drawings, which keep their own)."""
    lines: list[str] = []
    before: Block | None = None
    for block in text:
        made = list(_block(block, width))
        if lines and made and not isinstance(before, Heading) and not (isinstance(block, Points) and lines[-1]):
            lines.append("")
        lines += made
        before = block
    return [line.rstrip() for line in lines]


def _block(block: Block, width: int) -> Iterator[str]:
    if isinstance(block, Heading):
        yield from textwrap.wrap(block.words.upper() if len(block.words) < 30 else block.words, width)
    elif isinstance(block, Say):
        for paragraph in block.words.splitlines():
            yield from textwrap.wrap(paragraph, width) or [""]
    elif isinstance(block, Points):
        for number, item in enumerate(block.items, start=1):
            mark = f"{number}. " if block.numbered else "- "
            yield from textwrap.wrap(item, width, initial_indent=mark, subsequent_indent=" " * len(mark))
    elif isinstance(block, Table):
        told = records(block, width)
        yield from _block(told, width) if told else _table(block, width)
    else:
        assert isinstance(block, Drawing)
        yield from block.lines


def records(table: Table, width: int) -> Points | None:
    """Return a table that is too wide for the page as one item a row, each value under its column's name.

    Three columns or fewer are squeezed instead.
    """
    sizes = [max(len(row[i]) for row in (table.columns, *table.rows)) for i in range(len(table.columns))]
    if len(sizes) <= _MOST_SQUEEZED or sum(sizes) + _GAP * (len(sizes) - 1) <= width:
        return None
    return Points(
        tuple(
            f"{row[0]}: "
            + ", ".join(f"{name} {cell}" for name, cell in zip(table.columns[1:], row[1:], strict=True) if cell)
            for row in table.rows
        )
    )


def _table(table: Table, width: int) -> Iterator[str]:
    rows = [table.columns, *table.rows]
    sizes = [max(len(row[i]) for row in rows) for i in range(len(table.columns))]
    while sum(sizes) + _GAP * (len(sizes) - 1) > width and max(sizes) > _LEAST_COLUMN:
        widest = max(range(len(sizes)), key=lambda i: (sizes[i], i))
        sizes[widest] -= 1
    for place, row in enumerate(rows):
        cells = [textwrap.wrap(cell, size) or [""] for cell, size in zip(row, sizes, strict=True)]
        for line in range(max(len(cell) for cell in cells)):
            parts = []
            for i, (cell, size) in enumerate(zip(cells, sizes, strict=True)):
                piece = cell[line] if line < len(cell) else ""
                parts.append(piece.rjust(size) if i in table.right else piece.ljust(size))
            yield (" " * _GAP).join(parts)
        if place == 0:
            yield (" " * _GAP).join("-" * size for size in sizes)
