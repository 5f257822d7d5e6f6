"""The arguments of every command; only those of the command that was called are put together."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from typing import NamedTuple

from advisor import __version__
from advisor.cli.surroundings import Surroundings

__all__ = ["parser_for"]


class _Command(NamedTuple):
    """One command: its words, an example, and what fills its parser."""

    words: str
    example: str
    fill: Callable[[argparse.ArgumentParser], None]


def _measure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("sheet_file", metavar="SHEET")


def _advise(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("sheet_file", metavar="SHEET")
    parser.add_argument("--entry", required=True, metavar="ID", help="the complaint or question")
    parser.add_argument("--answer", action="append", default=[], metavar="KEY=VALUE", help="a fact, as often as needed")


def _try(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("sheet_file", metavar="SHEET")
    parser.add_argument("changes", nargs="+", metavar="FIELD=VALUE")


def _match(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("text", metavar="TEXT", nargs="+")


def _slip(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("case", metavar="CASE", help="a case's number, or an alias for the last visit")
    parser.add_argument("--to", metavar="FILE", help="write it as .html or .svg; without it the terminal shows it")


def _trees(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--coverage", action="store_true", help="which nodes recordings and random walks come to")
    parser.add_argument("--walks", type=_count, default=200, metavar="N", help="random walks an entry (default 200)")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="for the random walks (default 1)")
    parser.add_argument("--draw", metavar="ENTRY", help="draw one entry's graph")
    parser.add_argument("--to", metavar="FILE.svg", help="write the drawing into a file")


def _count(text: str) -> int:
    """Return a number of walks, from 1 to 100000."""
    if not text.isdecimal() or not 1 <= int(text) <= 100_000:
        raise argparse.ArgumentTypeError(f"expected a number from 1 to 100000, found {text!r}")
    return int(text)


def _replay(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", metavar="FILE", nargs="+")
    parser.add_argument("--record", action="store_true", help="write what is said now into the files instead")


def _rehearse(parser: argparse.ArgumentParser) -> None:
    from advisor.cli.rehearsing import add_rehearse

    add_rehearse(parser)


def _drill(parser: argparse.ArgumentParser) -> None:
    from advisor.cli.drilling import add_drill

    add_drill(parser)


def _book(parser: argparse.ArgumentParser) -> None:
    from advisor.cli.booking import add_book

    add_book(parser)


def _nothing(parser: argparse.ArgumentParser) -> None:
    del parser


_MARGIN = 2
_LOG = "cases"  # its own commands take the shared options
_COMMANDS = {
    "measure": _Command("every measure of a setup sheet", "advisor measure sheet.yaml --json", _measure),
    "advise": _Command("one whole walk without a terminal", "advisor advise sheet.yaml --entry heel_washout", _advise),
    "try": _Command("what a change of the sheet would do", "advisor try sheet.yaml mount.back.slot_mm=3", _try),
    "match": _Command(
        "which entries a complaint in free words means", 'advisor match "my heel edge lets go" --json', _match
    ),
    _LOG: _Command("the shop's case log", "advisor cases list", _nothing),
    "slip": _Command("the bench slip of a case", 'advisor slip "Kim 7" --to slip.html', _slip),
    "trees": _Command(
        "prove the knowledge sound, or say file and line of what is not", "advisor trees --coverage", _trees
    ),
    "rehearse": _Command(
        "made-up riders with planted faults through the dialogue", "advisor rehearse --riders 1000", _rehearse
    ),
    "drill": _Command("cases for staff, marked and explained", "advisor drill --trainee Kim", _drill),
    "book": _Command("the whole knowledge as one HTML page", "advisor book --to book.html", _book),
    "replay": _Command(
        "play recorded conversations and compare them", "advisor replay transcripts_demo/*.talk.yaml", _replay
    ),
}


def parser_for(arguments: Sequence[str], around: Surroundings) -> argparse.ArgumentParser:
    """Return the parser of a command line; it speaks through the streams that it is given.

    Parameters
    ----------
    arguments
        The command line: the parser has the arguments of the first command that is named on it.
    around
        Streams.

    """

    class Parser(argparse.ArgumentParser):
        def _get_formatter(self) -> argparse.HelpFormatter:
            # Asked for with every argument; without a width it would import what reads the terminal's size.
            return argparse.HelpFormatter(prog=self.prog, width=around.width - _MARGIN)

        def _print_message(self, message: str, file: object = None) -> None:
            tell = around.note if file is sys.stderr else around.say
            tell(message.rstrip("\n"))

    def shared_options(plain: object, units: object, as_json: object) -> argparse.ArgumentParser:
        options = Parser(add_help=False)
        options.add_argument("--json", action="store_true", default=as_json, help="JSON on stdout, all else on stderr")
        words = "no colour, no boxes, plain ASCII pictures"
        options.add_argument("--plain", action="store_true", default=plain, help=words)
        options.add_argument("--units", choices=("metric", "imperial"), default=units, help="units to show")
        return options

    parser: argparse.ArgumentParser = Parser(
        prog="advisor",
        description="Advice for the snowboard technician at the counter: which adjustment, by how much, and why.",
        epilog="example: advisor --sheet transcripts_demo/larchfall_heel.yaml",
        parents=[shared_options(False, "metric", False)],
    )
    parser.add_argument("--version", action="version", version=f"advisor {__version__}")
    parser.add_argument("--sheet", metavar="FILE", help="the setup sheet that the conversation is about")
    parser.add_argument("--resume", action="store_true", help="take up the case that was open when you left")
    parser.add_argument("--customer", metavar="ALIAS", help="begin with the last visit, keep this one in the log")
    parser.add_argument("--board", metavar="NAME", help="what the shop calls the board, for the case log")
    parser.add_argument("--without-log", action="store_true", help="leave the shop's own outcomes out of it")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    # A command's own options must not undo those said before its name.
    shared = shared_options(argparse.SUPPRESS, argparse.SUPPRESS, argparse.SUPPRESS)
    named = set(arguments) & set(_COMMANDS)
    for name, command in _COMMANDS.items():
        own = [shared] if name in named and name != _LOG else []
        example = f"example: {command.example}"
        made = commands.add_parser(name, help=command.words, description=command.words, epilog=example, parents=own)
        if name in named:
            command.fill(made)
        if name in named and name == _LOG:
            from advisor.cli.cases import add_cases

            add_cases(made, [shared])
    return parser
