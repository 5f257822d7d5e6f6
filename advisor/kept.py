"""Results kept between runs in the user's cache folder; whatever goes wrong there only costs time."""

from __future__ import annotations

import os
import sys
from pathlib import Path

__all__ = ["keep", "kept_file"]


def _folder() -> Path:
    """Return the user's cache folder; on Linux what platformdirs says there, without the cost of importing it."""
    if sys.platform.startswith("linux"):
        base = os.environ.get("XDG_CACHE_HOME", "").strip() or os.path.expanduser("~/.cache")  # noqa: PTH111
        return Path(base, "advisor")
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
