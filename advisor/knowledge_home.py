"""Where the knowledge lies: beside the code in a checkout, inside the package in an installed wheel."""

from __future__ import annotations

from pathlib import Path


def trees_dir() -> Path:
    """Return the folder that holds the knowledge.

    Returns
    -------
    Path
        `advisor/trees` where the package was installed from a wheel, else the checkout's `trees/`.

    """
    here = Path(__file__).parent
    packed = here / "trees"
    return packed if packed.is_dir() else here.parent / "trees"
