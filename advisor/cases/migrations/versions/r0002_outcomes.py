"""Columns for what was done and how it went, filled from the cases' bodies, so that causes can be counted."""

from __future__ import annotations

import json
import zlib

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_PAGE = 1000


def upgrade() -> None:
    """Add the columns, fill them, and index them."""
    op.add_column("cases", sa.Column("suspect", sa.Text, nullable=False, server_default=""))
    op.add_column("cases", sa.Column("did", sa.Text))
    op.add_column("cases", sa.Column("how", sa.Text))
    _fill(op.get_bind())
    op.create_index(
        "cases_by_outcome",
        "cases",
        ["entry", "suspect", "did", "how"],
        sqlite_where=sa.text("how IS NOT NULL"),
        postgresql_where=sa.text("how IS NOT NULL"),
    )


def _fill(connection: sa.Connection) -> None:
    read = sa.text("SELECT n, body FROM cases WHERE n > :after ORDER BY n LIMIT :page")
    write = sa.text("UPDATE cases SET suspect = :suspect, did = :did, how = :how WHERE n = :n")
    after = -1
    while rows := connection.execute(read, {"after": after, "page": _PAGE}).all():
        connection.execute(write, [_told(int(n), bytes(body)) for n, body in rows])
        after = int(rows[-1][0])


def _told(n: int, body: bytes) -> dict[str, object]:
    try:
        case = json.loads(zlib.decompress(body))
    except (zlib.error, ValueError):
        case = {}
    done, result = case.get("done") or {}, case.get("result") or {}
    return {"n": n, "suspect": case.get("suspect", ""), "did": done.get("what"), "how": result.get("how")}
