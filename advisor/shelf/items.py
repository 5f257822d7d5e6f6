"""One thing on the shelf: its label, and what is known of it as fields of the sheet, measured values before printed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from advisor.sheet.fields import field_rows
from advisor.sheet.sheet import Leaf, Sheet

Kind = Literal["board", "boots", "bindings"]
KINDS: tuple[Kind, ...] = get_args(Kind)


@dataclass(frozen=True)
class Item:
    """A board, a pair of boots, or a pair of bindings.

    Parameters
    ----------
    kind
        What it is.
    label
        What the shop calls it.
    leaves
        Fields of the sheet, those of its kind only.
    fleet
        Whether it is for hire.
    count
        How many alike there are.

    """

    kind: Kind
    label: str
    leaves: Mapping[str, Leaf]
    fleet: bool = False
    count: int = 1

    @property
    def numbers(self) -> dict[str, float]:
        """Return its numbers by field."""
        return {path: float(leaf.value) for path, leaf in self.leaves.items() if isinstance(leaf.value, int | float)}


def key_of(label: str) -> str:
    """Return a label as it is looked for: without capitals and double spaces.

    Examples
    --------
    >>> key_of("  Larch  158 W")
    'larch 158 w'

    """
    return " ".join(label.casefold().split())


def onto_sheet(sheet: Sheet, item: Item) -> Sheet:
    """Return a sheet with a thing of the shelf on it: what was known of another such thing goes, the mount stays."""
    part = f"{item.kind}."
    leaves = {path: leaf for path, leaf in sheet.leaves.items() if not path.startswith(part)}
    leaves.update(item.leaves)
    leaves[f"labels.{item.kind}"] = Leaf(item.label)
    return Sheet(sheet.name, {path: leaves[path] for path in field_rows() if path in leaves})


def stored(item: Item) -> dict[str, Any]:
    """Return a thing's leaves for keeping: value, origin, ±."""
    return {
        path: [list(leaf.value) if isinstance(leaf.value, tuple) else leaf.value, leaf.origin, leaf.plus_minus]
        for path, leaf in item.leaves.items()
    }


def restored(raw: Mapping[str, Any]) -> dict[str, Leaf]:
    """Return leaves from what was kept; a field that the sheet has no more is left out."""
    known = field_rows()
    return {
        path: Leaf(tuple(value) if isinstance(value, list) else value, origin, spread)
        for path, (value, origin, spread) in raw.items()
        if path in known
    }
