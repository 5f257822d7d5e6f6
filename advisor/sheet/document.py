"""Bytes to a tree of sections and leaves with their lines: YAML, or JSON as the part of YAML that it is.

Read event by event, so that anchors, deep nesting, tags and duplicate keys are met before anything is built from them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

from advisor.plain_text import clean

MAX_BYTES = 1_000_000
_DEEPEST = 8

_NUMERAL = frozenset("0123456789+-.eE")
_LONGEST_NUMERAL = 40
_ODD = {"inf": float("inf"), "nan": float("nan")}
_TRUTH = {"true": True, "yes": True, "on": True, "false": False, "no": False, "off": False}


class Fault(NamedTuple):
    """One thing wrong with a document: the line (0 for the whole file), the field's path, and the words."""

    line: int
    path: str
    words: str


class UnreadableError(Exception):
    """The document cannot be read any further."""

    def __init__(self, line: int, words: str) -> None:
        self.fault = Fault(line, "", words)
        super().__init__(words)


class Value(NamedTuple):
    """A leaf or a list: what it holds, its line, and its text as written."""

    value: Any
    line: int
    text: str


class Branch:
    """A mapping: its entries, and the line of each key."""

    __slots__ = ("items", "key_lines")

    def __init__(self) -> None:
        self.items: dict[str, Branch | Value] = {}
        self.key_lines: dict[str, int] = {}


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
    if text and text[0] in "+-.0123456789" and _NUMERAL.issuperset(text) and len(text) <= _LONGEST_NUMERAL:
        return _number(text)
    lower = text.lower()
    if lower in {"", "~", "null"}:
        return None
    if lower in _TRUTH:
        return _TRUTH[lower]
    return _ODD.get(lower.lstrip("+-."), text) if lower[-1] in "fn" else text


def _number(text: str) -> float | str:
    try:
        return int(text)
    except ValueError:
        pass
    try:
        return float(text)
    except ValueError:
        return text


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
        return self.mapping(path, depth)

    def sequence(self, path: str, depth: int, line: int) -> Value:
        items = []
        for event in self.events:
            if type(event).__name__ == "SequenceEndEvent":
                break
            items.append(plain(self.node(event, path, depth + 1)))
        return Value(items, line, ", ".join(str(item) for item in items[:10]).join("[]"))

    def mapping(self, path: str, depth: int) -> Branch:
        branch = Branch()
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
    return "\n" * text.count("\n", 0, blank) + _json_escapes(text[blank:]) if text[blank] == "{" else text


def _json_escapes(text: str) -> str:
    r"""Return JSON text with its surrogate pairs (`\ud83d\ude00`) as characters, for YAML has no pairs."""
    if "\\ud" not in text.lower():
        return text
    pair = re.compile(r"\\u(d[89ab][0-9a-f]{2})\\u(d[c-f][0-9a-f]{2})", re.IGNORECASE)
    return pair.sub(lambda match: bytes.fromhex(match[1] + match[2]).decode("utf-16-be"), text)


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
    if "nesting" in problem:
        return UnreadableError(line, "expected at most 5 levels of nesting, found far more; check the brackets")
    return UnreadableError(line, f"expected YAML or JSON, found: {problem}; check indentation, quotes and colons there")
