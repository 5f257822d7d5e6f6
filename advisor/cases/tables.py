"""The log's table, and its rows: a few columns to search by, and the whole case as compressed JSON."""

from __future__ import annotations

import json
import zlib
from typing import Any

from sqlalchemy import BigInteger, Column, Integer, LargeBinary, MetaData, String, Table, Text

from advisor.cases.errors import DamagedError
from advisor.cases.journal import Event, event_from
from advisor.cases.keys import alias_key, milliseconds, search_key, storable
from advisor.cases.record import CaseRecord, from_dict

# Byte order, so that "begins with" can use the index on either database.
_BYTES = Text().with_variant(Text(collation="C"), "postgresql")
_NUMBER = BigInteger().with_variant(Integer(), "sqlite")

CASES = Table(
    "cases",
    MetaData(),
    Column("n", _NUMBER, primary_key=True, autoincrement=True),
    Column("id", String(40), nullable=False, unique=True),
    Column("alias_key", _BYTES, nullable=False),
    Column("at_ms", BigInteger, nullable=False),
    Column("entry", Text, nullable=False),
    Column("words", Text, nullable=False),
    Column("board_key", Text, nullable=False),
    Column("suspect", Text, nullable=False),
    Column("did", Text),
    Column("how", Text),
    Column("revision", Integer, nullable=False),
    Column("body", LargeBinary, nullable=False),
)

EVENTS = Table(
    "events",
    CASES.metadata,
    Column("n", _NUMBER, primary_key=True, autoincrement=True),
    Column("case_id", String(40), nullable=False, index=True),
    Column("writer", String(64), nullable=False),
    Column("number", BigInteger, nullable=False),
    Column("stamp", BigInteger, nullable=False),
    Column("body", LargeBinary, nullable=False),
)

DELETED = Table(
    "deleted",
    CASES.metadata,
    Column("mark", String(80), primary_key=True),
    Column("deletion", BigInteger, nullable=False),
)
"""Numbers of deleted cases, and hashes of deleted customers' aliases: nothing that says who they were."""


def event_row(event: Event) -> dict[str, Any]:
    """Return an event's row."""
    body = json.dumps(event.to_dict(), ensure_ascii=True, separators=(",", ":")).encode("ascii")
    return {
        "case_id": event.case, "writer": event.writer, "number": event.number, "stamp": event.stamp,
        "body": zlib.compress(body, 6),
    }  # fmt: skip


def event_in(body: bytes) -> Event:
    """Return the event in a row's body."""
    return event_from(json.loads(body_text(body)))


def packed(record: CaseRecord) -> bytes:
    """Return a case's body: its JSON in plain ASCII, compressed."""
    return zlib.compress(json.dumps(record.to_dict(), ensure_ascii=True, separators=(",", ":")).encode("ascii"), 6)


def body_text(body: bytes, number: str = "") -> str:
    """Return a body's JSON, one line of ASCII.

    Raises
    ------
    DamagedError
        When the body is no compressed text.

    """
    try:
        return zlib.decompress(body).decode("ascii")
    except (zlib.error, UnicodeDecodeError):
        raise DamagedError(f"case {number}: its body is damaged; 'advisor cases backup' saves what is whole") from None


def opened(body: bytes, number: str = "") -> CaseRecord:
    """Return the case in a body."""
    return from_dict(json.loads(body_text(body, number)))


def row_of(record: CaseRecord) -> dict[str, Any]:
    """Return a case's row."""
    return {
        "id": record.id,
        "alias_key": alias_key(record.alias),
        "at_ms": milliseconds(record.at),
        "entry": storable(record.entry),
        "words": search_key(record.complaint),
        "board_key": search_key(record.board),
        "suspect": storable(record.suspect),
        "did": record.done.what if record.done else None,
        "how": record.result.how if record.result else None,
        "revision": record.revision,
        "body": packed(record),
    }
