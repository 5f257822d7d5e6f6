"""The tables of `trees/` that other rooms read, each read once by its own reader, so that none fails a rider later."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from advisor.errors import KnowledgeError
from advisor.knowledge.fault import Fault
from advisor.knowledge.trees import Trees
from advisor.plain_text import clean

_PLACED = re.compile(r"trees/(?P<file>[\w./-]+?)(?::(?P<line>\d+))?: (?:(?P<entry>[^:]+): )?(?P<words>.*)", re.DOTALL)


def faults_of_tables(trees: Trees, lines: dict[str, dict[str, int]]) -> list[Fault]:
    """Read practice, estimates, windows, adjustments and boot sizes with their own readers.

    Parameters
    ----------
    trees
        Their files.
    lines
        The line of each place of each file, as `compile_knowledge` gives them.

    """
    from advisor.sheet.boot_size import size_systems
    from advisor.sheet.estimates import load_estimates
    from advisor.sheet.practice import load_practice
    from advisor.signs import load_listener
    from advisor.solve.adjustments import load_adjustments, load_fixes
    from advisor.solve.bench_order import load_bench_order
    from advisor.solve.chance.doses import load_doses
    from advisor.solve.limits import load_limits
    from advisor.solve.travel import load_travels
    from advisor.solve.windows import load_windows

    readers: tuple[tuple[str, Callable[[Trees], Any]], ...] = (
        ("practice", load_practice),
        ("estimates", load_estimates),
        ("estimates", _nothing_known),
        ("windows", load_windows),
        ("adjustments", load_adjustments),
        ("adjustments", load_fixes),
        ("limits", load_limits),
        ("doses", load_doses),
        ("limits", _limits_of_a_visit),
        ("boot_sizes", size_systems),
        ("first_setup", load_bench_order),
        ("travel", load_travels),
        ("signs/words", load_listener),
    )
    return [fault for table, reader in readers for fault in faults_of_reader(table, reader, trees, lines)]


def _nothing_known(trees: Trees) -> object:
    from advisor.sheet.resolve import resolve
    from advisor.sheet.sheet import Sheet

    return resolve(Sheet("", {}), trees=trees)


def _limits_of_a_visit(trees: Trees) -> object:
    from advisor.solve.limits import only_shown, slack_mm, worth_share

    return only_shown(trees), slack_mm(trees), worth_share(trees)


def faults_of_reader(
    table: str, reader: Callable[[Trees], Any], trees: Trees, lines: dict[str, dict[str, int]]
) -> Iterator[Fault]:
    """Yield what a table's own reader refuses, at the line of the entry that it names."""
    file = f"trees/{table}.yaml"
    try:
        reader(trees)
    except KnowledgeError as error:
        found = _PLACED.fullmatch(str(error))
        if not found:
            yield Fault(file, 0, f"can this be read? {clean(str(error), 200)}")
            return
        file = f"trees/{found['file']}"
        entry = found["entry"] or ""
        line = int(found["line"] or 0) or _line(lines.get(file, {}), entry)
        yield Fault(file, line, f"is {clean(entry) or 'this file'} right? {clean(found['words'], 200)}")
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, RecursionError) as error:
        words = f"has this file its shape? Its reader failed with {type(error).__name__}: {clean(str(error), 120)}"
        yield Fault(file, 0, f"{words}; compare it with the comments at its top")


def _line(lines: dict[str, int], entry: str) -> int:
    """Return the line of an entry, wherever it stands in the file."""
    tail = f".{entry}"
    return next((line for place, line in lines.items() if place == entry or place.endswith(tail)), 0)
