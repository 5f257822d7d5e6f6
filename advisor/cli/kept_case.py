"""The case put away when a conversation is left, in the platform's data folder, readable by its owner alone.

It holds the sheet's fields and the answers, never the lines as typed nor the sheet's name.
"""

from __future__ import annotations

import json
import os
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["forget", "kept_file", "read_kept", "write_kept"]

_MOST_BYTES = 1_000_000


def kept_file() -> Path:
    """Return where the case is kept."""
    from platformdirs import user_data_path

    return user_data_path("advisor", appauthor=False) / "kept_case.json"


def write_kept(kept: dict[str, Any]) -> Path:
    """Write a case, replacing the one before.

    Raises
    ------
    AdvisorError
        When the folder can't be written.

    """
    path = kept_file()
    part = path.with_suffix(f".{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8") as file:
            json.dump(kept, file, ensure_ascii=False, allow_nan=False, indent=1)
        part.replace(path)
    except OSError as error:
        raise AdvisorError(f"{path}: the case could not be kept ({error.strerror}); check the folder") from None
    return path


def read_kept() -> Any:
    """Return the kept case as read.

    Raises
    ------
    AdvisorError
        When there is none, or it is no JSON.

    """
    path = kept_file()
    try:
        with path.open("rb") as file:
            data = file.read(_MOST_BYTES + 1)
    except FileNotFoundError:
        raise AdvisorError("no case is kept; begin with 'advisor --sheet FILE'") from None
    except OSError as error:
        raise AdvisorError(f"{path}: cannot be read ({error.strerror}); check the file") from None
    try:
        if len(data) > _MOST_BYTES:
            raise ValueError
        return json.loads(data)
    except (ValueError, RecursionError):
        raise AdvisorError(f"{path}: is not a kept case; begin anew with 'advisor --sheet FILE'") from None


def forget() -> None:
    """Take the kept case away, once it has been answered."""
    try:
        kept_file().unlink(missing_ok=True)
    except OSError:
        return
