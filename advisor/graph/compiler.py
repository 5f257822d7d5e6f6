"""Knowledge files to one checked, plain structure; every fault with its file and line.

Slow and careful: it imports pydantic. `knowledge.py` keeps the result and calls this only when a file has changed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from pydantic import TypeAdapter, ValidationError

from advisor.graph import schema
from advisor.sheet.plain_text import clean

__all__ = ["Fault", "compile_knowledge"]

Path_ = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a knowledge file."""

    file: str
    line: int
    words: str

    def __str__(self) -> str:
        """Return `file:line: words`."""
        return f"{self.file}:{self.line}: {self.words}" if self.line else f"{self.file}: {self.words}"


@dataclass(slots=True)
class Document:
    """A knowledge file's content, and the line of each of its places."""

    file: str
    content: Any
    lines: dict[Path_, int]

    def line(self, place: Path_) -> int:
        """Return the line of a place, or of the nearest place around it."""
        while place and place not in self.lines:
            place = place[:-1]
        return self.lines.get(place, 1)


class _Loader(yaml.SafeLoader):
    """YAML 1.2's view of words: only true and false are truth values, so that yes and no stay answers."""


_Loader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if tag != "tag:yaml.org,2002:bool"]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def read(path: Path, name: str, faults: list[Fault]) -> Document | None:
    """Read one file; a fault of its shape is added to `faults`."""
    try:
        node = yaml.compose(path.read_text(encoding="utf-8"), Loader=_Loader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        problem = clean(str(getattr(error, "problem", None) or "not YAML"))
        faults.append(
            Fault(name, mark.line + 1 if mark else 1, f"is this YAML? {problem}; mend the line or the one before")
        )
        return None
    except (OSError, UnicodeDecodeError) as error:
        faults.append(Fault(name, 0, f"can this file be read? {clean(str(error))}"))
        return None
    except RecursionError:
        faults.append(Fault(name, 0, "does this nest so deep on purpose? The file cannot be read; write it flatter"))
        return None
    if not isinstance(node, yaml.MappingNode):
        faults.append(Fault(name, 1, "is this file empty? It should hold fields with values"))
        return None
    lines: dict[Path_, int] = {}
    content = _build(node, (), lines, name, faults, frozenset())
    return Document(name, content, lines)


def _build(
    node: yaml.Node, place: Path_, lines: dict[Path_, int], name: str, faults: list[Fault], above: frozenset[int]
) -> Any:
    line = node.start_mark.line + 1
    lines[place] = line
    if id(node) in above:
        faults.append(Fault(name, line, "does this refer to itself? Write it out instead of using * and &"))
        return None
    above |= {id(node)}
    if isinstance(node, yaml.MappingNode):
        content: dict[str, Any] = {}
        for key_node, value_node in node.value:
            key = str(key_node.value) if isinstance(key_node, yaml.ScalarNode) else clean(str(key_node.value))
            if key in content:
                first = lines[(*place, key)]
                words = f"is '{clean(key)}' meant twice? It stands on line {first} already; keep one"
                faults.append(Fault(name, key_node.start_mark.line + 1, words))
            content[key] = _build(value_node, (*place, key), lines, name, faults, above)
        return content
    if isinstance(node, yaml.SequenceNode):
        return [_build(child, (*place, i), lines, name, faults, above) for i, child in enumerate(node.value)]
    return _scalar(node, name, faults)


def _scalar(node: yaml.Node, name: str, faults: list[Fault]) -> Any:
    loader = _Loader("")
    try:
        return loader.construct_object(node)
    except (yaml.YAMLError, ValueError, OverflowError) as error:
        faults.append(Fault(name, node.start_mark.line + 1, f"what is this value? {clean(str(error))}"))
        return None
    finally:
        loader.dispose()


def _checked(adapter: TypeAdapter[Any], document: Document, place: Path_, faults: list[Fault]) -> dict[str, Any] | None:
    content = document.content
    for step in place:
        content = content[step]
    try:
        model = adapter.validate_python(content)
    except ValidationError as error:
        for fault in error.errors(include_url=False, include_context=False):
            loc = tuple(step for step in fault["loc"] if step in _steps(document.lines) or isinstance(step, int))
            where = (*place, *loc)
            field = ".".join(str(step) for step in where if not isinstance(step, int))
            found = clean(repr(fault["input"]), 80)
            words = f"{clean(field)}: {clean(fault['msg'], 200)}; found {found}"
            faults.append(Fault(document.file, document.line(where), words))
        return None
    dumped: dict[str, Any] = adapter.dump_python(model, by_alias=True)
    return dumped


def _steps(lines: dict[Path_, int]) -> set[str | int]:
    return {step for place in lines for step in place}


_ONE_A_FILE: dict[str, tuple[str, Any]] = {
    "entries": ("entry", schema.EntryFile),
    "parts": ("part", schema.PartFile),
    "causes": ("cause", schema.CauseFile),
}
_TABLES: dict[str, Any] = {
    "facts": schema.FactModel,
    "referrals": schema.ReferralModel,
    "sources": schema.SourceModel,
    "cautions": schema.Text,
}


def _folder(
    root: Path, folder: str, lines: dict[str, Any], faults: list[Fault]
) -> Iterator[tuple[str, dict[str, Any]]]:
    key, model = _ONE_A_FILE[folder]
    adapter = TypeAdapter[Any](model)
    for path in sorted((root / folder).glob("*.yaml")):
        name = f"trees/{folder}/{path.name}"
        document = read(path, name, faults)
        content = _checked(adapter, document, (), faults) if document else None
        if document is None or content is None:
            continue
        identity = content[key]
        if identity != path.stem:
            words = f"is this the right file? '{key}: {identity}' should stand in {identity}.yaml"
            faults.append(Fault(name, document.line((key,)), words))
        lines[name] = {".".join(map(str, place)): line for place, line in document.lines.items()}
        yield path.stem, content


def compile_knowledge(root: Path) -> tuple[dict[str, Any], list[Fault]]:
    """Read and check every knowledge file's shape.

    Parameters
    ----------
    root
        The folder with `entries/`, `causes/` and the tables.

    Returns
    -------
    tuple
        The plain structure (entries, causes, facts, referrals, sources, cautions, and the lines of each place), and the
        faults; the structure is only whole without faults.

    """
    faults: list[Fault] = []
    lines: dict[str, Any] = {}
    knowledge: dict[str, Any] = {folder: dict(_folder(root, folder, lines, faults)) for folder in _ONE_A_FILE}
    for table, model in _TABLES.items():
        name = f"trees/{table}.yaml"
        document = read(root / f"{table}.yaml", name, faults)
        adapter = TypeAdapter[Any](model)
        knowledge[table] = {}
        if document is None:
            continue
        lines[name] = {".".join(map(str, place)): line for place, line in document.lines.items()}
        for key in document.content:
            content = _checked(adapter, document, (key,), faults)
            if content is not None:
                knowledge[table][key] = content
    knowledge["lines"] = lines
    return knowledge, faults
