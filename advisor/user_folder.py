"""Where a user's own files lie, without the cost of importing what knows it for every platform."""

from __future__ import annotations

import os
import sys


def xdg_folder(variable: str, usual: str) -> str | None:
    """Return the advisor's folder under one of the XDG base directories, None where the platform has none.

    Parameters
    ----------
    variable
        Such as `XDG_CACHE_HOME`.
    usual
        The base directory where the variable is not set, such as `~/.cache`.

    Notes
    -----
    What platformdirs says on Linux; elsewhere it is to be asked.

    """
    if not sys.platform.startswith("linux"):
        return None
    base = os.environ.get(variable, "").strip() or os.path.expanduser(usual)  # noqa: PTH111
    return f"{base}/advisor"
