"""What the rules look at: the compiled knowledge as pages (one file's nodes) and as whole entries with their parts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import cached_property
from typing import TYPE_CHECKING, Any

from advisor.errors import KnowledgeError
from advisor.graph.compiled import Knowledge
from advisor.graph.nodes import CLEARED, Aim, Ask, Cause, Check, Do, Entry, Jump, Mount, Node, Refer, Tell
from advisor.knowledge.fault import Fault
from advisor.knowledge.trees import Trees
from advisor.solve.windows import Windows, windows_of

if TYPE_CHECKING:
    from networkx import DiGraph

ENDS = (Aim, Do, Mount, Tell, Refer)


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in a file."""

    file: str
    line: int

    def fault(self, words: str, *, loose: bool = False) -> Fault:
        """Return a fault at this place."""
        return Fault(self.file, self.line, words, loose=loose)

    def beside(self, other: Spot) -> str:
        """Return the words for this place in a fault that stands at `other`."""
        return f"line {self.line}" if self.file == other.file else f"{self.file}:{self.line}"


@dataclass(frozen=True, slots=True)
class Page:
    """The nodes of one file: of an entry or of a part."""

    id: str
    file: str
    raw: dict[str, Any]
    lines: dict[str, int]

    @property
    def nodes(self) -> dict[str, Any]:
        """Return the raw nodes by name."""
        nodes: dict[str, Any] = self.raw["nodes"]
        return nodes

    def spot(self, *place: str | int) -> Spot:
        """Return a place, or the nearest one around it."""
        steps = [str(step) for step in place]
        while steps and ".".join(steps) not in self.lines:
            steps.pop()
        return Spot(self.file, self.lines.get(".".join(steps), 1))


@dataclass(frozen=True, slots=True)
class Way:
    """One way on from a node: where it stands under the node, and where it leads."""

    place: tuple[str | int, ...]
    to: str


def ways_on(node: Node) -> Iterator[Way]:
    """Yield every way on from a node, in the order in which they are written."""
    if isinstance(node, Check):
        for place, branch in enumerate(node.branches):
            yield Way(("branches", place, "go"), branch.go)
        if node.unknown:
            yield Way(("unknown",), node.unknown)
    elif isinstance(node, Ask):
        for place, choice in enumerate(node.choices):
            yield Way(("branches", place, "go"), choice.go)
        yield Way(("unsure",), node.unsure)
    elif isinstance(node, Cause):
        yield Way(("go",), node.go)
    elif isinstance(node, Aim | Do | Mount):
        yield Way(("otherwise",), node.otherwise)
    elif isinstance(node, Jump):
        yield Way(("jump",), node.go)


def roots(entry: Entry) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Yield where walks of an entry begin: the place in its file, and the node."""
    for place, suspect in enumerate(entry.suspects):
        yield ("suspects", place, "start"), suspect.start
    yield ("nothing_left",), entry.nothing_left


def near(name: str, known: Any) -> str:
    """Return advice on a name that does not exist: the nearest ones that do."""
    found = get_close_matches(name, list(known), 2)
    return f"did you mean {' or '.join(found)}?" if found else "write it, or name one that exists"


@dataclass
class Subject:
    """The knowledge under proof.

    Parameters
    ----------
    compiled
        What `compile_knowledge` returned without faults.
    trees
        The files that it was made from.

    """

    compiled: dict[str, Any]
    trees: Trees
    _graphs: dict[str, DiGraph[str]] = field(default_factory=dict)

    @cached_property
    def knowledge(self) -> Knowledge:
        """Return the knowledge as the dialogue sees it."""
        return Knowledge(self.compiled, self.trees)

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """Return every entry with its parts."""
        return tuple(self.knowledge.entry(name) for name in self.compiled["entries"])

    @cached_property
    def pages(self) -> tuple[Page, ...]:
        """Return every file that has nodes."""
        return tuple(
            Page(name, f"trees/{folder}/{name}.yaml", raw, self.compiled["lines"][f"trees/{folder}/{name}.yaml"])
            for folder in ("entries", "parts")
            for name, raw in self.compiled[folder].items()
        )

    @cached_property
    def _page_of(self) -> dict[str, Page]:
        return {page.file: page for page in self.pages}

    def at(self, entry: Entry, node: str, *place: str | int) -> Spot:
        """Return the place of an entry's node, in the part's file where it comes from a part."""
        part, dot, name = node.partition("@")[0].rpartition(".")
        file = f"trees/parts/{part}.yaml" if dot else f"trees/entries/{entry.id}.yaml"
        return self._page_of[file].spot("nodes", name, *place)

    def of(self, entry: Entry, *place: str | int) -> Spot:
        """Return a place in an entry's file outside its nodes."""
        return self._page_of[f"trees/entries/{entry.id}.yaml"].spot(*place)

    def table(self, table: str, *place: str | int) -> Spot:
        """Return a place in a table, such as `("facts", "snow")`, or in a cause's file."""
        file = f"trees/{table}.yaml"
        lines = self.compiled["lines"].get(file, {})
        steps = [str(step) for step in place]
        while steps and ".".join(steps) not in lines:
            steps.pop()
        return Spot(self.compiled.get("homes", {}).get(table, file), lines.get(".".join(steps), 1))

    def raw(self, table: str) -> dict[str, Any]:
        """Return one of the tables that other rooms read: practice, windows, adjustments, estimates, boot_sizes."""
        found: dict[str, Any] = self.compiled["tables"].get(table, {})
        return found

    @cached_property
    def windows(self) -> Windows:
        """Return the windows of this knowledge; none where their table is broken, which its own reader tells."""
        try:
            return windows_of(self.raw("windows"))
        except KnowledgeError:
            return Windows({})

    def graph(self, entry: Entry) -> DiGraph[str]:
        """Return an entry's graph; `cleared` is a node of its own, ways to nowhere are left out."""
        if entry.id not in self._graphs:
            import networkx as nx

            graph: DiGraph[str] = nx.DiGraph()
            graph.add_nodes_from([*entry.nodes, CLEARED])
            graph.add_edges_from(
                (name, way.to)
                for name, node in entry.nodes.items()
                for way in ways_on(node)
                if way.to in entry.nodes or way.to == CLEARED
            )
            self._graphs[entry.id] = graph
        return self._graphs[entry.id]

    def starts(self, entry: Entry) -> list[str]:
        """Return the nodes at which walks of an entry begin."""
        return [node for _, node in roots(entry) if node in entry.nodes]
