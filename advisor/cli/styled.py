"""The text model on a terminal, through rich: bold headings, tables, colour only as a second sign."""

from __future__ import annotations

from advisor.cli.plain import plain_lines
from advisor.cli.surroundings import Surroundings
from advisor.explain.text import Drawing, Heading, Points, Say, Table, Text

__all__ = ["show"]


def show(text: Text, around: Surroundings) -> None:
    """Write a text to stdout, styled where the terminal allows it."""
    if not around.styled:
        for line in plain_lines(text, around.width):
            around.say(line)
        return
    from rich.console import Console
    from rich.padding import Padding
    from rich.table import Table as RichTable
    from rich.text import Text as RichText

    console = Console(
        file=around.stdout, width=around.width, no_color=not around.coloured, highlight=False, emoji=False, markup=False
    )
    for place, block in enumerate(text):
        if isinstance(block, Heading):
            console.print(("\n" if place else "") + "", end="")
            console.print(RichText(block.words, style="bold cyan" if around.coloured else "bold"))
        elif isinstance(block, Say):
            console.print(RichText(block.words))
        elif isinstance(block, Points):
            for number, item in enumerate(block.items, start=1):
                grid = RichTable.grid(padding=(0, 1, 0, 0))
                grid.add_column(no_wrap=True)
                grid.add_column()
                grid.add_row(f"{number}." if block.numbered else "•", RichText(item))
                console.print(Padding(grid, (0, 0, 0, 1)))
        elif isinstance(block, Table):
            console.print(_rich_table(block))
        else:
            assert isinstance(block, Drawing)
            for line in block.lines:
                console.print(RichText(line), no_wrap=True, overflow="crop", crop=False)


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
