"""Nodes of an entry that lead back to themselves, as strongly connected components (Tarjan 1972, by networkx)."""

from __future__ import annotations

from advisor.graph.nodes import Entry
from advisor.workshop.proof.subject import Subject


def circles(subject: Subject, entry: Entry) -> list[list[str]]:
    """Return every set of nodes that lead back to each other, each in the order in which the file has them."""
    import networkx as nx

    graph = subject.graph(entry)
    order = {name: place for place, name in enumerate(entry.nodes)}
    found = []
    for component in nx.strongly_connected_components(graph):
        names = sorted(component, key=lambda name: order.get(name, -1))
        if len(names) > 1 or graph.has_edge(names[0], names[0]):
            found.append(names)
    return sorted(found, key=lambda names: order[names[0]])


def leaves(subject: Subject, entry: Entry, circle: list[str]) -> bool:
    """Return whether any way leads out of a circle."""
    inside = set(circle)
    return any(to not in inside for name in circle for to in subject.graph(entry).successors(name))
