"""The text model: what an answer says, before anything decides how it looks."""

from __future__ import annotations

from typing import NamedTuple


class Heading(NamedTuple):
    """A short line over what follows."""

    words: str


class Say(NamedTuple):
    """A paragraph."""

    words: str


class Points(NamedTuple):
    """A list; numbered where the order matters."""

    items: tuple[str, ...]
    numbered: bool = False


class Table(NamedTuple):
    """Rows under column names; the columns named in `right` hold numbers."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()


class Drawing(NamedTuple):
    """Lines of a picture, kept as they are."""

    lines: tuple[str, ...]


Block = Heading | Say | Points | Table | Drawing
Text = tuple[Block, ...]
