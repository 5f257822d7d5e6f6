"""The graph of one entry as a tree of lines for the terminal; a node met again is named and not repeated."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from advisor.graph.knowledge import Knowledge
from advisor.graph.labels import kind_of, label, links
from advisor.graph.nodes import CLEARED, Entry

__all__ = ["as_tree"]

_LINES = {"branch": "├─ ", "last": "└─ ", "down": "│  ", "gap": "   "}
_ASCII = {"branch": "|- ", "last": "`- ", "down": "|  ", "gap": "   "}
_NARROWEST = 24


def as_tree(knowledge: Knowledge, entry: Entry, width: int = 80, *, ascii_only: bool = False) -> list[str]:
    """Return the lines of an entry's tree.

    Parameters
    ----------
    knowledge
        For the words.
    entry
        With its parts.
    width
        Columns to write in; deep branches may need a few more.
    ascii_only
        Whether the lines must do with plain characters.

    """
    marks = _ASCII if ascii_only else _LINES
    lines = list(_wrapped(f"{entry.title} ({entry.id}, {entry.kind})", "", "", width))
    starts = [(f"{suspect.words}, {suspect.odds:.0%}", suspect.start) for suspect in entry.suspects]
    starts.append(("nothing left", entry.nothing_left))
    told: set[str] = set()
    for number, (words, start) in enumerate(starts):
        last = number == len(starts) - 1
        lines += _way(knowledge, entry, words, start, "", last, marks, width, told)
    return lines


def _way(
    knowledge: Knowledge,
    entry: Entry,
    words: str,
    to: str,
    before: str,
    last: bool,
    marks: dict[str, str],
    width: int,
    told: set[str],
) -> Iterator[str]:
    head = before + marks["last" if last else "branch"]
    below = before + marks["gap" if last else "down"]
    condition = f"{words}: " if words else ""
    if to == CLEARED:
        yield from _wrapped(f"{condition}cleared", head, below, width)
        return
    node = entry.nodes[to]
    if to in told:
        yield from _wrapped(f"{condition}{kind_of(node)} '{to}', as above", head, below, width)
        return
    told.add(to)
    ways = links(knowledge, entry, to)
    inner = below + (marks["down"] if ways else marks["gap"])
    yield from _wrapped(f"{condition}{kind_of(node)} '{to}': {label(knowledge, node)}", head, inner, width)
    for number, link in enumerate(ways):
        end = number == len(ways) - 1
        yield from _way(knowledge, entry, link.words, link.to, below, end, marks, width, told)


def _wrapped(text: str, head: str, below: str, width: int) -> Iterator[str]:
    room = max(_NARROWEST, width - max(len(head), len(below)))
    first, *rest = textwrap.wrap(text, room) or [""]
    yield head + first
    yield from (below + line for line in rest)
