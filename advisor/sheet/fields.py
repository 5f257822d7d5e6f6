"""The table of the sheet's fields, generated from the models, for reading without importing them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Literal, NamedTuple

__all__ = ["FieldRow", "Kind", "field_rows", "sections", "table_path"]

Kind = Literal["number", "integer", "yes_no", "choice", "size", "steps", "text"]


class FieldRow(NamedTuple):
    """One field of the sheet.

    Parameters
    ----------
    path
        Such as `mount.front.angle_deg`.
    kind
        What its value is.
    unit
        The field's own unit, `""` for counts and words.
    words
        What it is, for people.
    low, high
        Outer limits of belief; minus and plus infinity where the field holds no number.
    choices
        The words allowed, for a choice.
    below, above, like
        What a value outside the limits or choices suggests.

    """

    path: str
    kind: Kind
    unit: str
    words: str
    low: float = float("-inf")
    high: float = float("inf")
    choices: tuple[str, ...] = ()
    below: str = ""
    above: str = ""
    like: str = ""


def table_path() -> Path:
    """Return where the generated table lies."""
    return Path(__file__).with_name("fields.json")


@cache
def field_rows() -> Mapping[str, FieldRow]:
    """Return every field by its path, in the contract's order."""
    table = json.loads(table_path().read_text(encoding="utf-8"))
    rows = {}
    for path, entry in table.items():
        entry["choices"] = tuple(entry.get("choices", ()))
        rows[path] = FieldRow(path=path, **entry)
    return rows


@cache
def sections() -> frozenset[str]:
    """Return the paths that hold fields rather than a value, such as `rider` and `rider.turnout_deg`."""
    found: set[str] = set()
    for path in field_rows():
        parts = path.split(".")
        found.update(".".join(parts[:end]) for end in range(1, len(parts)))
    return frozenset(found)
