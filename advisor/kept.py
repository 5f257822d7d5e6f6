"""Results kept between runs in the user's cache folder; whatever goes wrong there only costs time."""

from __future__ import annotations

import os
from pathlib import Path
from zlib import crc32

from advisor.user_folder import xdg_folder


def _folder() -> Path:
    folder = xdg_folder("XDG_CACHE_HOME", "~/.cache")
    if folder:
        return Path(folder)
    from platformdirs import user_cache_path

    return user_cache_path("advisor", appauthor=False)


def kept_file(name: str) -> Path:
    """Return where a result of that name is kept."""
    return _folder() / name


def read_kept(file: Path) -> bytes | None:
    """Return a kept result; None where there is none, or where it is not what was kept (a flipped bit, a cut file)."""
    try:
        total, _, content = file.read_bytes().partition(b"\n")
    except OSError:
        return None
    return content if total == _total(content) else None


def keep(file: Path, text: str, in_place_of: str) -> None:
    """Write a result in one step with its checksum, and remove the older ones whose names fit a pattern."""
    content = text.encode()
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        for old in file.parent.glob(in_place_of):
            old.unlink(missing_ok=True)
        part = file.with_suffix(f".{os.getpid()}.part")
        part.write_bytes(b"%s\n%s" % (_total(content), content))
        part.replace(file)
    except OSError:
        return


def _total(content: bytes) -> bytes:
    return b"%08x %d" % (crc32(content), len(content))
