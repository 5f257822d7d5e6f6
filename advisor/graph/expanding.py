"""From an entry as written to one as walked: shared parts put in, what is asked first put before each suspect."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from advisor.graph.nodes import CLEARED, SUSPECTS

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
            made[f"{name}.{key}"] = moved = _led(raw, partial(_inside, name))
            waiting.append(moved)
    return made


def _inside(part: str, way: str) -> str:
    return way if way == CLEARED else f"{part}.{way}"


def before_suspects(nodes: dict[str, Any]) -> set[str]:
    """Return the nodes of an entry, as written, from which a walk can still go on to the suspects."""
    found: set[str] = set()
    while more := {name for name, node in nodes.items() if {SUSPECTS, *found} & set(ways_in(node))} - found:
        found |= more
    return found


def ways_in(node: dict[str, Any]) -> Iterator[str]:
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
        nodes.update((f"{name}@{start}", _led(node, partial(_found_in, led))) for name, node in moved.items())
        suspect["start"] = f"{first}@{start}"


def _found_in(led: dict[str, str], way: str) -> str:
    return led.get(way, way)


def _led(raw: dict[str, Any], to: Callable[[str], str]) -> dict[str, Any]:
    """Return a node with its ways on led elsewhere."""
    made: dict[str, Any] = {
        key: to(value) if key in _WAYS_ON and value is not None else value for key, value in raw.items()
    }
    if "branches" in made:
        made["branches"] = [_led(branch, to) for branch in made["branches"]]
    return made
