"""The command `advisor book`: the whole knowledge as one HTML page."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.options import add_over
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.written_files import HTML, write_whole

if TYPE_CHECKING:
    import argparse


def add_book(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("--to", metavar="FILE.html", help="write the page there; by default to stdout")
    add_over(parser)


def write_book(given: argparse.Namespace, around: Surroundings) -> int:
    """Write the book."""
    from advisor.graph.knowledge import load_knowledge
    from advisor.workshop.training.book import book

    if given.to and Path(given.to).suffix.lower() not in {".html", ".htm"}:
        raise AdvisorError(f"--to {given.to}: expected a file that ends in .html")
    if given.json and not given.to:
        raise AdvisorError("--json goes with --to: it tells what was written, and the page goes into the file")
    page = book(load_knowledge(around.trees))
    if not given.to:
        around.say(page.rstrip("\n"))
        return Exit.DONE
    write_whole(Path(given.to), (page,), over=given.over, heads=HTML, private=False)
    if given.json:
        from advisor.cli.as_json import dumps
        from advisor.sheet.sheet import SCHEMA

        around.say(dumps({"schema": SCHEMA, "file": given.to, "bytes": len(page.encode())}))
    around.note(f"{given.to} written, {len(page) / 1e6:.1f} MB")
    return Exit.DONE
