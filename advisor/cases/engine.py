"""Open the log on either database: full durability, the schema brought up to date, errors put into words."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from random import uniform
from time import monotonic, sleep
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, exc, inspect, text
from sqlalchemy.engine import make_url

from advisor.cases.errors import DamagedError, NewerError, StoreError, UnreachableError
from advisor.plain_text import clean

REVISIONS = ("0001", "0002", "0003", "0004")
"""Every schema that this advisor knows, oldest first."""

WRITES = {"advisor_writes": True}
"""Execution options of a transaction that writes; SQLite takes its lock at the start of it."""

_BUSY_S = 30.0
_LOOK_S = (0.0005, 0.004)
_CACHE_KB = 65_536  # an import touches every index; with the usual 2 MB it would read and write them over and over
_PAGE_BYTES = 8192  # a case takes 2 KB or so: in pages of 4096 hardly two would fit, and a third of the file be empty
_CONNECT_S = 3
_STATEMENT_MS = 20_000
_MAGIC = b"SQLite format 3\x00"
_ADVISORY_LOCK = 0x5345_4544
_BUSY_CODES = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_DAMAGED_CODES = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}


def sqlite_path(url: str) -> Path | None:
    """Return the file of an embedded log, None for a server."""
    parsed = make_url(url)
    return Path(parsed.database) if parsed.get_backend_name() == "sqlite" and parsed.database else None


def engine_for(url: str) -> Engine:
    """Return an engine for a log's URL.

    Raises
    ------
    StoreError
        When the URL can't be read or its driver is not installed.

    """
    try:
        parsed = make_url(url)
        if parsed.get_backend_name() == "sqlite":
            return _sqlite(url)
        options = f"-c statement_timeout={_STATEMENT_MS} -c lock_timeout={_STATEMENT_MS}"
        return create_engine(
            parsed,
            pool_pre_ping=True,
            pool_size=1,
            connect_args={
                "connect_timeout": _CONNECT_S,
                "options": options,
                "keepalives_idle": 5,
                "tcp_user_timeout": 5000,
            },
        )
    except exc.ArgumentError:
        raise StoreError("ADVISOR_STORE: this is no URL; expected postgresql+psycopg://USER@HOST/DATABASE") from None
    except ModuleNotFoundError as error:
        raise StoreError(
            f"ADVISOR_STORE: {error.name} is not installed; run: pip install 'advisor[postgres]'"
        ) from None


def _sqlite(url: str) -> Engine:
    engine = create_engine(url, connect_args={"timeout": _BUSY_S})

    @event.listens_for(engine, "connect")
    def _settings(connection: Any, _: Any) -> None:
        connection.isolation_level = None  # SQLAlchemy's own events begin and end transactions
        for setting in (
            f"page_size={_PAGE_BYTES}",
            "journal_mode=WAL",
            "synchronous=FULL",
            f"cache_size=-{_CACHE_KB}",
            "secure_delete=ON",
        ):
            _patiently(partial(connection.execute, f"PRAGMA {setting}"))

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        if connection.get_execution_options().get("advisor_writes"):
            _begin_to_write(connection)
        else:
            connection.exec_driver_sql("BEGIN")

    return engine


def _begin_to_write(connection: Connection) -> None:
    """Take the write lock, or try until `_BUSY_S` have passed.

    SQLite's own wait looks every 100 ms in the end, and so may never meet the millisecond between two transactions of
    another counter that writes without a pause; this one looks every few, at random.
    """
    connection.exec_driver_sql("PRAGMA busy_timeout=0")
    try:
        _patiently(lambda: connection.exec_driver_sql("BEGIN IMMEDIATE"))
    finally:
        connection.exec_driver_sql(f"PRAGMA busy_timeout={_BUSY_S * 1000:.0f}")


def _patiently(statement: Callable[[], Any]) -> None:
    """Run a statement again and again while another counter holds the file, until `_BUSY_S` have passed.

    SQLite's own wait does not cover all: a file that another counter turns to WAL just now is refused at once.
    """
    until = monotonic() + _BUSY_S
    while True:
        try:
            statement()
        except (exc.OperationalError, sqlite3.OperationalError) as error:
            cause = error.orig if isinstance(error, exc.OperationalError) else error
            code = getattr(cause, "sqlite_errorcode", 0) & 0xFF
            if code not in _BUSY_CODES or monotonic() > until:
                raise
        else:
            return
        sleep(uniform(*_LOOK_S))


@contextmanager
def in_words(url: str) -> Iterator[None]:
    """Turn a database's errors into errors for people."""
    try:
        yield
    except (exc.DBAPIError, sqlite3.Error) as error:
        raise _told(error, url) from error
    except OSError as error:
        raise UnreachableError(f"the case log {named(url)} can't be used: {error.strerror or error}") from error


def named(url: str) -> str:
    """Return where a log lies, without a password."""
    path = sqlite_path(url)
    return clean(str(path), 300) if path else clean(make_url(url).render_as_string(hide_password=True), 300)


def _told(error: exc.DBAPIError | sqlite3.Error, url: str) -> StoreError:
    cause = error.orig if isinstance(error, exc.DBAPIError) else error
    words = clean(" ".join(str(cause).split()), 200)
    if isinstance(cause, sqlite3.Error):
        code = (getattr(cause, "sqlite_errorcode", 0) or 0) & 0xFF
        if code in _DAMAGED_CODES:
            return damaged(url, words)
        if code in _BUSY_CODES:
            return UnreachableError(f"the case log {named(url)} is busy with another counter; try again")
        if code == sqlite3.SQLITE_FULL:
            return UnreachableError(f"no room on the disk for the case log {named(url)}; make room and try again")
        if code in {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM}:
            return UnreachableError(
                f"the case log {named(url)} can't be written ({words}); check who may write in its folder, "
                "or set ADVISOR_DATA to another folder"
            )
    return UnreachableError(f"the case log {named(url)} can't be used now: {words}")


def damaged(url: str, words: str) -> DamagedError:
    """Return the error for a damaged file."""
    return DamagedError(
        f"the case log {named(url)} is damaged ({words}). It was left as it is. 'advisor cases backup --to FILE' "
        "copies it and saves every case that can still be read; then move it away and import what was saved"
    )


def check_file(url: str) -> None:
    """Refuse a file that is no database, before anything opens it; make a new one for its owner's eyes only."""
    path = sqlite_path(url)
    if path is None:
        return
    try:
        with path.open("rb") as file:
            head = file.read(len(_MAGIC))
    except FileNotFoundError:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
        return
    if head and head != _MAGIC:
        raise damaged(url, "it does not begin as a database does")


def bring_up_to_date(engine: Engine, url: str) -> None:
    """Make the tables, or bring older ones up to date, in one transaction.

    Raises
    ------
    NewerError
        When a newer advisor has written the log.
    StoreError
        When the database is another program's.

    """
    with engine.connect() as connection:
        if _version(connection, url) == REVISIONS[-1]:
            return
    with engine.execution_options(**WRITES).begin() as connection:
        if connection.dialect.name == "postgresql":
            connection.execute(text("SET LOCAL statement_timeout = 0"))
            connection.execute(text("SELECT pg_advisory_xact_lock(:n)"), {"n": _ADVISORY_LOCK})
        if _version(connection, url) != REVISIONS[-1]:
            _migrate(connection)


def _version(connection: Connection, url: str) -> str | None:
    tables = inspect(connection).get_table_names()
    found = None
    if "alembic_version" in tables:
        found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    if found is None and "cases" in tables:
        raise StoreError(
            f"{named(url)}: there is a table 'cases' that is not the advisor's; name another file or database"
        )
    if found is not None and found not in REVISIONS:
        raise NewerError(
            f"the case log {named(url)} was written by a newer advisor (schema {clean(str(found))}, this one knows "
            f"up to {REVISIONS[-1]}). Nothing was changed; update the advisor"
        )
    return found


def _migrate(connection: Connection, to: str = "head") -> None:
    """Run the migrations that are missing on a connection, inside its transaction."""
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    scripts = ScriptDirectory(str(Path(__file__).parent / "migrations"))

    def missing(revision: Any, _: Any) -> Any:
        return scripts._upgrade_revs(to, revision)

    with EnvironmentContext(Config(), scripts, fn=missing) as environment:
        environment.configure(connection=connection)
        environment.run_migrations()
