"""Where the nodes of an entry stand in a drawing: layers by the longest way to each, ordered to cross little.

Layers by longest path and rows by the mean place of a node's neighbours, swept down and up: the layered drawing of
directed graphs after Sugiyama, Tagawa & Toda (1981, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.graph.nodes import CLEARED, Entry
from advisor.workshop.proof.subject import roots, ways_on

if TYPE_CHECKING:
    from networkx import DiGraph

_SWEEPS = 8


@dataclass(frozen=True, slots=True)
class Layers:
    """The nodes layer by layer, each layer in its order; every edge runs to a later layer."""

    rows: tuple[tuple[str, ...], ...]
    edges: tuple[tuple[str, str], ...]


def layers(entry: Entry) -> Layers:
    """Lay out an entry that has no circle; `cleared` is left to the drawing."""
    import networkx as nx

    graph: DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(entry.nodes)
    for name, node in entry.nodes.items():
        graph.add_edges_from((name, way.to) for way in ways_on(node) if way.to != CLEARED and way.to in entry.nodes)
    depth: dict[str, int] = {}
    for name in nx.topological_sort(graph):
        depth[name] = max((depth[before] + 1 for before in graph.predecessors(name)), default=0)
    first = {start: place for place, (_, start) in enumerate(roots(entry))}
    rows = [
        [name for name in entry.nodes if depth[name] == level] for level in range(max(depth.values(), default=0) + 1)
    ]
    rows[0].sort(key=lambda name: first.get(name, len(first)))
    for sweep in range(_SWEEPS):
        down = sweep % 2 == 0
        place = {name: number for row in rows for number, name in enumerate(row)}
        for row in rows[1:] if down else reversed(rows[:-1]):
            beside = graph.predecessors if down else graph.successors
            means = {name: _mean([place[other] for other in beside(name)], place[name]) for name in row}
            row.sort(key=lambda name: means[name])
            place.update({name: number for number, name in enumerate(row)})
    return Layers(tuple(tuple(row) for row in rows), tuple(graph.edges))


def _mean(places: list[int], own: int) -> float:
    return sum(places) / len(places) if places else float(own)
