"""The shop's corrections of the knowledge: `advisor corrections`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError, KnowledgeError
from advisor.plain_text import clean

if TYPE_CHECKING:
    import argparse

    from advisor.knowledge.corrections import Correction

_TAKE_BACK = "advisor corrections take-back 2"


def add_corrections(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor corrections`."""
    parser.add_argument("action", choices=("list", "take-back"), nargs="?", default="list")
    parser.add_argument(
        "numbers", nargs="*", metavar="NUMBER", help="which to take back, by the numbers that list shows"
    )
    parser.add_argument("--all", action="store_true", help="take them all back")


def corrections(given: argparse.Namespace, around: Surroundings) -> int:
    """List the shop's corrections with file and line, or take some of them back."""
    found = shops_corrections(around)
    if given.action == "list":
        _list(found, given, around)
        return Exit.DONE
    chosen = found if given.all else [_numbered(found, number) for number in given.numbers]
    if not chosen:
        raise AdvisorError(f"say which: '{_TAKE_BACK}', by the numbers that 'advisor corrections list' shows")
    for correction in chosen:
        _take_back(correction)
    if given.json:
        from advisor.cli.as_json import dumps

        around.say(dumps({"schema": 1, "taken_back": [as_json(correction) for correction in chosen]}))
    else:
        for correction in chosen:
            around.say(f"taken back: {correction.words}")
    return Exit.DONE


def shops_corrections(around: Surroundings) -> list[Correction]:
    """Return the shop's corrections; what cannot be one is noted.

    Raises
    ------
    KnowledgeError
        When a file of the shop's cannot be read.

    """
    from advisor.knowledge.corrections import corrections as read_corrections

    trees = around.trees
    if trees.shop is None:
        return []
    found, faults = read_corrections(trees.home, trees.shop)
    if faults:
        raise KnowledgeError("\n".join(fault.place_and_words for fault in faults))
    return found


def as_json(correction: Correction) -> dict[str, Any]:
    """Return a correction as an object."""
    return {
        "file": correction.file,
        "line": correction.line,
        "table": correction.table,
        "place": correction.place,
        "before": correction.before,
        "after": correction.after,
    }


def _list(found: list[Correction], given: argparse.Namespace, around: Surroundings) -> None:
    if given.json:
        from advisor.cli.as_json import dumps

        rows = [{"number": number, **as_json(one)} for number, one in enumerate(found, 1)]
        around.say(dumps({"schema": 1, "corrections": rows}))
        return
    for number, one in enumerate(found, 1):
        around.say(f"{number:3} {one.words}")
    if not found:
        folder = around.trees.shop
        where = f"in {clean(str(folder), 200)}" if folder else "of its own"
        around.say(f"this shop has no corrections {where}; README says how to write one")


def _numbered(found: list[Correction], number: str) -> Correction:
    if not number.isdigit() or not 1 <= int(number) <= len(found):
        raise AdvisorError(
            f"there is no correction {clean(number, 40)}; 'advisor corrections list' shows their numbers"
        )
    return found[int(number) - 1]


def _take_back(correction: Correction) -> None:
    """Take one correction out of its file; a file that holds nothing then goes."""
    import yaml

    from advisor.knowledge.corrections import without
    from advisor.knowledge.fault import Fault
    from advisor.knowledge.lined_yaml import read
    from advisor.written_files import write_whole

    file = Path(correction.file)
    faults: list[Fault] = []
    document = read(file, correction.file, faults)
    if document is None:
        raise KnowledgeError(faults[0].place_and_words)
    left = without(document.content, correction.place)
    if set(left) - {"entry", "part", "cause"}:
        write_whole(file, [yaml.safe_dump(left, sort_keys=False, allow_unicode=True)], over=True, private=False)
    else:
        file.unlink()
