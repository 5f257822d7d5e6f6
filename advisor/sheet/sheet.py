"""The setup sheet as read: immutable, every field with what it says, where it came from, and its line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from advisor.errors import UnknownName
from advisor.sheet.fields import field_rows
from advisor.sheet.readings import Origin

SCHEMA = 1

LeafValue = float | bool | str | tuple[int, int]


@dataclass(frozen=True, slots=True)
class Leaf:
    """One field of a sheet.

    Parameters
    ----------
    value
        In the field's own unit.
    origin
        `measured`, `told`, `looked_up` or `assumed`; a plain leaf is `told`.
    plus_minus
        As written, in the field's unit; None where the sheet says nothing of it.
    line
        Line in the file, 0 when it came from elsewhere.
    words
        As written, where that differs from the value: `27.5 in`.

    """

    value: LeafValue
    origin: Origin = "told"
    plus_minus: float | None = None
    line: int = field(default=0, compare=False)
    words: str = field(default="", compare=False)


def _known(path: str) -> str:
    if path not in field_rows():
        from difflib import get_close_matches

        near = get_close_matches(path, field_rows(), n=1)
        raise UnknownName(f"the sheet has no field {path!r}" + (f"; did you mean {near[0]}?" if near else ""))
    return path


@dataclass(frozen=True, slots=True)
class Sheet:
    """A setup sheet: its name, and its leaves by path (`mount.front.angle_deg`, `rider.turnout_deg.left`)."""

    name: str
    leaves: Mapping[str, Leaf]

    def __post_init__(self) -> None:
        for path in self.leaves:
            _known(path)
        object.__setattr__(self, "leaves", MappingProxyType(dict(self.leaves)))

    def __reduce__(self) -> tuple[type[Sheet], tuple[str, dict[str, Leaf]]]:
        """Return what another process needs to make it again."""
        return Sheet, (self.name, dict(self.leaves))

    def value(self, path: str) -> LeafValue | None:
        """Return a field's value in its own unit, None where the sheet does not have it.

        Raises
        ------
        UnknownName
            When the schema has no such field.

        """
        leaf = self.leaves.get(path)
        return None if leaf is None and _known(path) else leaf.value if leaf else None

    def with_value(
        self, path: str, value: LeafValue, origin: Origin = "told", plus_minus: float | None = None
    ) -> Sheet:
        """Return a copy with one field set; `advisor.sheet.reading.parse_value` turns a person's words into a value.

        Raises
        ------
        UnknownName
            When the schema has no such field.

        """
        return Sheet(self.name, {**self.leaves, _known(path): Leaf(value, origin, plus_minus)})

    def without(self, path: str) -> Sheet:
        """Return a copy in which one field is missing."""
        return Sheet(self.name, {key: leaf for key, leaf in self.leaves.items() if key != _known(path)})

    def to_dict(self) -> dict[str, Any]:
        """Return the sheet as a document of schema 1, fields in the contract's order.

        A leaf is plain where it was told and says nothing of its ±, else an object.
        """
        document: dict[str, Any] = {"schema": SCHEMA}
        for path in field_rows():
            leaf = self.leaves.get(path)
            if leaf is None:
                continue
            place = document
            *parts, name = path.split(".")
            for part in parts:
                place = place.setdefault(part, {})
            place[name] = _written(leaf)
        return document


def _written(leaf: Leaf) -> Any:
    value = list(leaf.value) if isinstance(leaf.value, tuple) else leaf.value
    if leaf.origin == "told" and leaf.plus_minus is None:
        return value
    written = {"value": value, "from": leaf.origin}
    if leaf.plus_minus is not None:
        written["plus_minus"] = leaf.plus_minus
    return written
