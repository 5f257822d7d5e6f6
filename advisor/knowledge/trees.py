"""The knowledge files of one knowledge, passed along with what is answered from them; two of them live side by side.

What is made of the files (windows, adjustments, the phrasebook ...) is made by a reader of its own room, once for each
`Trees`: a reader is a function of a `Trees`, marked `of_trees`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from pathlib import Path
from typing import Any, TypeVar, cast

from advisor.knowledge.tables import read_table
from advisor.knowledge_home import trees_dir

Made = TypeVar("Made")


class Trees:
    """The knowledge files in one folder.

    Parameters
    ----------
    home
        A folder such as the project's `trees/`.

    """

    def __init__(self, home: Path) -> None:
        self.home = home
        self._tables: dict[str, dict[str, Any]] = {}
        self._made: dict[Callable[..., Any], Any] = {}

    def table(self, name: str) -> dict[str, Any]:
        """Return the content of one knowledge file.

        Raises
        ------
        KnowledgeError
            When it is missing, is no YAML, or is no mapping.

        """
        if name not in self._tables:
            self._tables[name] = read_table(self.home / name, name)
        return self._tables[name]

    def made(self, make: Callable[[Trees], Made]) -> Made:
        """Return what a reader makes of these files; it is called once."""
        if make not in self._made:
            self._made[make] = make(self)
        return cast(Made, self._made[make])

    def __reduce__(self) -> tuple[Callable[[Path], Trees], tuple[Path]]:
        """Travel to another process as the name of the folder."""
        return trees_at, (self.home,)


@cache
def trees_at(home: Path) -> Trees:
    """Return the knowledge files of a folder."""
    return Trees(home)


def authors() -> Trees:
    """Return the knowledge as its authors wrote it."""
    return trees_at(trees_dir())


def of_trees(make: Callable[[Trees], Made]) -> Callable[[Trees | None], Made]:
    """Mark a reader: it is called once for each `Trees`, and without one reads the authors' knowledge."""

    @wraps(make)
    def read(trees: Trees | None = None) -> Made:
        return (authors() if trees is None else trees).made(make)

    return read
