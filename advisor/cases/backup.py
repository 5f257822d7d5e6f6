"""Copies of the log: a whole one of a sound log, and of a damaged one its bytes and every case that can be read."""

from __future__ import annotations

import json
import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from advisor.cases.engine import sqlite_path
from advisor.cases.errors import DamagedError, StoreError
from advisor.cases.tables import body_text

_HEAD = 100
_LARGEST_PAGE = 65_536
_LONGEST_LOST = 4_000_000_000

if TYPE_CHECKING:
    from advisor.cases.store import Store


def sound(file: Path) -> str:
    """Return an empty text when a log's file is sound, else what is wrong with it."""
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            told = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
    except sqlite3.Error as error:
        return str(error)
    return "" if told == "ok" else told


def back_up(store: Store, to: Path) -> int:
    """Copy a log while it is in use; return how many cases the copy has.

    An embedded log becomes a database file, a server's log JSON Lines (`advisor cases import` reads them).

    Raises
    ------
    StoreError
        When the file is there already, or the log is damaged.

    """
    if to.exists():
        raise StoreError(f"{to}: is there already; name a new file")
    part = to.with_name(to.name + ".part")
    try:
        path = sqlite_path(store.url)
        count = _copy(path, part) if path else _write_lines(store, part)
        part.replace(to)
    except OSError as error:
        raise StoreError(f"{to}: can't be written ({error.strerror}); name another place") from None
    finally:
        part.unlink(missing_ok=True)
    return count


def new_lines(file: Path) -> TextIO:
    """Open a new file of JSON Lines, for its owner's eyes only, as the log itself is."""
    file.unlink(missing_ok=True)
    return os.fdopen(_private(file), "w", encoding="ascii")


def _private(file: Path) -> int:
    return os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)


def _copy(path: Path, part: Path) -> int:
    part.unlink(missing_ok=True)
    os.close(_private(part))
    try:
        with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(part)) as target:
            source.backup(target)
            told = str(target.execute("PRAGMA quick_check(1)").fetchone()[0])
            if told != "ok":
                raise DamagedError(f"{path}: the copy is not sound: {told}")
            return int(target.execute("SELECT count(*) FROM cases").fetchone()[0])
    except sqlite3.DatabaseError as error:
        raise DamagedError(f"{path}: can't be copied as a sound database: {error}") from None


def _write_lines(store: Store, part: Path) -> int:
    count = 0
    with new_lines(part) as out:
        for line in store.lines():
            out.write(line + "\n")
            count += 1
    return count


def rescue(path: Path, to: Path) -> tuple[list[Path], int]:
    """Copy a damaged log's files as they are, and write every case that can be read beside them.

    Returns
    -------
    tuple
        The files written, and how many cases were saved.

    """
    tails = ("", "-wal", "-shm")
    for tail in (*tails, ".jsonl"):
        file = to.with_name(to.name + tail)
        if file.exists():
            raise StoreError(f"{file}: is there already; name a new file")
    try:
        return _rescued(path, to, [tail for tail in tails if path.with_name(path.name + tail).exists()])
    except OSError as error:
        raise StoreError(f"{to}: can't be written ({error.strerror}); name another place") from None


def _rescued(path: Path, to: Path, tails: list[str]) -> tuple[list[Path], int]:
    import shutil

    written = []
    for tail in tails:
        target = to.with_name(to.name + tail)
        os.close(_private(target))
        shutil.copyfile(path.with_name(path.name + tail), target)
        written.append(target)
    lines = to.with_name(to.name + ".jsonl")
    # The copy is read, so that the original is not even opened as a database.
    scratch = to.with_name(to.name + ".reading")
    try:
        for tail in tails:
            shutil.copyfile(to.with_name(to.name + tail), scratch.with_name(scratch.name + tail))
        _fill_up(scratch)
        count = _readable(scratch, lines)
    finally:
        for tail in ("", "-wal", "-shm"):
            scratch.with_name(scratch.name + tail).unlink(missing_ok=True)
    return [*written, lines], count


def _fill_up(file: Path) -> None:
    """Give a file that was cut off the length that its head tells, so that SQLite reads the pages that are there."""
    with file.open("r+b") as content:
        head = content.read(_HEAD)
        if len(head) < _HEAD:
            return
        told = int.from_bytes(head[16:18], "big")
        page = _LARGEST_PAGE if told == 1 else told
        length = page * int.from_bytes(head[28:32], "big")
        size = content.seek(0, os.SEEK_END)
        if size < length <= size + _LONGEST_LOST:
            content.truncate(length)


_WAYS = (
    "SELECT n FROM cases NOT INDEXED ORDER BY n {way}",
    "SELECT n FROM cases INDEXED BY cases_by_date ORDER BY at_ms {way}",
    "SELECT n FROM cases INDEXED BY cases_by_alias ORDER BY alias_key {way}",
    "SELECT n FROM cases INDEXED BY cases_by_entry ORDER BY entry {way}",
)
"""Roads to the rows' numbers: where one is broken, another goes round, from either end."""


def _readable(file: Path, lines: Path) -> int:
    """Write every case that can still be read, each looked up alone: a damaged page can end a range in silence."""
    count = 0
    with new_lines(lines) as out, closing(sqlite3.connect(file)) as connection:
        for number in sorted(_numbers(connection)):
            line = _one(connection, number)
            if line:
                out.write(line + "\n")
                count += 1
    return count


def _numbers(connection: sqlite3.Connection) -> set[int]:
    """Return the numbers of all rows that any road leads to."""
    found: set[int] = set()
    for road in _WAYS:
        for way in ("ASC", "DESC"):
            try:
                for (number,) in connection.execute(road.format(way=way)):
                    if isinstance(number, int):
                        found.add(number)
            except sqlite3.Error:
                continue
    return found


def _one(connection: sqlite3.Connection, number: int) -> str:
    """Return a row's case, empty where it is not whole."""
    from advisor.cases.errors import StoreError
    from advisor.cases.record import from_dict

    try:
        row = connection.execute("SELECT id, body FROM cases NOT INDEXED WHERE n = ?", (number,)).fetchone()
        if row is None or not isinstance(row[1], bytes):
            return ""
        line = body_text(row[1])
        return line if from_dict(json.loads(line)).id == row[0] else ""
    except (sqlite3.Error, StoreError, ValueError):
        return ""
