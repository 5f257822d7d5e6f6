"""The command `advisor`: reads the arguments, hands over to one command, turns errors into words and exit codes."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from io import TextIOWrapper
from typing import TYPE_CHECKING

from advisor import __version__
from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    import argparse


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
    if given.shop:
        around.settle("ADVISOR_SHOP", given.shop)
    try:
        return _command(given, around)
    except AdvisorError as error:
        _tell_error(error, given.json, around)
        return Exit.BAD_INPUT
    except KeyboardInterrupt:
        around.note("interrupted")
        return Exit.INTERRUPTED
    except (BrokenPipeError, SystemExit):
        raise
    except Exception as error:
        return _broken(error, around)


def _tell_error(error: AdvisorError, as_json: bool, around: Surroundings) -> None:
    """Say what is wrong: for a program as JSON on stdout, for a person on stderr."""
    if as_json:
        import json

        from advisor.errors import SheetError

        faults = list(error.faults) if isinstance(error, SheetError) else [str(error)]
        # On one line, as every object of a conversation for a program is.
        around.say(json.dumps({"schema": 1, "error": type(error).__name__, "faults": faults}))
    around.note(str(error))


def _broken(error: Exception, around: Surroundings) -> int:
    """Say that the advisor itself is at fault; the details only for those who ask for them."""
    if around.environ.get("ADVISOR_DEBUG"):
        raise error
    from advisor.plain_text import clean

    around.note(
        f"The advisor itself is at fault here ({type(error).__name__}: {clean(str(error), 200)}). Nothing was written. "
        "Set ADVISOR_DEBUG=1 and run it again to see where, and report that."
    )
    return Exit.BROKEN


def _command(given: argparse.Namespace, around: Surroundings) -> int:
    from advisor.by_name import by_name
    from advisor.cli.arguments import COMMANDS

    run_it = COMMANDS[given.command].run if given.command else "advisor.cli.chat:chat"
    return int(by_name(run_it)(given, around))


def entry_point() -> None:
    """Run the command line and end the process; a reader that went away ends it quietly."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal of another encoding gets signs for what it can't show, and the conversation goes on.
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
    around = Surroundings()
    try:
        code = run(sys.argv[1:], around)
        around.stdout.flush()
    except BrokenPipeError:
        import os

        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        code = Exit.NO
    sys.exit(code)
