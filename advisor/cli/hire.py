"""The command `advisor hire`: a list of riders to settings, as a table, as labels to print, or as JSON."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.ordinary_files import read_ordinary
from advisor.plain_text import clean

if TYPE_CHECKING:
    import argparse

    from advisor.intake.hire_settings import HireSettings
    from advisor.shelf.items import Item

_MOST_BYTES = 50_000_000
_MOST_PROCESSES = 8


def add_hire(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor hire`."""
    from advisor.cli.options import add_over

    words = "a spreadsheet (CSV): height and shoe size, and name, weight, style, foot forward where known"
    parser.add_argument("list_file", metavar="LIST.csv", help=words)
    parser.add_argument("--to", metavar="FILE.html", help="write labels to print")
    add_over(parser)


def hire(given: argparse.Namespace, around: Surroundings) -> int:
    """Work out the settings of every rider on a list."""
    from advisor.intake.hire_list import read_list
    from advisor.intake.hire_settings import as_mapping, settings_for_all

    riders = read_list(_text(given.list_file), clean(given.list_file, 200))
    made = settings_for_all(riders, _fleet(around), min(os.cpu_count() or 1, _MOST_PROCESSES), around.trees)
    if given.to:
        from advisor.intake.hire_page import labels_page
        from advisor.written_files import HTML, write_whole

        write_whole(Path(given.to), labels_page(made), over=given.over, heads=HTML)
    if given.json:
        from advisor.cli.as_json import dumps

        around.say(dumps({"schema": 1, "riders": [as_mapping(one) for one in made]}))
    else:
        _table(made, around)
        if given.to:
            around.say(f"Labels: {clean(given.to, 200)}")
    return Exit.DONE


def _text(name: str) -> str:
    path = Path(name)
    try:
        if path.is_file() and path.stat().st_size > _MOST_BYTES:
            raise AdvisorError(f"{clean(name, 200)}: expected a list of riders, found a file far too large for one")
        data = read_ordinary(path, _MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        told = getattr(error, "strerror", error)
        raise AdvisorError(f"{clean(name, 200)}: cannot be read ({told}); check the file's name and place") from None
    if b"\x00" in data:
        raise AdvisorError(
            f"{clean(name, 200)}: expected a spreadsheet saved as CSV, found binary data; save it as CSV"
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def _fleet(around: Surroundings) -> list[Item]:
    """Return the boards for hire of the shop's shelf, none where it has no shelf."""
    from advisor.shop_folder import shelf_folder

    if not shelf_folder(around.environ).is_dir():
        return []
    from advisor.shelf.store import Shelf

    with Shelf(around.environ) as shelf:
        return list(shelf.every("board", fleet=True))


def _table(made: list[HireSettings], around: Surroundings) -> None:
    from advisor.intake.hire_page import label_lines

    wide = max((len(one.rider.name) for one in made), default=0)
    for one in made:
        angles, width, rows, lean, sole, board = label_lines(one)
        around.say(f"{one.rider.name:{min(wide, 24)}}  {angles}; {width}; {lean}")
        for line in (f"{rows}; {sole}", board, *(f"? {doubt}" for doubt in one.doubts)):
            around.say(f"{'':{min(wide, 24)}}  {line}")
