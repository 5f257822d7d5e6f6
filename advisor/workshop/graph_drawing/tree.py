"""The graph of one entry as a tree of lines for the terminal; a node met again is named and not repeated."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass, field

from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import CLEARED, SUSPECTS, Entry
from advisor.workshop.graph_drawing.labels import kind_of, label, links

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
    tree = _Tree(knowledge, entry, width, _ASCII if ascii_only else _LINES)
    goes_on = entry.suspects[0].start.partition("@")[2]
    starts = [(f"{one.words}, {one.odds:.0%}", one.start.partition("@")[2] or one.start) for one in entry.suspects]
    starts.append(("nothing left", entry.nothing_left))
    lines = list(_wrapped(f"{entry.title} ({entry.id}, {entry.kind})", "", "", width))
    if goes_on:
        lines += tree.way("before all else", entry.suspects[0].start, "", last=False, suspects=goes_on)
    for number, (words, start) in enumerate(starts):
        lines += tree.way(words, start, "", last=number == len(starts) - 1)
    return lines


@dataclass
class _Tree:
    """A tree being drawn; `told` are the nodes drawn so far."""

    knowledge: Knowledge
    entry: Entry
    width: int
    marks: dict[str, str]
    told: set[str] = field(default_factory=set)

    def way(self, words: str, to: str, before: str, last: bool, suspects: str = "") -> Iterator[str]:
        """Yield the lines of a way on and of all behind it; `suspects` is where the suspects would begin."""
        head = before + self.marks["last" if last else "branch"]
        below = before + self.marks["gap" if last else "down"]
        condition = f"{words}: " if words else ""
        if to in {CLEARED, suspects}:
            yield from _wrapped(f"{condition}{'cleared' if to == CLEARED else SUSPECTS}", head, below, self.width)
            return
        node, name = self.entry.nodes[to], to.partition("@")[0]
        if to in self.told:
            yield from _wrapped(f"{condition}{kind_of(node)} '{name}', as above", head, below, self.width)
            return
        self.told.add(to)
        ways = links(self.knowledge, self.entry, to)
        inner = below + (self.marks["down"] if ways else self.marks["gap"])
        words = f"{condition}{kind_of(node)} '{name}': {label(self.knowledge, node)}"
        yield from _wrapped(words, head, inner, self.width)
        for number, link in enumerate(ways):
            yield from self.way(link.words, link.to, below, number == len(ways) - 1, suspects)


def _wrapped(text: str, head: str, below: str, width: int) -> Iterator[str]:
    room = max(_NARROWEST, width - max(len(head), len(below)))
    first, *rest = textwrap.wrap(text, room) or [""]
    yield head + first
    yield from (below + line for line in rest)
