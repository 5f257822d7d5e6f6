"""Is the shipped model built from the phrases as they stand? Asked by `advisor trees` and the tests, never at start."""

from __future__ import annotations

from os import PathLike
from pathlib import Path

from advisor.match.model_file import FILE, load


def model_is_stale(file: str | PathLike[str] = FILE, trees: Path | None = None) -> bool:
    """Tell whether the phrases or the language data have changed since the model was built.

    Parameters
    ----------
    file
        The model.
    trees
        The knowledge; the project's own when left out.

    """
    from advisor.workshop.matcher.corpus import phrases_hash

    header, _ = load(file)
    return bool(header["hash"] != phrases_hash(trees))
