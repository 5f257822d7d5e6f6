"""A function by its name `MODULE:FUNCTION`, for what is loaded only when it is used."""

from __future__ import annotations

from importlib import import_module
from typing import Any


def by_name(name: str) -> Any:
    """Return what a name stands for.

    Examples
    --------
    >>> by_name("math:hypot")(3, 4)
    5.0

    """
    module, _, attribute = name.partition(":")
    return getattr(import_module(module), attribute)
