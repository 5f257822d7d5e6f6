"""The first log: cases with their alias, date, entry, words and board."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the table and its indexes."""
    text = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")
    number = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    op.create_table(
        "cases",
        sa.Column("n", number, primary_key=True, autoincrement=True),
        sa.Column("id", sa.String(40), nullable=False, unique=True),
        sa.Column("alias_key", text, nullable=False),
        sa.Column("at_ms", sa.BigInteger, nullable=False),
        sa.Column("entry", sa.Text, nullable=False),
        sa.Column("words", sa.Text, nullable=False),
        sa.Column("board_key", sa.Text, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("body", sa.LargeBinary, nullable=False),
    )
    op.create_index("cases_by_alias", "cases", ["alias_key", "at_ms"])
    op.create_index("cases_by_date", "cases", ["at_ms"])
    op.create_index("cases_by_entry", "cases", ["entry", "at_ms"])
