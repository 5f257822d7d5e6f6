"""Nodes and causes written where they are used, brought to their places: every node by name, every cause by itself.

A way on (`go`, `otherwise`, `unsure`, `unknown`, a suspect's `start`, `nothing_left`) may be a node instead of a node's
name; it is named by its own `name`, else after the node that it stands in. A node that shows a cause may hold what the
cause says, instead of a file in `trees/causes/`. Each keeps the lines of its places.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.knowledge.fault import Fault
from advisor.knowledge.lined_yaml import Document, Place

WAYS = ("go", "otherwise", "unsure", "unknown")
CAUSE_TEXTS = ("title", "because", "how_so", "feel", "cautions", "source")


def brought_out(document: Document, faults: list[Fault]) -> tuple[Document, list[Document]]:
    """Return a page with all its nodes under their names, and the causes that were written in it.

    Parameters
    ----------
    document
        An entry or a part, as read; left as it is.
    faults
        Filled with what cannot be brought out.

    """
    content = document.content
    nodes = content.get("nodes")
    if not isinstance(nodes, dict):
        return document, []
    page = _Page(document, faults)
    made = dict(content)
    if isinstance(content.get("suspects"), list):
        made["suspects"] = [page.suspect(place, one) for place, one in enumerate(content["suspects"])]
    if isinstance(content.get("nothing_left"), dict):
        made["nothing_left"] = page.node(("nothing_left",), "nothing_left", content["nothing_left"])
    for name, raw in nodes.items():
        page.node(("nodes", name), name, raw)
    made["nodes"] = page.nodes
    return Document(document.file, made, page.lines), page.causes


class _Page:
    """Brings out the nodes of one file."""

    def __init__(self, document: Document, faults: list[Fault]) -> None:
        self.document = document
        self.faults = faults
        self.nodes: dict[str, Any] = {}
        self.causes: list[Document] = []
        self.lines = dict(document.lines)
        self.taken = set(document.content["nodes"])

    def suspect(self, place: int, raw: Any) -> Any:
        if not isinstance(raw, dict) or not isinstance(raw.get("start"), dict):
            return raw
        return {**raw, "start": self.inner(("suspects", place, "start"), f"suspect_{place + 1}", raw["start"])}

    def inner(self, at: Place, name: str, raw: dict[str, Any]) -> str:
        """Bring out a node that stands where a name could; return its name."""
        own = raw.get("name")
        named = own if isinstance(own, str) else name
        number = 1
        while named in self.taken:
            if isinstance(own, str):
                words = f"is '{own}' meant twice? Another node has this name; give one of them another"
                self.faults.append(Fault(self.document.file, self.document.line(at), words))
                return own
            number += 1
            named = f"{name}_{number}"
        self.taken.add(named)
        self.node(at, named, {key: value for key, value in raw.items() if key != "name"})
        return named

    def node(self, at: Place, name: str, raw: Any) -> str:
        """Bring out a node and all that stands in it."""
        here: Place = ("nodes", name)
        if at != here:
            self.move(at, here)
        if not isinstance(raw, dict):
            self.nodes[name] = raw
            return name
        made = self.nodes[name] = dict(raw)
        for way in WAYS:
            if isinstance(raw.get(way), dict):
                made[way] = self.inner((*at, way), f"{name}_{way}", raw[way])
        if isinstance(raw.get("branches"), list):
            made["branches"] = [self.branch(at, name, place, one) for place, one in enumerate(raw["branches"])]
        if "cause" in raw and any(key in raw for key in CAUSE_TEXTS):
            self.cause(at, made)
        return name

    def branch(self, at: Place, name: str, place: int, raw: Any) -> Any:
        if not isinstance(raw, dict) or not isinstance(raw.get("go"), dict):
            return raw
        return {**raw, "go": self.inner((*at, "branches", place, "go"), f"{name}_{place + 1}", raw["go"])}

    def cause(self, at: Place, made: dict[str, Any]) -> None:
        """Take what a cause says out of the node that shows it."""
        content = {"cause": made["cause"], **{key: made.pop(key) for key in CAUSE_TEXTS if key in made}}
        lines = {place[len(at) :]: line for place, line in self.under(at)}
        self.causes.append(Document(self.document.file, content, lines))

    def move(self, old: Place, new: Place) -> None:
        for place, line in self.under(old):
            self.lines[(*new, *place[len(old) :])] = line

    def under(self, place: Place) -> Iterator[tuple[Place, int]]:
        length = len(place)
        return ((other, line) for other, line in self.document.lines.items() if other[:length] == place)
