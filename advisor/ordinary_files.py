"""Read a file that a person named: an ordinary one, and no more of it than is wanted."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


def read_ordinary(path: Path, most: int) -> bytes:
    """Return at most `most` bytes of a file.

    Raises
    ------
    OSError
        When it can't be read, or is a pipe, a device or a folder: those may never end.
    ValueError
        When no file can have that name.

    """
    from stat import S_ISREG

    # Without waiting: opening a named pipe would, until somebody writes into it.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(handle, "rb") as file:
        if not S_ISREG(os.fstat(handle).st_mode):
            raise OSError(22, "it is no ordinary file")
        return file.read(most)
