"""The text model on a terminal, through rich: bold headings, tables, colour only as a second sign."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.cli.plain import plain_lines, records
from advisor.cli.surroundings import Surroundings
from advisor.explain.text import Block, Heading, Points, Say, Table, Text

if TYPE_CHECKING:
    from rich.console import Console


def show(text: Text, around: Surroundings) -> None:
    """Write a text to stdout, styled where the terminal allows it."""
    if not around.styled:
        for line in plain_lines(text, around.width):
            around.say(line)
        return
    from rich.console import Console
    from rich.text import Text as RichText

    console = Console(
        file=around.stdout, width=around.width, no_color=not around.coloured, highlight=False, emoji=False, markup=False
    )
    before: Block | None = None
    for block in text:
        told = (records(block, around.width) or block) if isinstance(block, Table) else block
        if before is not None and not isinstance(before, Heading) and not _belongs(before, told):
            console.print()
        if isinstance(told, Heading):
            console.print(RichText(told.words, style="bold cyan" if around.coloured else "bold"))
        elif isinstance(told, Say):
            console.print(RichText(told.words))
        elif isinstance(told, Points):
            _points(told, console)
        elif isinstance(told, Table):
            console.print(_rich_table(told))
        else:
            for line in told.lines:
                console.print(RichText(line), no_wrap=True, overflow="crop", crop=False)
        before = told


def _belongs(before: Block, told: Block) -> bool:
    """Return whether a block goes right under the one before, as a list under its sentence."""
    return isinstance(before, Say) and isinstance(told, Points)


def _points(points: Points, console: Console) -> None:
    from rich.padding import Padding
    from rich.table import Table as RichTable
    from rich.text import Text as RichText

    for number, item in enumerate(points.items, start=1):
        grid = RichTable.grid(padding=(0, 1, 0, 0))
        grid.add_column(no_wrap=True)
        grid.add_column()
        grid.add_row(f"{number}." if points.numbered else "•", RichText(item))
        console.print(Padding(grid, (0, 0, 0, 1)))


def _rich_table(table: Table) -> object:
    from rich import box
    from rich.table import Table as RichTable
    from rich.text import Text as RichText

    made = RichTable(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for place, name in enumerate(table.columns):
        made.add_column(name, justify="right" if place in table.right else "left", overflow="fold")
    for row in table.rows:
        made.add_row(*(RichText(cell) for cell in row))
    return made
