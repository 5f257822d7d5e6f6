"""From an entry as written to one as walked: shared parts put in, what is asked first put before each suspect."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.graph.nodes import CLEARED, SUSPECTS

__all__ = ["before_suspects", "put_first", "with_parts"]

_WAYS_ON = frozenset({"go", "otherwise", "unsure", "unknown"})


def with_parts(nodes: dict[str, Any], parts: dict[str, Any]) -> dict[str, Any]:
    """Return an entry's nodes together with those of every part that they lead into, named `part.node`."""
    made = dict(nodes)
    waiting = list(nodes.values())
    while waiting:
        node = waiting.pop()
        name = node.get("jump")
        if name is None or name not in parts:
            continue
        start = f"{name}.{parts[name]['start']}"
        node["jump"] = start
        if start in made:
            continue
        for key, raw in parts[name]["nodes"].items():
            made[f"{name}.{key}"] = moved = _renamed(raw, name)
            waiting.append(moved)
    return made


def before_suspects(nodes: dict[str, Any]) -> set[str]:
    """Return the nodes of an entry, as written, from which a walk can still go on to the suspects."""
    found: set[str] = set()
    while more := {name for name, node in nodes.items() if {SUSPECTS, *found} & set(_ways_in(node))} - found:
        found |= more
    return found


def _ways_in(node: dict[str, Any]) -> Iterator[str]:
    """Yield every way on that a node, as written, names."""
    for key in _WAYS_ON & set(node):
        if node[key] is not None:
            yield node[key]
    for branch in node.get("branches", ()):
        yield branch["go"]


def put_first(first: str, nodes: dict[str, Any], suspects: list[dict[str, Any]]) -> None:
    """Put what an entry asks first before every suspect: a node `first@suspect` for each, which leads on to it."""
    before = before_suspects(nodes)
    if first not in before:
        return
    moved = {name: nodes.pop(name) for name in before}
    for suspect in suspects:
        start = suspect["start"]
        led = {SUSPECTS: start, **{name: f"{name}@{start}" for name in before}}
        nodes.update((f"{name}@{start}", _led(node, led)) for name, node in moved.items())
        suspect["start"] = f"{first}@{start}"


def _led(raw: dict[str, Any], led: dict[str, str]) -> dict[str, Any]:
    """Return a node with some of its ways on led elsewhere."""
    made = {key: led.get(value, value) if key in _WAYS_ON else value for key, value in raw.items()}
    if "branches" in made:
        made["branches"] = [_led(branch, led) for branch in made["branches"]]
    return made


def _renamed(raw: dict[str, Any], part: str) -> dict[str, Any]:
    """Return a part's node with its ways on led inside the part."""
    made: dict[str, Any] = dict(raw)
    for key in _WAYS_ON & set(made):
        if made[key] is not None and made[key] != CLEARED:
            made[key] = f"{part}.{made[key]}"
    if "branches" in made:
        made["branches"] = [_renamed(branch, part) for branch in made["branches"]]
    return made
