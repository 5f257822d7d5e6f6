"""The trade's numbers (`trees/practice.yaml`) that formulas need, each with its ± and its source."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from advisor.knowledge.tables import entry_fault, number_of
from advisor.knowledge.trees import Trees, of_trees

_FILE = "practice.yaml"
_SHARED = frozenset({"source", "unit", "words", "plus_minus"})


class PracticeValue(NamedTuple):
    """One number of the trade: `plus_minus` is half the width of its range, `source` an entry of `sources.yaml`."""

    value: float
    plus_minus: float
    unit: str
    source: str
    words: str


@of_trees
def load_practice(trees: Trees) -> Mapping[str, PracticeValue]:
    """Return the trade's numbers by id.

    A table by style becomes one number a style: `style_tilt_deg.carving`; a table of ranges becomes two:
    `width_style_low.powder` and `width_style_high.powder`.

    Raises
    ------
    KnowledgeError
        When the file is not of that shape.

    """
    found: dict[str, PracticeValue] = {}
    for key, entry in trees.table(_FILE).items():
        if not isinstance(entry, dict):
            raise entry_fault(_FILE, key, "expected {value, unit, source, words} or a table by style")
        if "value" in entry:
            found[key] = _value(key, entry, entry["value"])
        else:
            found.update(_table(key, entry))
    return MappingProxyType(found)


def _value(key: str, entry: Mapping[str, Any], raw: Any) -> PracticeValue:
    for name in ("source", "words"):
        if not isinstance(entry.get(name), str):
            raise entry_fault(_FILE, key, f"expected {name} as text")
    return PracticeValue(
        number_of(_FILE, key, "value", raw),
        number_of(_FILE, key, "plus_minus", entry.get("plus_minus", 0)),
        str(entry.get("unit", "")),
        entry["source"],
        entry["words"],
    )


def _table(key: str, entry: Mapping[str, Any]) -> dict[str, PracticeValue]:
    found = {}
    for style, raw in entry.items():
        if style in _SHARED:
            continue
        if isinstance(raw, list):
            if len(raw) != 2:
                raise entry_fault(_FILE, f"{key}.{style}", "expected two numbers, low and high")
            found[f"{key}_low.{style}"] = _value(f"{key}.{style}", entry, raw[0])
            found[f"{key}_high.{style}"] = _value(f"{key}.{style}", entry, raw[1])
        else:
            found[f"{key}.{style}"] = _value(f"{key}.{style}", entry, raw)
    return found
