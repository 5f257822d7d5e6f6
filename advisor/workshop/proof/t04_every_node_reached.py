"""Every node can be reached: in an entry from its suspects or from what is left, in a part from its start."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.expanding import ways_in
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def _check(subject: Subject) -> Iterator[Fault]:
    import networkx as nx

    for page in subject.pages:
        graph: nx.DiGraph[str] = nx.DiGraph()
        graph.add_nodes_from(page.nodes)
        graph.add_edges_from((name, to) for name, node in page.nodes.items() for to in ways_in(node))
        starts = [suspect["start"] for suspect in page.raw.get("suspects", ())]
        starts += [page.raw[key] for key in ("first", "nothing_left", "start") if page.raw.get(key) is not None]
        reached: set[str] = set()
        for start in starts:
            if start in graph:
                reached |= {start, *nx.descendants(graph, start)}
        for name in page.nodes:
            if name not in reached:
                words = f"how is '{name}' reached? No walk leads here; lead one here, or take the node out"
                yield page.spot("nodes", name).fault(words)


RULE = Rule(4, "Can every node be reached?", _check)
