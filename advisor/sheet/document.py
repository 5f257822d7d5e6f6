"""Bytes to a tree of sections and leaves with their lines: YAML, or JSON as the part of YAML that it is.

Read event by event, so that anchors, deep nesting, tags and duplicate keys are met before anything is built from them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from advisor.sheet.plain_text import clean

__all__ = ["MAX_BYTES", "Branch", "Fault", "Node", "UnreadableError", "Value", "plain", "read_document"]

MAX_BYTES = 1_000_000
_DEEPEST = 8

_INTEGER = re.compile(r"[-+]?[0-9]{1,15}", re.ASCII)
_FLOAT = re.compile(r"[-+]?(?:[0-9]{1,15}\.[0-9]{0,20}|\.[0-9]{1,20}|[0-9]{1,15})(?:[eE][-+]?[0-9]{1,3})?", re.ASCII)
_INFINITE = re.compile(r"[-+]?\.?inf(?:inity)?", re.ASCII | re.IGNORECASE)
_NAN = re.compile(r"\.?nan", re.ASCII | re.IGNORECASE)
_TRUTH = {"true": True, "yes": True, "on": True, "false": False, "no": False, "off": False}


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a document: the line (0 for the whole file), the field's path, and the words."""

    line: int
    path: str
    words: str


class UnreadableError(Exception):
    """The document cannot be read any further."""

    def __init__(self, line: int, words: str) -> None:
        self.fault = Fault(line, "", words)
        super().__init__(words)


@dataclass(slots=True)
class Value:
    """A leaf or a list: what it holds, its line, and its text as written."""

    value: Any
    line: int
    text: str


@dataclass(slots=True)
class Branch:
    """A mapping: its entries, the line it begins on, and the line of each key."""

    items: dict[str, Branch | Value] = field(default_factory=dict)
    line: int = 1
    key_lines: dict[str, int] = field(default_factory=dict)


Node = Branch | Value


def plain(node: Node) -> Any:
    """Return the bare values of a tree."""
    if isinstance(node, Branch):
        return {key: plain(child) for key, child in node.items.items()}
    return node.value


def _scalar(text: str, quoted: bool) -> Any:
    """Return a scalar's value: numbers in decimal only, true/false in its common spellings, blank is None."""
    if quoted:
        return text
    if _INTEGER.fullmatch(text):
        return int(text)
    if _FLOAT.fullmatch(text):
        return float(text)
    if text in {"", "~", "null", "Null", "NULL"}:
        return None
    if text.lower() in _TRUTH:
        return _TRUTH[text.lower()]
    if _INFINITE.fullmatch(text):
        return float("-inf") if text[0] == "-" else float("inf")
    return float("nan") if _NAN.fullmatch(text) else text


class _Builder:
    """Builds the tree from events."""

    def __init__(self, events: Iterator[Any]) -> None:
        self.events = events
        self.faults: list[Fault] = []

    def node(self, event: Any, path: str, depth: int) -> Node:
        line = event.start_mark.line + 1
        kind = type(event).__name__
        if kind == "AliasEvent" or getattr(event, "anchor", None):
            raise UnreadableError(
                line, "expected every value written out, found an anchor or alias (& or *); write the value there"
            )
        if getattr(event, "tag", None) not in {None, "!"}:
            raise UnreadableError(line, f"expected plain values, found the tag {clean(str(event.tag))}; remove it")
        if depth > _DEEPEST:
            raise UnreadableError(
                line, f"expected at most 5 levels of nesting, found more than {_DEEPEST}; check the brackets"
            )
        if kind == "ScalarEvent":
            quoted = event.style in {"'", '"', "|", ">"}
            return Value(_scalar(event.value, quoted), line, event.value)
        if kind == "SequenceStartEvent":
            return self.sequence(path, depth, line)
        return self.mapping(path, depth, line)

    def sequence(self, path: str, depth: int, line: int) -> Value:
        items = []
        for event in self.events:
            if type(event).__name__ == "SequenceEndEvent":
                break
            items.append(plain(self.node(event, path, depth + 1)))
        return Value(items, line, ", ".join(str(item) for item in items[:10]).join("[]"))

    def mapping(self, path: str, depth: int, line: int) -> Branch:
        branch = Branch(line=line)
        for event in self.events:
            if type(event).__name__ == "MappingEndEvent":
                break
            key_line = event.start_mark.line + 1
            if type(event).__name__ != "ScalarEvent":
                raise UnreadableError(
                    key_line, "expected a plain name for a field, found a list or section; check the brackets"
                )
            key = self.node(event, path, depth)
            name = key.text if isinstance(key, Value) else ""
            place = f"{path}.{name}" if path else name
            child = self.node(next(self.events), place, depth + 1)
            if name in branch.items:
                first = branch.key_lines[name]
                self.faults.append(
                    Fault(key_line, place, f"expected it once, found it again (first on line {first}); remove one")
                )
                continue
            branch.items[name] = child
            branch.key_lines[name] = key_line
        return branch


def _decode(data: bytes) -> str:
    if len(data) > MAX_BYTES:
        raise UnreadableError(
            0, f"expected a setup sheet of a few kilobytes, found more than {MAX_BYTES // 1000} kB; is it another file?"
        )
    if b"\x00" in data:
        raise UnreadableError(0, "expected a text file (YAML or JSON), found binary data; is it another file?")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise UnreadableError(
            line, f"expected text in UTF-8, found the byte {data[error.start]:#04x}; save the file as UTF-8"
        ) from None
    if not text.strip():
        raise UnreadableError(0, "expected a setup sheet, found an empty file; begin with the line 'schema: 1'")
    blank = len(text) - len(text.lstrip())
    return "\n" * text.count("\n", 0, blank) + text[blank:] if text[blank] == "{" else text


def read_document(data: bytes) -> tuple[Branch, list[Fault]]:
    """Return a document's tree, and the faults of its shape that do not stop the reading.

    Raises
    ------
    UnreadableError
        When it is no text, no YAML or JSON, no mapping, too large, or holds what a sheet never holds.

    """
    import yaml

    text = _decode(data)
    loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    builder = _Builder(iter(yaml.parse(text, Loader=loader)))
    try:
        for event in builder.events:
            if type(event).__name__ == "DocumentStartEvent":
                break
        first = next(builder.events)
        if type(first).__name__ == "StreamEndEvent" or type(first).__name__ == "DocumentEndEvent":
            raise UnreadableError(0, "expected a setup sheet, found no fields; begin with the line 'schema: 1'")
        root = builder.node(first, "", 1)
        if isinstance(root, Value):
            if root.value is None:
                raise UnreadableError(0, "expected a setup sheet, found no fields; begin with the line 'schema: 1'")
            raise UnreadableError(root.line, f"expected fields such as 'schema: 1', found {clean(root.text)!r}")
        for event in builder.events:
            if type(event).__name__ == "DocumentStartEvent":
                line = event.start_mark.line + 1
                raise UnreadableError(line, "expected one sheet in a file, found a second after '---'; split the file")
    except yaml.YAMLError as error:
        raise _syntax(error) from None
    except StopIteration:
        raise UnreadableError(0, "expected a setup sheet, found no fields; begin with the line 'schema: 1'") from None
    return root, builder.faults


def _syntax(error: Any) -> UnreadableError:
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    line = mark.line + 1 if mark else 0
    problem = clean(str(getattr(error, "problem", None) or getattr(error, "reason", None) or "not YAML"))
    return UnreadableError(line, f"expected YAML or JSON, found: {problem}; check indentation, quotes and colons there")
