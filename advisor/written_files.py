"""Files that a command writes for a person: whole or not at all, and over nothing that matters."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from advisor.errors import AdvisorError
from advisor.plain_text import clean

HTML = (b"<!doctype html", b"<html")
SVG = (b"<svg", b"<?xml")
JSON_LINES = (b"{",)
_LOOKED_AT = 64


def write_whole(
    path: Path,
    pieces: Iterable[str],
    *,
    over: bool = False,
    heads: tuple[bytes, ...] | None = None,
    private: bool = True,
) -> None:
    """Write a text file aside and rename it, so that nobody ever finds half of it.

    Parameters
    ----------
    path
        The file to write.
    pieces
        Its text, piece by piece.
    over
        Whether a file that is there may be replaced.
    heads
        How a file that may be replaced begins, in small letters; another kind is never replaced. None allows any.
    private
        Whether it holds what is for its owner's eyes alone.

    Raises
    ------
    AdvisorError
        When there is a file already, or the place can't be written; what was there is as it was.

    """
    name = clean(str(path), 300)
    _refuse_what_is_there(path, name, over, heads)
    part: Path | None = None
    try:
        part = _new_file_beside(path, private)
        with part.open("w", encoding="utf-8") as out:
            out.writelines(pieces)
            out.flush()
            os.fsync(out.fileno())
        part.replace(path)
    except OSError as error:
        raise AdvisorError(f"{name}: can't be written ({error.strerror}); name another place") from None
    finally:
        if part is not None:
            part.unlink(missing_ok=True)


def _refuse_what_is_there(path: Path, name: str, over: bool, heads: tuple[bytes, ...] | None) -> None:
    try:
        there = os.path.lexists(path)
        if there and not over:
            raise AdvisorError(f"{name}: is there already; name a new file, or say --over to replace it")
        if there and (path.is_symlink() or not path.is_file()):
            raise AdvisorError(f"{name}: is no ordinary file; name a new file")
        if not there or heads is None:
            return
        with path.open("rb") as file:
            begins = file.read(_LOOKED_AT).lstrip().lower()
    except (OSError, ValueError) as error:
        raise AdvisorError(f"{name}: can't be written ({error}); name another place") from None
    if begins and not begins.startswith(heads):
        raise AdvisorError(f"{name}: holds something else, so it is not replaced; name a new file")


def _new_file_beside(path: Path, private: bool) -> Path:
    """Make an empty file in the same folder under a name that nobody could have laid there before."""
    import secrets

    part = path.with_name(f".{secrets.token_hex(8)}.part")
    os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600 if private else 0o666))
    return part
