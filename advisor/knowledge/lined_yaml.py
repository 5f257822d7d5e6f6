"""YAML files read together with the line of each of their places; what is wrong with a file is told, never raised."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from advisor.knowledge.fault import Fault
from advisor.ordinary_files import read_ordinary
from advisor.plain_text import clean

Place = tuple[str | int, ...]
_MOST_PLACES = 100_000
_MOST_BYTES = 50_000_000
_DEEPEST = 60
_TOO_DEEP = "does this nest so deep on purpose? The file cannot be read; write it flatter"


@dataclass(slots=True)
class Document:
    """A knowledge file's content, and the line of each of its places."""

    file: str
    content: Any
    lines: dict[Place, int]

    def line(self, place: Place) -> int:
        """Return the line of a place, or of the nearest place around it."""
        while place and place not in self.lines:
            place = place[:-1]
        return self.lines.get(place, 1)

    def dotted(self) -> dict[str, int]:
        """Return the lines under places written with dots."""
        return {".".join(map(str, place)): line for place, line in self.lines.items()}


_Base: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _Loader(_Base):  # type: ignore[misc]
    """YAML 1.2's view of words: only true and false are truth values, so that yes and no stay answers."""


_Loader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if tag != "tag:yaml.org,2002:bool"]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
_Loader.add_implicit_resolver("tag:yaml.org,2002:bool", re.compile(r"^(?:true|false)$"), list("tf"))


class _TooMuchError(Exception):
    """The file says more than any knowledge file would."""


def read(path: Path, name: str, faults: list[Fault]) -> Document | None:
    """Read one file; a fault of its shape is added to `faults`.

    Parameters
    ----------
    path
        The file.
    name
        What to call it in faults.
    faults
        Filled with what is wrong.

    """
    try:
        text = read_ordinary(path, _MOST_BYTES).decode("utf-8")
        if _depth_at_most(text) > _DEEPEST and _depth(text) > _DEEPEST:
            raise RecursionError
        node = yaml.compose(text, Loader=_Loader)
        if not isinstance(node, yaml.MappingNode):
            faults.append(Fault(name, 1, "is this file empty? It should hold fields with values"))
            return None
        lines: dict[Place, int] = {}
        content = _build(node, (), lines, name, faults, frozenset())
    except yaml.YAMLError as error:
        if "nesting" in str(getattr(error, "problem", "")):
            faults.append(Fault(name, 0, _TOO_DEEP))
            return None
        mark = getattr(error, "problem_mark", None)
        problem = clean(str(getattr(error, "problem", None) or "not YAML"))
        words = f"is this YAML? {problem}; mend the line or the one before"
        faults.append(Fault(name, mark.line + 1 if mark else 1, words))
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "no UTF-8 text"
        faults.append(Fault(name, 0, f"can this file be read? {clean(str(reason))}; restore it"))
    except RecursionError:
        faults.append(Fault(name, 0, _TOO_DEEP))
    except _TooMuchError:
        faults.append(Fault(name, 0, "do * and & repeat themselves here? The file says too much; write it out once"))
    else:
        return Document(name, content, lines)
    return None


def _depth(text: str) -> int:
    """Return how deep a text nests, by its events: nothing is built that depth could hurt; it ends where too deep."""
    deepest = depth = 0
    for event in yaml.parse(text, Loader=_Loader):
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            deepest = max(deepest, depth)
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
        if deepest > _DEEPEST:
            break
    return deepest


def _depth_at_most(text: str) -> int:
    """Return an upper bound of how deep a text nests: by brackets, and by leading marks of each line."""
    deepest = depth = 0
    for char in text:
        if char in "[{":
            depth += 1
            deepest = max(deepest, depth)
        elif char in "]}":
            depth = max(0, depth - 1)
    for line in text.splitlines():
        head = line[: len(line) - len(line.lstrip(" -?:"))]
        deepest = max(deepest, sum(char in "-?:" for char in head), len(head) // 2)
    return deepest


def _build(
    node: yaml.Node, place: Place, lines: dict[Place, int], name: str, faults: list[Fault], above: frozenset[int]
) -> Any:
    line = node.start_mark.line + 1
    lines.setdefault(place, line)
    if len(lines) > _MOST_PLACES:
        raise _TooMuchError
    if id(node) in above:
        faults.append(Fault(name, line, "does this refer to itself? Write it out instead of using * and &"))
        return None
    above |= {id(node)}
    if isinstance(node, yaml.MappingNode):
        content: dict[str, Any] = {}
        for key_node, value_node in node.value:
            key = str(key_node.value) if isinstance(key_node, yaml.ScalarNode) else clean(str(key_node.value))
            line = key_node.start_mark.line + 1
            if key in content:
                words = f"is '{clean(key)}' meant twice? It stands on line {lines[(*place, key)]} already; keep one"
                faults.append(Fault(name, line, words))
                continue
            lines[(*place, key)] = line
            content[key] = _build(value_node, (*place, key), lines, name, faults, above)
        return content
    if isinstance(node, yaml.SequenceNode):
        return [_build(child, (*place, i), lines, name, faults, above) for i, child in enumerate(node.value)]
    return _scalar(node, name, faults)


def _scalar(node: yaml.Node, name: str, faults: list[Fault]) -> Any:
    if node.tag == "tag:yaml.org,2002:str":
        return node.value
    loader = _Loader("")
    try:
        return loader.construct_object(node)
    except (yaml.YAMLError, ValueError, OverflowError, TypeError) as error:
        problem = getattr(error, "problem", None) or error
        faults.append(Fault(name, node.start_mark.line + 1, f"what is this value? {clean(str(problem))}; quote it"))
        return None
    finally:
        loader.dispose()
