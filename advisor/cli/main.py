"""The command `advisor`: reads the arguments, hands over to one command, turns errors into words and exit codes."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from advisor import __version__
from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    import argparse

__all__ = ["entry_point", "run"]


def run(arguments: Sequence[str], around: Surroundings) -> int:
    """Run one command.

    Parameters
    ----------
    arguments
        Without the program's name.
    around
        Streams and settings.

    Returns
    -------
    int
        The exit code.

    """
    if list(arguments) == ["--version"]:
        around.say(f"advisor {__version__}")
        return Exit.DONE
    try:
        from advisor.cli.arguments import parser_for

        given = parser_for(arguments, around).parse_args(arguments)
    except SystemExit as stop:
        return int(stop.code or 0)
    around.plain = given.plain
    try:
        return _command(given, around)
    except AdvisorError as error:
        around.note(str(error))
        return Exit.BAD_INPUT
    except KeyboardInterrupt:
        around.note("interrupted")
        return Exit.INTERRUPTED
    except (BrokenPipeError, SystemExit):
        raise
    except Exception as error:
        return _broken(error, around)


def _broken(error: Exception, around: Surroundings) -> int:
    """Say that the advisor itself is at fault; the details only for those who ask for them."""
    if around.environ.get("ADVISOR_DEBUG"):
        raise error
    from advisor.sheet.plain_text import clean

    around.note(
        f"The advisor itself is at fault here ({type(error).__name__}: {clean(str(error), 200)}). Nothing was written. "
        "Set ADVISOR_DEBUG=1 and run it again to see where, and report that."
    )
    return Exit.BROKEN


def _command(given: argparse.Namespace, around: Surroundings) -> int:
    name = given.command
    if name is None:
        from advisor.cli.chat import chat

        return chat(given, around)
    if name in {"measure", "advise", "try"}:
        from advisor.cli import on_sheet

        command = {"measure": on_sheet.measure, "advise": on_sheet.advise, "try": on_sheet.try_changes}[name]
        return command(given, around)
    if name == "match":
        from advisor.cli.matching import match

        return match(given, around)
    if name == "trees":
        from advisor.cli.knowledge import prove

        return prove(given, around)
    if name == "cases":
        from advisor.cli.cases import cases

        return cases(given, around)
    if name == "slip":
        from advisor.cli.slip import slip

        return slip(given, around)
    if name == "rehearse":
        from advisor.cli.rehearsing import rehearse

        return rehearse(given, around)
    if name == "drill":
        from advisor.cli.drilling import drill

        return drill(given, around)
    if name == "book":
        from advisor.cli.booking import write_book

        return write_book(given, around)
    from advisor.cli.replaying import replay_command

    return replay_command(given, around)


def entry_point() -> None:
    """Run the command line and end the process; a reader that went away ends it quietly."""
    around = Surroundings()
    try:
        code = run(sys.argv[1:], around)
        around.stdout.flush()
    except BrokenPipeError:
        import os

        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        code = Exit.NO
    sys.exit(code)
