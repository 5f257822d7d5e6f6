"""Where the case log lies: one file in the platform's data folder, or the server that `ADVISOR_STORE` names."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from advisor.cases.errors import StoreError
from advisor.plain_text import clean

STORE = "ADVISOR_STORE"


def data_folder(environ: Mapping[str, str] | None = None) -> Path:
    """Return the folder of the log; `ADVISOR_DATA` moves it."""
    told = (os.environ if environ is None else environ).get("ADVISOR_DATA", "")
    if told:
        return Path(told)
    from platformdirs import user_data_path

    return user_data_path("advisor", appauthor=False)


def log_file(environ: Mapping[str, str] | None = None) -> Path:
    """Return the embedded log's file."""
    return data_folder(environ) / "cases.sqlite"


def unsent_folder(environ: Mapping[str, str] | None = None) -> Path:
    """Return where cases wait while the log can't be reached."""
    return data_folder(environ) / "unsent"


def odds_file(environ: Mapping[str, str] | None = None) -> Path:
    """Return the small file with the log's counts by cause, so that a conversation need not open the log."""
    return data_folder(environ) / "odds.json"


def store_url(environ: Mapping[str, str] | None = None) -> str:
    """Return the URL of the log.

    Raises
    ------
    StoreError
        When the setting names neither SQLite nor PostgreSQL. The message never shows it: it may hold a password.

    """
    told = (os.environ if environ is None else environ).get(STORE, "").strip()
    if not told:
        return f"sqlite:///{log_file(environ)}"
    kind = told.partition(":")[0].lower()
    if kind in {"postgresql", "postgres"}:
        return "postgresql+psycopg" + told[len(kind) :]
    if kind == "postgresql+psycopg" or (kind == "sqlite" and told.lower().startswith("sqlite:///") and told[10:]):
        return told
    raise StoreError(
        f"{STORE}: expected postgresql+psycopg://USER@HOST/DATABASE or sqlite:////FOLDER/FILE, "
        f"found something that begins with '{clean(kind, 30)}'"
    )
