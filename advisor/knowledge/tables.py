"""The tables of `trees/`, each read once and kept, with errors that name the file, the line or the entry."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zlib import crc32

from advisor.errors import KnowledgeError
from advisor.kept import keep, kept_file, read_kept
from advisor.knowledge_home import trees_dir
from advisor.plain_text import clean

if TYPE_CHECKING:
    from advisor.knowledge.fault import Fault


def load_table(name: str) -> dict[str, Any]:
    """Return the content of one of the authors' knowledge files."""
    return read_table(trees_dir() / name, name)


def read_table(path: Path, name: str) -> dict[str, Any]:
    """Return the content of one knowledge file, from its kept form where the file has not changed since.

    Raises
    ------
    KnowledgeError
        When it is missing, is no YAML, or is no mapping.

    """
    kept = _kept(path)
    if kept is not None:
        content = read_kept(kept)
        if content is not None:
            found: dict[str, Any] = json.loads(content)
            return found
    table = _parsed(path, name)
    text = json.dumps(table)
    if kept is not None and json.loads(text) == table:
        keep(kept, text, kept.name.rpartition("-")[0].rpartition("-")[0] + "-*.json")
    return table


def _kept(path: Path) -> Path | None:
    """Return where a file's content is kept: the name changes with the file's place, size and time."""
    try:
        stat = path.stat()
    except OSError:
        return None
    place = crc32(os.fsencode(path))
    return kept_file(f"table-{path.stem}-{place:x}-{stat.st_size:x}-{stat.st_mtime_ns:x}.json")


def _parsed(path: Path, name: str) -> dict[str, Any]:
    from advisor.knowledge.lined_yaml import read

    faults: list[Fault] = []
    document = read(path, f"trees/{name}", faults)
    if faults or document is None:
        raise KnowledgeError(faults[0].place_and_words)
    content: dict[str, Any] = document.content
    return content


def entry_fault(name: str, entry: str, words: str) -> KnowledgeError:
    """Return the error for one entry of a knowledge file."""
    return KnowledgeError(f"trees/{name}: {clean(entry)}: {words}")


def number_of(name: str, entry: str, key: str, raw: Any) -> float:
    """Return a number of an entry.

    Raises
    ------
    KnowledgeError
        When it is not a finite number.

    """
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not abs(raw) < float("inf"):
        raise entry_fault(name, entry, f"expected {key} as a number, found {clean(repr(raw))}")
    return float(raw)
