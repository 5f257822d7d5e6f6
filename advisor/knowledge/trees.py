"""The knowledge files of one knowledge, passed along with what is answered from them; two of them live side by side.

What is made of the files (windows, adjustments, the phrasebook ...) is made by a reader of its own room, once for each
`Trees`: a reader is a function of a `Trees`, marked `of_trees`.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, wraps
from pathlib import Path
from typing import Any, TypeVar, cast

from advisor.errors import KnowledgeError
from advisor.knowledge.tables import read_table
from advisor.knowledge_home import trees_dir

Made = TypeVar("Made")
_NEVER_A_SHOPS = "signs/"


class Trees:
    """The knowledge files in one folder.

    Parameters
    ----------
    home
        A folder such as the project's `trees/`.
    shop
        A folder with a shop's corrections (`corrections.py`), laid over it.

    """

    def __init__(self, home: Path, shop: Path | None = None) -> None:
        self.home = home
        self.shop = shop
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
            corrected = self.shop is not None and not name.startswith(_NEVER_A_SHOPS) and (self.shop / name).is_file()
            self._tables[name] = self._laid_over(name) if corrected else read_table(self.home / name, name)
        return self._tables[name]

    def _laid_over(self, name: str) -> dict[str, Any]:
        from advisor.knowledge.corrections import read_layered
        from advisor.knowledge.fault import Fault

        faults: list[Fault] = []
        document = read_layered(self.home, self.shop, name, faults)
        if faults or document is None:
            raise KnowledgeError(faults[0].place_and_words)
        return cast(dict[str, Any], document.content)

    def made(self, make: Callable[[Trees], Made]) -> Made:
        """Return what a reader makes of these files; it is called once."""
        if make not in self._made:
            self._made[make] = make(self)
        return cast(Made, self._made[make])

    def __reduce__(self) -> tuple[Callable[[Path, Path | None], Trees], tuple[Path, Path | None]]:
        """Travel to another process as the names of the folders."""
        return trees_at, (self.home, self.shop)


@cache
def trees_at(home: Path, shop: Path | None = None) -> Trees:
    """Return the knowledge files of a folder, with a shop's corrections laid over."""
    return Trees(home, shop)


def authors() -> Trees:
    """Return the knowledge as its authors wrote it."""
    return trees_at(trees_dir())


def of_trees(make: Callable[[Trees], Made]) -> Callable[[Trees | None], Made]:
    """Mark a reader: it is called once for each `Trees`, and without one reads the authors' knowledge."""

    @wraps(make)
    def read(trees: Trees | None = None) -> Made:
        return (authors() if trees is None else trees).made(make)

    return read
