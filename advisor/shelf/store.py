"""The shelf itself: one SQLite file in the shop's folder, with an index of the labels' words for a few letters typed.

YAML and CSV files laid into the shelf's folder are taken in by themselves, and again whenever they change.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType

from advisor.errors import AdvisorError
from advisor.shelf.items import KINDS, Item, Kind, key_of, restored, stored
from advisor.shop_folder import shelf_folder

_TABLES = """
create table if not exists items (
  id integer primary key, kind text not null, key text not null, label text not null, fleet integer not null,
  count integer not null, source text not null, leaves text not null);
create unique index if not exists by_label on items (kind, key);
create index if not exists by_key on items (key);
create virtual table if not exists words using fts5(key, content='items', content_rowid='id', prefix='1 2 3');
create trigger if not exists added after insert on items begin
  insert into words (rowid, key) values (new.id, new.key); end;
create trigger if not exists gone after delete on items begin
  insert into words (words, rowid, key) values ('delete', old.id, old.key); end;
create table if not exists files (name text primary key, seen text not null);
"""
_COLUMNS = "kind, label, fleet, count, leaves"
_LAST = "\U0010ffff"
_TYPED = "typed"
_BUSY_S = 5.0


class Shelf:
    """The shop's boards, boots and bindings; use it in a `with`.

    Parameters
    ----------
    environ
        Settings that say where the shop's folder lies.

    Raises
    ------
    AdvisorError
        When the folder can't be used, or a file in it has faults.

    """

    def __init__(self, environ: Mapping[str, str] | None = None) -> None:
        self.folder = shelf_folder(environ)
        self.file = self.folder / "shelf.sqlite"
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            self._db = sqlite3.connect(self.file, timeout=_BUSY_S)
            self.file.chmod(0o600)
            self._db.executescript(_TABLES)
        except (OSError, sqlite3.Error) as error:
            raise AdvisorError(f"{self.file}: the shelf can't be opened ({error}); check the folder") from None
        try:
            self._take_in_files()
        except BaseException:
            self._db.close()
            raise

    def __enter__(self) -> Shelf:
        return self

    def __exit__(self, *_: type[BaseException] | BaseException | TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()

    @contextmanager
    def _changing(self) -> Iterator[sqlite3.Connection]:
        try:
            with self._db:
                yield self._db
        except sqlite3.Error as error:
            raise AdvisorError(f"{self.file}: the shelf can't be written ({error}); nothing was changed") from None

    # ------------------------------------------------------------------ what comes in

    def _take_in_files(self) -> None:
        """Take in the folder's own files that are new or have changed, and let go of what a deleted one held."""
        from advisor.shelf.reading import read_items

        seen = dict(self._db.execute("select name, seen from files"))
        there = {}
        for path in sorted(self.folder.iterdir()):
            if path.suffix.lower() in {".yaml", ".yml", ".csv", ".tsv"}:
                stat = path.stat()
                there[path.name] = f"{stat.st_size} {stat.st_mtime_ns}"
        if there == seen:
            return
        fresh = {name: read_items(self.folder / name) for name, now in there.items() if seen.get(name) != now}
        with self._changing() as db:
            for name in {*(set(seen) - set(there)), *fresh}:
                db.execute("delete from items where source = ?", (name,))
                db.execute("delete from files where name = ?", (name,))
            for name, items in fresh.items():
                self._put(db, items, name)
                db.execute("insert into files values (?, ?)", (name, there[name]))

    def put(self, items: Iterable[Item]) -> int:
        """Keep things; one of the same kind and label is replaced. Returns how many."""
        with self._changing() as db:
            return self._put(db, items, _TYPED)

    def _put(self, db: sqlite3.Connection, items: Iterable[Item], source: str) -> int:
        number = 0
        for item in items:
            key = key_of(item.label)
            db.execute("delete from items where kind = ? and key = ?", (item.kind, key))
            db.execute(
                "insert into items (kind, key, label, fleet, count, source, leaves) values (?, ?, ?, ?, ?, ?, ?)",
                (item.kind, key, item.label, int(item.fleet), item.count, source, json.dumps(stored(item))),
            )
            number += 1
        return number

    def forget(self, label: str, kind: Kind | None = None) -> int:
        """Delete what goes by a label. Returns how many things that were.

        Raises
        ------
        AdvisorError
            When it stands in a file of the folder, which would bring it back.

        """
        kinds = (kind,) if kind else KINDS
        marks = ", ".join("?" for _ in kinds)
        where = f"key = ? and kind in ({marks})"
        told = (key_of(label), *kinds)
        sources = {row[0] for row in self._db.execute(f"select source from items where {where}", told)} - {_TYPED}
        if sources:
            files = ", ".join(str(self.folder / name) for name in sorted(sources))
            raise AdvisorError(f"'{label}' stands in {files}; take it out there")
        with self._changing() as db:
            return db.execute(f"delete from items where {where}", told).rowcount

    # ------------------------------------------------------------------ what is found

    def get(self, label: str, kind: Kind | None = None) -> tuple[Item, ...]:
        """Return what goes by exactly this label, capitals aside."""
        rows = self._db.execute(f"select {_COLUMNS} from items where key = ?", (key_of(label),))
        return tuple(item for item in map(_item, rows) if kind in {None, item.kind})

    def find(self, letters: str, kind: Kind | None = None, most: int = 8) -> tuple[Item, ...]:
        """Return what a few letters may mean: labels that begin with them first, then those with words that do.

        Parameters
        ----------
        letters
            Beginnings of words, in any order: `lar 15`.
        kind
            Only these, where told.
        most
            How many at most.

        """
        key = key_of(letters)
        only, told = ("and kind = ?", (kind,)) if kind else ("", ())
        if not key:
            rows = self._db.execute(f"select {_COLUMNS} from items where 1 {only} order by key limit ?", (*told, most))
            return tuple(map(_item, rows))
        begins = self._db.execute(
            f"select {_COLUMNS}, id from items where key >= ? and key < ? {only} order by key limit ?",
            (key, key + _LAST, *told, most),
        ).fetchall()
        words = re.findall(r"\w+", key)
        exact = any(key_of(str(row[1])) == key for row in begins)
        if len(begins) < most and words and not exact:
            asked = " ".join(f'"{word}"*' for word in words)
            of_kind = "and items.kind = ?" if kind else ""
            begins += self._db.execute(
                "select items.kind, label, fleet, count, leaves, items.id"
                f" from words join items on items.id = words.rowid where words match ? {of_kind} limit ?",
                (asked, *told, most + len(begins)),
            ).fetchall()
        found = {row[-1]: row for row in begins}
        return tuple(_item(row) for row in list(found.values())[:most])

    def every(self, kind: Kind | None = None, fleet: bool | None = None) -> Iterator[Item]:
        """Yield everything, by kind and label; of the hire fleet, or not, where told."""
        for row in self._db.execute(f"select {_COLUMNS} from items order by kind, key"):
            item = _item(row)
            if kind in {None, item.kind} and fleet in {None, item.fleet}:
                yield item

    def boards(self) -> tuple[Mapping[str, float], ...]:
        """Return the numbers of every board, for what is usual in this shop."""
        return tuple(item.numbers for item in self.every("board"))

    def count(self) -> dict[str, int]:
        """Return how many labels there are, by kind."""
        return dict(self._db.execute("select kind, count(*) from items group by kind"))


def _item(row: tuple[object, ...]) -> Item:
    kind: Kind = next(one for one in KINDS if one == row[0])
    leaves = restored(json.loads(str(row[4])))
    return Item(kind, str(row[1]), leaves, bool(row[2]), int(str(row[3])))


def shelf_there(environ: Mapping[str, str] | None = None) -> Path | None:
    """Return the shelf's folder where the shop has one, without making it."""
    folder = shelf_folder(environ)
    return folder if folder.is_dir() else None
