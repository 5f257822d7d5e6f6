"""The sheet's knowledge files (`trees/*.yaml`), read with errors that name the file, the line or the entry."""

from __future__ import annotations

from typing import Any

from advisor.errors import KnowledgeError
from advisor.knowledge_home import trees_dir
from advisor.sheet.plain_text import clean

__all__ = ["entry_fault", "load_table", "number_of"]


def load_table(name: str) -> dict[str, Any]:
    """Return the content of one knowledge file.

    Raises
    ------
    KnowledgeError
        When it is missing, is no YAML, or is no mapping.

    """
    import yaml

    loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        table = yaml.load((trees_dir() / name).read_bytes(), Loader=loader)
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
