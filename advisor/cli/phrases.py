"""The words that this shop has taught: `advisor phrases`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.plain_text import clean

if TYPE_CHECKING:
    import argparse

    from advisor.match.shop import ShopPhrase


def add_phrases(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor phrases`."""
    parser.add_argument("action", choices=("list", "forget"), nargs="?", default="list")
    parser.add_argument("numbers", nargs="*", metavar="NUMBER", help="which to forget, by the numbers that list shows")
    parser.add_argument("--all", action="store_true", help="forget them all")


def phrases(given: argparse.Namespace, around: Surroundings) -> int:
    """List the shop's phrases, or take some out for good."""
    from advisor.match.shop import forget, read_file, shop_file

    known, faults = read_file(shop_file())
    for fault in faults:
        around.note(fault)
    if given.action == "list":
        _list(known, given, around)
        return Exit.DONE
    chosen = known if given.all else [_numbered(known, number) for number in given.numbers]
    if not chosen:
        raise AdvisorError("say which: 'advisor phrases forget 2', by the numbers that 'advisor phrases list' shows")
    lines = forget(chosen)
    if given.json:
        from advisor.cli.as_json import dumps

        around.say(dumps({"schema": 1, "forgotten": [phrase.text for phrase in chosen], "lines": lines}))
    else:
        for phrase in chosen:
            around.say(f"forgotten: '{clean(phrase.text, 200)}'")
    return Exit.DONE


def _list(known: list[ShopPhrase], given: argparse.Namespace, around: Surroundings) -> None:
    if given.json:
        from advisor.cli.as_json import dumps

        rows = [
            {"number": number, "text": one.text, "entry": one.entry, "confirmed": one.confirmed, "at": one.at}
            for number, one in enumerate(known, 1)
        ]
        around.say(dumps({"schema": 1, "phrases": rows}))
        return
    for number, one in enumerate(known, 1):
        counts = "" if one.confirmed else ", not confirmed"
        around.say(f"{number:3} {one.at or 'no date':10} {clean(one.text, 200)} -> {clean(one.entry, 60)}{counts}")
    if not known:
        around.say("this shop has taught no words of its own; 'remember' does so after 'meant ...'")


def _numbered(known: list[ShopPhrase], number: str) -> ShopPhrase:
    if not number.isdigit() or not 1 <= int(number) <= len(known):
        raise AdvisorError(f"there is no phrase {clean(number, 40)}; 'advisor phrases list' shows their numbers")
    return known[int(number) - 1]
