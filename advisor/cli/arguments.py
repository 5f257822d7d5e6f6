"""The arguments of every command; only those of the command that was called are put together."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import NamedTuple, NoReturn

from advisor import __version__
from advisor.by_name import by_name
from advisor.cli.options import add_over
from advisor.cli.surroundings import Surroundings


class Command(NamedTuple):
    """One command: its words, an example, and what runs it and fills its parser, each named MODULE:FUNCTION.

    They are named, not imported: a command loads only itself, and the counter imports nothing of the workshop.
    """

    words: str
    example: str
    run: str
    fill: str


def add_measure(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor measure`."""
    parser.add_argument("sheet_file", metavar="SHEET")


def add_advise(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor advise`."""
    parser.add_argument("sheet_file", metavar="SHEET")
    parser.add_argument("--entry", required=True, metavar="ID", help="the complaint or question")
    parser.add_argument("--answer", action="append", default=[], metavar="KEY=VALUE", help="a fact, as often as needed")
    parser.add_argument(
        "--picture", metavar="FILE.svg", help="draw the board from above, before and after, into a file"
    )
    add_over(parser)


def add_try(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor try`."""
    parser.add_argument("sheet_file", metavar="SHEET")
    parser.add_argument("changes", nargs="+", metavar="FIELD=VALUE")


def add_match(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor match`."""
    parser.add_argument("text", metavar="TEXT", nargs="+")


def add_slip(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor slip`."""
    parser.add_argument("case", metavar="CASE", help="a case's number, or an alias for the last visit")
    parser.add_argument("--to", metavar="FILE", help="write it as .html or .svg; without it the terminal shows it")
    add_over(parser)


_MARGIN = 2
_LOG = "cases"  # its own commands take the shared options
_HERE = "advisor.cli.arguments"
_WORKSHOP = "advisor.workshop.commands"
COMMANDS = {
    "measure": Command(
        "every measure of a setup sheet",
        "advisor measure sheet.yaml --json",
        "advisor.cli.on_sheet:measure",
        f"{_HERE}:add_measure",
    ),
    "advise": Command(
        "one whole walk without a terminal",
        "advisor advise sheet.yaml --entry heel_washout",
        "advisor.cli.on_sheet:advise",
        f"{_HERE}:add_advise",
    ),
    "try": Command(
        "what a change of the sheet would do",
        "advisor try sheet.yaml mount.back.slot_mm=3",
        "advisor.cli.on_sheet:try_changes",
        f"{_HERE}:add_try",
    ),
    "match": Command(
        "which entries a complaint in free words means",
        'advisor match "my heel edge lets go" --json',
        "advisor.cli.matching:match",
        f"{_HERE}:add_match",
    ),
    _LOG: Command("the shop's case log", "advisor cases list", "advisor.cli.cases:cases", ""),
    "phrases": Command(
        "the words that this shop has taught: list them, forget them",
        "advisor phrases list",
        "advisor.cli.phrases:phrases",
        "advisor.cli.phrases:add_phrases",
    ),
    "shelf": Command(
        "the shop's boards, boots and bindings by label",
        "advisor shelf import boards.csv",
        "advisor.cli.shelving:shelf",
        "advisor.cli.shelving:add_shelf",
    ),
    "hire": Command(
        "settings and labels for a list of hire riders",
        "advisor hire list.csv --to labels.html",
        "advisor.cli.hire:hire",
        "advisor.cli.hire:add_hire",
    ),
    "corrections": Command(
        "the shop's corrections of the knowledge: list them, take them back",
        "advisor corrections list",
        "advisor.cli.corrections:corrections",
        "advisor.cli.corrections:add_corrections",
    ),
    "sheet": Command(
        "a setup sheet as it is known: shown, filled in as a form, by the shop's aliases",
        "advisor sheet kim.yaml --form",
        "advisor.cli.sheets:sheet",
        "advisor.cli.sheets:add_sheet",
    ),
    "slip": Command(
        "the bench slip of a case",
        'advisor slip "Kim 7" --to slip.html',
        "advisor.cli.slip:slip",
        f"{_HERE}:add_slip",
    ),
    "trees": Command(
        "prove the knowledge sound, or say file and line of what is not",
        "advisor trees --coverage",
        f"{_WORKSHOP}.trees:prove",
        f"{_WORKSHOP}.trees:add_trees",
    ),
    "rehearse": Command(
        "made-up riders with planted faults through the dialogue",
        "advisor rehearse --riders 1000",
        f"{_WORKSHOP}.rehearse:rehearse",
        f"{_WORKSHOP}.rehearse:add_rehearse",
    ),
    "drill": Command(
        "cases for staff, marked and explained",
        "advisor drill --trainee Kim",
        f"{_WORKSHOP}.drill:drill",
        f"{_WORKSHOP}.drill:add_drill",
    ),
    "book": Command(
        "the whole knowledge as one HTML page",
        "advisor book --to book.html",
        f"{_WORKSHOP}.book:write_book",
        f"{_WORKSHOP}.book:add_book",
    ),
    "completion": Command(
        "the shell's completion of commands and options",
        "advisor completion bash >> ~/.bash_completion",
        "advisor.cli.shell:completion",
        "advisor.cli.shell:add_completion",
    ),
    "manual": Command(
        "the man page", "advisor manual | man -l -", "advisor.cli.shell:manual", "advisor.cli.shell:add_manual"
    ),
    "replay": Command(
        "play recorded conversations and compare them",
        "advisor replay transcripts_demo/*.talk.yaml",
        f"{_WORKSHOP}.replay:replay_command",
        f"{_WORKSHOP}.replay:add_replay",
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

        def error(self, message: str) -> NoReturn:
            from advisor.cli.mistyped import meant

            words = meant(arguments, parser, message)
            if not words:
                super().error(message)
            around.note(f"{words}\n'advisor --help' lists them all")
            raise SystemExit(2)

        def _print_message(self, message: str, file: object = None) -> None:
            tell = around.note if file is sys.stderr else around.say
            tell(message.rstrip("\n"))

    def shared_options(plain: object, units: object, as_json: object, shop: object) -> argparse.ArgumentParser:
        options = Parser(add_help=False)
        options.add_argument("--json", action="store_true", default=as_json, help="JSON on stdout, all else on stderr")
        words = "no colour, no boxes, plain ASCII pictures"
        options.add_argument("--plain", action="store_true", default=plain, help=words)
        options.add_argument("--units", choices=("metric", "imperial"), default=units, help="units to show")
        options.add_argument("--shop", metavar="DIR", default=shop, help="the shop's own folder (or ADVISOR_SHOP)")
        return options

    parser: argparse.ArgumentParser = Parser(
        prog="advisor",
        description="Advice for the snowboard technician at the counter: which adjustment, by how much, and why.",
        epilog="example: advisor --sheet transcripts_demo/larchfall_heel.yaml",
        parents=[shared_options(False, "metric", False, "")],
    )
    parser.add_argument("--version", action="version", version=f"advisor {__version__}")
    parser.add_argument("--sheet", metavar="FILE", help="the setup sheet that the conversation is about")
    resume = "take up the case that was open when you left; with a number, an earlier one"
    parser.add_argument("--resume", nargs="?", const="1", metavar="NUMBER", help=resume)
    parser.add_argument("--customer", metavar="ALIAS", help="begin with the last visit, keep this one in the log")
    parser.add_argument("--board", metavar="NAME", help="what the shop calls the board, for the case log")
    parser.add_argument("--without-log", action="store_true", help="leave the shop's own outcomes out of it")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    # A command's own options must not undo those said before its name.
    shared = shared_options(*[argparse.SUPPRESS] * 4)
    named = set(arguments) & set(COMMANDS)
    for name, command in COMMANDS.items():
        own = [shared] if name in named and name != _LOG else []
        example = f"example: {command.example}"
        made = commands.add_parser(name, help=command.words, description=command.words, epilog=example, parents=own)
        if name in named and name != _LOG:
            by_name(command.fill)(made)
        if name in named and name == _LOG:
            from advisor.cli.cases import add_cases

            add_cases(made, [shared])
    return parser
