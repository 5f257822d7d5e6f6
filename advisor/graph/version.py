"""The version of the knowledge: a hash of every file in `trees/`, so that an answer can say what it rests on."""

from __future__ import annotations

from functools import cache
from hashlib import sha256
from pathlib import Path

from advisor.knowledge_home import trees_dir

__all__ = ["knowledge_version"]

_SIGNS = 16


@cache
def knowledge_version(root: Path | None = None) -> str:
    """Return the first 16 hex signs of a SHA-256 over the names and contents of all knowledge files.

    Parameters
    ----------
    root
        The folder; the project's own `trees/` where it is not given.

    """
    home = root or trees_dir()
    total = sha256()
    for file in sorted(p for p in home.rglob("*") if p.suffix in {".yaml", ".bin"}):
        content = sha256(file.read_bytes()).hexdigest()
        total.update(f"{file.relative_to(home).as_posix()} {content}\n".encode())
    return total.hexdigest()[:_SIGNS]
