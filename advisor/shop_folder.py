"""Where a shop keeps its own: corrections, shelf, sheets, phrases. `--shop DIR` or `ADVISOR_SHOP` moves it."""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import TYPE_CHECKING

from advisor.user_folder import xdg_folder

if TYPE_CHECKING:
    from pathlib import Path

SHOP = "ADVISOR_SHOP"
_DATA = "ADVISOR_DATA"


def shop_folder(environ: Mapping[str, str] | None = None) -> str:
    """Return the shop's folder, beside the case log unless told otherwise; it need not exist.

    Text rather than a path, for it is asked for on the way to a first answer.
    """
    settings = os.environ if environ is None else environ
    told = settings.get(SHOP, "").strip()
    if told:
        return told
    data = settings.get(_DATA, "").strip() or xdg_folder("XDG_DATA_HOME", "~/.local/share")
    if not data:
        from platformdirs import user_data_dir

        data = user_data_dir("advisor", appauthor=False)
    return os.path.join(data, "shop")  # noqa: PTH118


def knowledge_folder(environ: Mapping[str, str] | None = None) -> Path:
    """Return where the shop's corrections of the knowledge lie, in the same tables as `trees/`."""
    return _part("knowledge", environ)


def shelf_folder(environ: Mapping[str, str] | None = None) -> Path:
    """Return where the shop's boards, boots and bindings lie."""
    return _part("shelf", environ)


def sheets_folder(environ: Mapping[str, str] | None = None) -> Path:
    """Return where the sheets lie that were taken in at the counter."""
    return _part("sheets", environ)


def phrases_folder(environ: Mapping[str, str] | None = None) -> Path:
    """Return where the words lie that the shop has taught."""
    return _part("phrases", environ)


def _part(name: str, environ: Mapping[str, str] | None) -> Path:
    from pathlib import Path

    return Path(shop_folder(environ), name)
