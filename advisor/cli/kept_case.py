"""Cases that are open in a conversation, one file a window, readable by their owner alone.

A file is written at every turn at which something is open, so that a closed window, a lost terminal or a kill costs
nothing, and goes as soon as nothing is open. It holds the sheet's fields and the answers, never the lines as typed nor
the sheet's name.
"""

from __future__ import annotations

import json
import os
import secrets
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError
from advisor.ordinary_files import read_ordinary

if TYPE_CHECKING:
    from pathlib import Path

_MOST_BYTES = 1_000_000
_OF_THE_FIRST_EDITION = "kept_case.json"


class KeptCase:
    """The place of one window for its open case."""

    def __init__(self, environ: Mapping[str, str]) -> None:
        self._environ = environ
        self.file = kept_folder(environ) / f"{secrets.token_hex(6)}.json"
        self._there = False

    def write(self, kept: dict[str, Any]) -> None:
        """Write what is open, replacing what was.

        Raises
        ------
        AdvisorError
            When the folder can't be written.

        """
        part = self.file.with_suffix(".part")
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w", encoding="utf-8") as file:
                json.dump(kept, file, ensure_ascii=False, allow_nan=False, indent=1)
            part.replace(self.file)
        except OSError as error:
            raise AdvisorError(
                f"{self.file}: the case could not be kept ({error.strerror}); check the folder"
            ) from None
        self._there = True

    def take(self, number: int) -> tuple[Any, int]:
        """Make the case that another window left this window's own.

        Parameters
        ----------
        number
            Which, the one kept last being 1.

        Returns
        -------
        tuple
            What was kept, and how many others are.

        Raises
        ------
        AdvisorError
            When there is none, or it is no JSON.

        """
        files = kept_files(self._environ)
        if not files:
            raise AdvisorError("no case is kept; begin with 'advisor --sheet FILE'")
        if not 1 <= number <= len(files):
            raise AdvisorError(f"{len(files)} kept: say --resume with a number from 1 to {len(files)}")
        kept = _read(files[number - 1])
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            files[number - 1].replace(self.file)
        except FileNotFoundError:
            raise AdvisorError("another window has just taken that case up") from None
        except OSError as error:
            raise AdvisorError(f"{self.file}: can't be written ({error.strerror}); check the folder") from None
        self._there = True
        return kept, len(files) - 1

    def forget(self) -> None:
        """Take the case away, once it has been answered."""
        if not self._there:
            return
        try:
            self.file.unlink(missing_ok=True)
        except OSError:
            return
        self._there = False


def kept_folder(environ: Mapping[str, str]) -> Path:
    """Return where open cases are kept."""
    from advisor.cases.places import data_folder

    return data_folder(environ) / "kept"


def kept_files(environ: Mapping[str, str]) -> list[Path]:
    """Return the files of kept cases, the last one first."""
    folder = kept_folder(environ)
    found = [*folder.glob("*.json"), folder.parent / _OF_THE_FIRST_EDITION]
    return sorted((file for file in found if file.is_file()), key=lambda file: file.stat().st_mtime, reverse=True)


def _read(path: Path) -> Any:
    try:
        data = read_ordinary(path, _MOST_BYTES + 1)
    except OSError as error:
        raise AdvisorError(f"{path}: cannot be read ({error.strerror}); check the file") from None
    try:
        if len(data) > _MOST_BYTES:
            raise ValueError
        return json.loads(data)
    except (ValueError, RecursionError):
        raise AdvisorError(f"{path}: is not a kept case; take it away, or begin with 'advisor --sheet FILE'") from None
