"""The log as a conversation uses it: opened only when there is something to save, and never in its way.

Whatever goes wrong, the conversation goes on; the case waits in the folder `unsent` and is sent later.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cases.errors import StoreError
from advisor.cases.places import odds_file, store_url, unsent_folder
from advisor.cases.record import CaseRecord, Done, Result
from advisor.cases.unsent import Item, Unsent

if TYPE_CHECKING:
    from advisor.cases.store import Store

__all__ = ["CaseLog", "Kept", "Tallies", "read_odds", "write_odds"]

Tallies = Mapping[str, Mapping[str, tuple[int, int]]]


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of something to save: in the log, waiting to be sent, or nowhere; `words` say why not in the log."""

    where: str
    words: str = ""

    @property
    def safe(self) -> bool:
        """Whether it outlives this conversation."""
        return self.where != "nowhere"


class CaseLog:
    """The shop's log, from the settings in the environment."""

    def __init__(self, environ: Mapping[str, str] | None = None) -> None:
        self._environ = environ
        self._store: Store | None = None
        self.unsent = Unsent(unsent_folder(environ))

    def store(self) -> Store:
        """Return the open log, with all that waited sent to it.

        Raises
        ------
        StoreError
            When it can't be opened.

        """
        if self._store is None:
            from advisor.cases.store import Store

            self._store = Store(store_url(self._environ))
            if self.unsent.files() and self.unsent.send(self._store):
                self._note_odds()
        return self._store

    def close(self) -> None:
        """Let go of the log."""
        if self._store is not None:
            self._store.close()
            self._store = None

    def save(self, record: CaseRecord) -> Kept:
        """Save a case."""
        return self._keep(record)

    def set_done(self, number: str, done: Done) -> Kept:
        """Write down what was really done."""
        return self._keep((number, done))

    def set_result(self, number: str, result: Result) -> Kept:
        """Write down how it went, and count it."""
        return self._keep((number, result))

    def last(self, alias: str) -> CaseRecord | None:
        """Return a customer's last case."""
        return self.store().last(alias)

    def _keep(self, item: Item) -> Kept:
        try:
            store = self.store()
            if isinstance(item, CaseRecord):
                store.save(item)
            elif isinstance(item[1], Done):
                store.set_done(item[0], item[1])
            else:
                store.set_result(item[0], item[1])
                self._note_odds()
            return Kept("log")
        except (StoreError, ImportError) as error:
            self.close()
            why = str(error)
        try:
            self.unsent.put(item)
        except OSError as error:
            return Kept("nowhere", f"{why}; nor can it wait in {self.unsent.folder} ({error.strerror})")
        return Kept("waiting", why)

    def _note_odds(self) -> None:
        if self._store is not None:
            write_odds(self._store.tallies(), self._environ)


def write_odds(tallies: Tallies, environ: Mapping[str, str] | None = None) -> None:
    """Keep the counts by cause where a conversation finds them without opening the log; failing costs nothing else."""
    file = odds_file(environ)
    part = file.with_suffix(f".{os.getpid()}.part")
    try:
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        part.write_text(json.dumps(tallies), encoding="ascii")
        part.replace(file)
    except OSError:
        return


def read_odds(environ: Mapping[str, str] | None = None) -> Tallies:
    """Return the counts by cause as last written; none where there is no log or the file is not whole."""
    return _tallies(odds_file(environ))


def _tallies(file: Path) -> Tallies:
    try:
        raw: Any = json.loads(file.read_bytes())
        return {
            str(entry): {str(name): _pair(pair) for name, pair in suspects.items()} for entry, suspects in raw.items()
        }
    except (OSError, ValueError, AttributeError, TypeError):
        return {}


def _pair(pair: Any) -> tuple[int, int]:
    better, tried = int(pair[0]), int(pair[1])
    if not 0 <= better <= tried:
        raise ValueError(pair)
    return better, tried
