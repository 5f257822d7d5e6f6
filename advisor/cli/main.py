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


def _parser(around: Surroundings) -> argparse.ArgumentParser:
    import argparse

    class Parser(argparse.ArgumentParser):
        def _print_message(self, message: str, file: object = None) -> None:
            tell = around.note if file is sys.stderr else around.say
            tell(message.rstrip("\n"))

    def shared_options(plain: object, units: object) -> argparse.ArgumentParser:
        options = Parser(add_help=False)
        words = "no colour, no boxes, plain ASCII pictures"
        options.add_argument("--plain", action="store_true", default=plain, help=words)
        options.add_argument("--units", choices=("metric", "imperial"), default=units, help="units to show")
        return options

    # A command's own options must not undo those said before its name.
    shared = shared_options(argparse.SUPPRESS, argparse.SUPPRESS)
    as_json = Parser(add_help=False)
    as_json.add_argument("--json", action="store_true", help="one JSON object on stdout")

    parser: argparse.ArgumentParser = Parser(
        prog="advisor",
        description="Advice for the snowboard technician at the counter: which adjustment, by how much, and why.",
        epilog="example: advisor --sheet transcripts_demo/larchfall_heel.yaml",
        parents=[shared_options(False, "metric")],
    )
    parser.add_argument("--version", action="version", version=f"advisor {__version__}")
    parser.add_argument("--sheet", metavar="FILE", help="the setup sheet that the conversation is about")
    parser.add_argument("--resume", action="store_true", help="take up the case that was open when you left")
    parser.add_argument("--customer", metavar="ALIAS", help="begin with the last visit, keep this one in the log")
    parser.add_argument("--board", metavar="NAME", help="what the shop calls the board, for the case log")
    parser.add_argument("--without-log", action="store_true", help="leave the shop's own outcomes out of it")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    def add(name: str, words: str, example: str, *, json: bool = True) -> argparse.ArgumentParser:
        parents = [shared, as_json] if json else [shared]
        return commands.add_parser(name, help=words, description=words, epilog=f"example: {example}", parents=parents)

    measure = add("measure", "every measure of a setup sheet", "advisor measure sheet.yaml --json")
    measure.add_argument("sheet_file", metavar="SHEET")
    advise = add("advise", "one whole walk without a terminal", "advisor advise sheet.yaml --entry heel_washout")
    advise.add_argument("sheet_file", metavar="SHEET")
    advise.add_argument("--entry", required=True, metavar="ID", help="the complaint or question")
    advise.add_argument("--answer", action="append", default=[], metavar="KEY=VALUE", help="a fact, as often as needed")
    what_if = add("try", "what a change of the sheet would do", "advisor try sheet.yaml mount.back.slot_mm=3")
    what_if.add_argument("sheet_file", metavar="SHEET")
    what_if.add_argument("changes", nargs="+", metavar="FIELD=VALUE")
    match = add("match", "which entries a complaint in free words means", 'advisor match "my heel edge lets go" --json')
    match.add_argument("text", metavar="TEXT", nargs="+")
    from advisor.cli.cases import add_cases

    log = commands.add_parser(
        "cases", help="the shop's case log", description="the shop's case log", epilog="example: advisor cases list"
    )
    add_cases(log, [shared, as_json])
    slip = add("slip", "the bench slip of a case", 'advisor slip "Kim 7" --to slip.html', json=False)
    slip.add_argument("case", metavar="CASE", help="a case's number, or an alias for the last visit")
    slip.add_argument("--to", metavar="FILE", help="write it as .html or .svg; without it the terminal shows it")
    trees = add("trees", "prove the knowledge sound, or say file and line of what is not", "advisor trees --coverage")
    trees.add_argument("--coverage", action="store_true", help="which nodes recordings and random walks come to")
    trees.add_argument("--walks", type=_count, default=200, metavar="N", help="random walks an entry (default 200)")
    trees.add_argument("--seed", type=int, default=1, metavar="N", help="for the random walks (default 1)")
    trees.add_argument("--draw", metavar="ENTRY", help="draw one entry's graph")
    trees.add_argument("--to", metavar="FILE.svg", help="write the drawing into a file")
    replay = add(
        "replay", "play recorded conversations and compare them", "advisor replay transcripts_demo/*.talk.yaml"
    )
    replay.add_argument("files", metavar="FILE", nargs="+")
    replay.add_argument("--record", action="store_true", help="write what is said now into the files instead")
    return parser


def _count(text: str) -> int:
    """Return a number of walks, from 1 to 100000."""
    import argparse

    if not text.isdecimal() or not 1 <= int(text) <= 100_000:
        raise argparse.ArgumentTypeError(f"expected a number from 1 to 100000, found {text!r}")
    return int(text)


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
        given = _parser(around).parse_args(arguments)
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
