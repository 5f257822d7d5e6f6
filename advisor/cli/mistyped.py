"""What a mistyped command or option was probably meant to be."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence


def meant(arguments: Sequence[str], parser: argparse.ArgumentParser, message: str) -> str:
    """Return one sentence for an argument that fits nothing, empty where the parser's own words say enough.

    Parameters
    ----------
    arguments
        The command line.
    parser
        With the arguments of the command that is named on it.
    message
        What the parser says.

    """
    from difflib import get_close_matches

    from advisor.plain_text import clean

    known = sorted(set(_options(parser)))
    for word in arguments:
        name = word.partition("=")[0]
        if name.startswith("--") and name != "--" and not any(option.startswith(name) for option in known):
            near = get_close_matches(name, known, 1, 0.6)
            return f"there is no option {clean(name)}" + (f"; did you mean {near[0]}?" if near else "")
    if "invalid choice" not in message:
        return ""
    for action in _commands(parser):
        for word in arguments:
            near = get_close_matches(word, list(action.choices or ()), 1, 0.6)
            if f"'{word}'" in message and near:
                return f"there is no command '{clean(word)}'; did you mean '{near[0]}'?"
    return ""


def _commands(parser: argparse.ArgumentParser) -> Iterator[argparse._SubParsersAction[argparse.ArgumentParser]]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield action
            for inner in action.choices.values():
                yield from _commands(inner)


def _options(parser: argparse.ArgumentParser) -> Iterator[str]:
    for action in parser._actions:
        yield from (name for name in action.option_strings if name.startswith("--"))
    for commands in _commands(parser):
        for inner in commands.choices.values():
            for action in inner._actions:
                yield from (name for name in action.option_strings if name.startswith("--"))
