"""Results kept between runs in the user's cache folder; whatever goes wrong there only costs time."""

from __future__ import annotations

import os
from pathlib import Path

from advisor.user_folder import xdg_folder

__all__ = ["keep", "kept_file"]


def _folder() -> Path:
    folder = xdg_folder("XDG_CACHE_HOME", "~/.cache")
    if folder:
        return Path(folder)
    from platformdirs import user_cache_path

    return user_cache_path("advisor", appauthor=False)


def kept_file(name: str) -> Path:
    """Return where a result of that name is kept."""
    return _folder() / name


def keep(file: Path, text: str, in_place_of: str) -> None:
    """Write a result in one step, and remove the older ones whose names fit a pattern."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        for old in file.parent.glob(in_place_of):
            old.unlink(missing_ok=True)
        part = file.with_suffix(f".{os.getpid()}.part")
        part.write_text(text, encoding="utf-8")
        part.replace(file)
    except OSError:
        return
