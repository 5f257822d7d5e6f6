"""Travels, steps and limits that the sheet does not tell (`trees/travel.yaml`): unknown is never taken as none."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from advisor.knowledge.tables import entry_fault
from advisor.knowledge.trees import Trees, of_trees
from advisor.sheet.fields import field_rows
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.solve.adjustments import Way, load_adjustments

_FILE = "travel.yaml"


@dataclass(frozen=True, slots=True)
class Travel:
    """How far something goes, or by which steps, as a field of the sheet.

    Parameters
    ----------
    path
        The sheet's field.
    usual
        What is tried where the sheet is silent; None where nothing is usual enough.
    ask
        The fact that settles it; empty where none is asked.
    words
        Its name within a sentence.
    first
        Whether it is asked before anything is worked out that hangs on it.

    """

    path: str
    usual: LeafValue | None
    ask: str
    words: str
    first: bool = False


@of_trees
def load_travels(trees: Trees) -> Mapping[str, Travel]:
    """Return every travel, step and limit by its field.

    Raises
    ------
    KnowledgeError
        When the file is not of its shape, or names no field of the sheet.

    """
    found = {}
    for path, entry in trees.table(_FILE).items():
        if path not in field_rows():
            raise entry_fault(_FILE, path, "names no field of the sheet")
        if not isinstance(entry, dict) or not isinstance(entry.get("words"), str) or "usual" not in entry:
            raise entry_fault(_FILE, path, "expected usual, ask, words and source")
        found[path] = Travel(
            path, _usual(entry["usual"]), str(entry.get("ask") or ""), entry["words"], bool(entry.get("first"))
        )
    return found


def _usual(raw: Any) -> LeafValue | None:
    return tuple(raw) if isinstance(raw, list) else raw


def untold_travels(
    sheet: Sheet, serving: Collection[str], allowed: Collection[str] | None = None, *, trees: Trees | None = None
) -> tuple[Travel, ...]:
    """Return the travels that the sheet does not tell, of adjustments that could bring something right.

    Parameters
    ----------
    sheet
        As it is known.
    serving
        What has to come right, by measure or field without its place (`lean_reserve_deg`, `foot.lean_deg`), or names of
        adjustments.
    allowed
        Names of adjustments to consider; None for all.

    """
    named: dict[str, Travel] = {}
    travels = load_travels(trees)
    for adjustment in load_adjustments(trees).values():
        if allowed is not None and adjustment.id not in allowed:
            continue
        for way in adjustment.ways:
            if adjustment.id in serving or way.serves.intersection(serving):
                for path in _hangs_on(way, sheet):
                    if path in travels and sheet.value(path) is None:
                        named.setdefault(path, travels[path])
    return tuple(named.values())


def _hangs_on(way: Way, sheet: Sheet) -> Iterator[str]:
    """Yield the sheet's fields that say whether, by which step and how far an adjustment goes on this sheet."""
    for path, values in way.when.items():
        told = [sheet.value(path.replace("{foot}", foot)) for foot in ("front", "back")]
        if any(value is not None and str(value) not in values for value in told):
            return
        yield path
    ends = (way.bounds,) if isinstance(way.bounds, str) else way.bounds
    yield from (end.lstrip("-") for end in (way.step, *ends) if isinstance(end, str))


def with_usual_travels(sheet: Sheet, travels: Collection[Travel]) -> Sheet:
    """Return the sheet with what is usual in the place of what it does not tell, marked as assumed."""
    for travel in travels:
        if travel.usual is not None and sheet.value(travel.path) is None:
            sheet = sheet.with_value(travel.path, travel.usual, "assumed")
    return sheet
