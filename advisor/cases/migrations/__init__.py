"""The steps that bring an older log's tables up to date (Alembic)."""
