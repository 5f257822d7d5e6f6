"""The sheet's knowledge files (`trees/*.yaml`), read with errors that name the file, the line or the entry."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any
from zlib import crc32

from advisor.errors import KnowledgeError
from advisor.kept import keep, kept_file
from advisor.knowledge_home import trees_dir
from advisor.sheet.plain_text import clean

__all__ = ["entry_fault", "load_table", "number_of"]


def load_table(name: str) -> dict[str, Any]:
    """Return the content of one knowledge file, from its kept form where the file has not changed since.

    Raises
    ------
    KnowledgeError
        When it is missing, is no YAML, or is no mapping.

    """
    path = trees_dir() / name
    kept = _kept(path)
    if kept is not None:
        try:
            found: dict[str, Any] = json.loads(kept.read_bytes())
            return found
        except (OSError, ValueError):
            pass
    table = _parsed(path, name)
    text = json.dumps(table)
    if kept is not None and json.loads(text) == table:
        keep(kept, text, f"table-{path.stem}-*.json")
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
    import yaml

    loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        table = yaml.load(path.read_bytes(), Loader=loader)
    except OSError as error:
        raise KnowledgeError(f"trees/{name}: the file cannot be read ({error.strerror}); restore it") from None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        place = f":{mark.line + 1}" if mark else ""
        problem = clean(str(getattr(error, "problem", None) or "not YAML"))
        raise KnowledgeError(f"trees/{name}{place}: expected YAML, found: {problem}") from None
    if not isinstance(table, dict):
        raise KnowledgeError(f"trees/{name}: expected a mapping at the top")
    return table


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
