"""Options that several commands share."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse


def add_over(parser: argparse.ArgumentParser) -> None:
    """Add the option that lets a command write over a file of its own kind."""
    parser.add_argument("--over", action="store_true", help="replace the file where there is one of the same kind")
