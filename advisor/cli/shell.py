"""For the shell: completion of commands and options, and a man page, both made from the parser."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor import __version__
from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings

if TYPE_CHECKING:
    import argparse

_SHELLS = ("bash", "zsh", "tcsh")


def add_completion(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor completion`."""
    parser.add_argument("shell", choices=_SHELLS)


def completion(given: argparse.Namespace, around: Surroundings) -> int:
    """Write the shell's completion of this program to stdout."""
    import shtab

    around.stdout.write(shtab.complete(_whole_parser(around), shell=given.shell) + "\n")
    return Exit.DONE


def add_manual(_: argparse.ArgumentParser) -> None:
    """Add nothing: `advisor manual` takes no arguments."""


def manual(_: argparse.Namespace, around: Surroundings) -> int:
    """Write the man page to stdout: `advisor manual | man -l -`."""
    from argparse_manpage.manpage import Manpage

    page = Manpage(_whole_parser(around))
    page.source, page.manual = f"advisor {__version__}", "Snowboard binding set-up"
    around.stdout.write(f"{page}\n")
    return Exit.DONE


def _whole_parser(around: Surroundings) -> argparse.ArgumentParser:
    """Return the parser with the arguments of every command."""
    from advisor.cli.arguments import COMMANDS, parser_for

    return parser_for(tuple(COMMANDS), around)
