"""The table of the sheet's fields, `trees/fields.yaml`: what a sheet may hold."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Literal, NamedTuple

from advisor.knowledge.tables import load_table

Kind = Literal["number", "integer", "yes_no", "choice", "size", "steps", "text"]


class FieldRow(NamedTuple):
    """One field of the sheet.

    Parameters
    ----------
    path
        Such as `mount.front.angle_deg`.
    kind
        What its value is.
    words
        What it is, for people.
    unit
        The field's own unit, `""` for counts and words.
    low, high
        Outer limits of belief; minus and plus infinity where the field holds no number.
    choices
        The words allowed, for a choice.
    below, above, like
        What a value outside the limits or choices suggests.

    """

    path: str
    kind: Kind
    words: str
    unit: str = ""
    low: float = float("-inf")
    high: float = float("inf")
    choices: tuple[str, ...] = ()
    below: str = ""
    above: str = ""
    like: str = ""


@cache
def field_rows() -> Mapping[str, FieldRow]:
    """Return every field by its path, in the contract's order."""
    rows = {}
    for path, entry in load_table("fields.yaml").items():
        rows[path] = FieldRow(path=path, **{**entry, "choices": tuple(entry.get("choices", ()))})
    return rows


@cache
def sections() -> frozenset[str]:
    """Return the paths that hold fields rather than a value, such as `rider` and `rider.turnout_deg`."""
    found: set[str] = set()
    for path in field_rows():
        parts = path.split(".")
        found.update(".".join(parts[:end]) for end in range(1, len(parts)))
    return frozenset(found)
