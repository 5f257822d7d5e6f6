"""An index that holds what is searched for by its words, so that SQLite need not read the cases' bodies for it.

On PostgreSQL the bodies lie apart from the rows anyway, and words may be longer than its indexes take.
"""

from __future__ import annotations

from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the index."""
    if op.get_bind().dialect.name == "sqlite":
        op.create_index("cases_by_words", "cases", ["at_ms", "n", "words", "board_key", "entry", "alias_key"])
