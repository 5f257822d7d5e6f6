"""The journal: what each writer changed of a case, and what was deleted for good.

A case that nobody has changed since needs no event: its row stands for it.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Make both tables."""
    number = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    op.create_table(
        "events",
        sa.Column("n", number, primary_key=True, autoincrement=True),
        sa.Column("case_id", sa.String(40), nullable=False),
        sa.Column("writer", sa.String(64), nullable=False),
        sa.Column("number", sa.BigInteger, nullable=False),
        sa.Column("stamp", sa.BigInteger, nullable=False),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.UniqueConstraint("writer", "number", name="events_by_name"),
    )
    op.create_index("events_by_case", "events", ["case_id"])
    op.create_table(
        "deleted",
        sa.Column("mark", sa.String(80), primary_key=True),
        sa.Column("deletion", sa.BigInteger, nullable=False),
    )
