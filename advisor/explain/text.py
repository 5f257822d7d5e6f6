"""The text model: what an answer says, before anything decides how it looks."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Block", "Drawing", "Heading", "Points", "Say", "Table", "Text"]


@dataclass(frozen=True, slots=True)
class Heading:
    """A short line over what follows."""

    words: str


@dataclass(frozen=True, slots=True)
class Say:
    """A paragraph."""

    words: str


@dataclass(frozen=True, slots=True)
class Points:
    """A list; numbered where the order matters."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under column names; the columns named in `right` hold numbers."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """Lines of a picture, kept as they are."""

    lines: tuple[str, ...]


Block = Heading | Say | Points | Table | Drawing
Text = tuple[Block, ...]
