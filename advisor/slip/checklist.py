"""The checklist of a slip: the handwork in bench order, with screws and torque, from the changes of a case."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from advisor.cases.record import CaseRecord
from advisor.explain.wording import in_units
from advisor.geometry.register import SIDES
from advisor.knowledge.tables import entry_fault
from advisor.knowledge.trees import Trees, of_trees
from advisor.plain_text import clean
from advisor.sheet.readings import Known
from advisor.sheet.units import FACTORS, UnitSystem
from advisor.solve.windows import load_windows

_LONG = 1000
_MOST_LINES = 30
_WHOLE = "whole"
_TEXTS = ("torque", "ruler", "open")


@dataclass(frozen=True, slots=True)
class Check:
    """One line of the checklist; the change itself is `main`, opening, closing and measuring are not."""

    words: str
    main: bool = False


def as_mapping(raw: object) -> Mapping[str, Any]:
    """Return an object of a case, an empty one where it is none."""
    return raw if isinstance(raw, Mapping) else {}


@of_trees
def slip_table(trees: Trees) -> dict[str, Any]:
    """Return `trees/slip.yaml`.

    Raises
    ------
    KnowledgeError
        When something that every slip needs is missing.

    """
    table = trees.table("slip.yaml")
    kinds = dict.fromkeys(("work", "signs", "last_change", "come_back"), dict) | dict.fromkeys(_TEXTS, str)
    for key, kind in kinds.items():
        if not isinstance(table.get(key), kind):
            raise entry_fault("slip.yaml", key, f"expected {'a text' if kind is str else 'a mapping'}; restore it")
    for key in ("advice", "refer", "leave"):
        if not isinstance(table["come_back"].get(key), list):
            raise entry_fault("slip.yaml", f"come_back.{key}", "expected a list of sentences")
    for key in ("back", "stays"):
        if not isinstance(table["last_change"].get(key), str):
            raise entry_fault("slip.yaml", f"last_change.{key}", "expected a sentence")
    return table


@of_trees
def _adjustments(trees: Trees) -> dict[str, Any]:
    table: dict[str, Any] = trees.table("adjustments.yaml")["adjustments"]
    return table


def checks_of(
    changes: Sequence[Mapping[str, Any]], steps: Sequence[str], known: Known, units: UnitSystem
) -> Iterator[Check]:
    """Yield the handwork in bench order: open each part once, change what it holds, close it.

    Parameters
    ----------
    changes
        Of the case's advice.
    steps
        The numbers that a whole set-up is held against, a sentence each.
    known
        The sheet, for the torque.
    units
        Units to show.

    """
    table, adjustments = slip_table(known.trees), _adjustments(known.trees)
    for (work, foot), held in _by_part(changes, adjustments).items():
        bench = as_mapping(table["work"].get(work))
        spots = {"{foot}": foot or "front and back", "{torque}": _torque(known, units)}
        if bench.get("open"):
            yield Check(_put_in(bench["open"], spots))
        for change in held:
            words = in_units(clean(str(change.get("words", "")), _LONG), units)
            yield Check(_with_sign(words, change, table["signs"]) if work == _WHOLE else words, main=True)
            for name in change.get("needs", ()) or ():
                also = as_mapping(adjustments.get(str(name))).get("words")
                if also:
                    yield Check(f"Then check: {clean(str(also), _LONG)}.")
        if bench.get("close") and not (work == _WHOLE and steps):
            yield Check(_put_in(bench["close"], spots))
    if steps:
        # The screws of a whole set-up are tightened when all is measured.
        yield Check(f"{table['ruler']} {steps[0]}")
        yield from map(Check, steps[1:])
        yield Check(_put_in(str(table["work"][_WHOLE]["close"]), {"{torque}": _torque(known, units)}))


def _by_part(
    changes: Sequence[Mapping[str, Any]], adjustments: Mapping[str, Any]
) -> dict[tuple[str, str], list[Mapping[str, Any]]]:
    """Return the changes by what has to be opened for them and at which foot, in the order advised."""
    found: dict[tuple[str, str], list[Mapping[str, Any]]] = {}
    for change in changes:
        known = as_mapping(adjustments.get(str(change.get("id"))))
        work = str(known.get("work", "nothing")) if known else _WHOLE
        foot = str(change.get("foot") or "") if known else ""
        found.setdefault((work, foot if foot in SIDES else ""), []).append(change)
    return found


def _with_sign(words: str, change: Mapping[str, Any], signs: Mapping[str, str]) -> str:
    """Return a setting with what plus means for it."""
    sign = signs.get(str(change.get("path", "")).rpartition(".")[2])
    return f"{words.rstrip('.')}; {sign}." if sign else words


def _put_in(words: str, spots: Mapping[str, str]) -> str:
    for spot, text in spots.items():
        words = words.replace(spot, text)
    return words


def _torque(known: Known, units: UnitSystem) -> str:
    window = load_windows(known.trees).window("screw_torque_nm", known.setup)
    if window is None:
        return "to the maker's torque."
    low, high = window.good.low, window.good.high
    torque = f"{low:g} to {high:g} N·m"
    if units == "imperial":
        pounds = FACTORS["N·m"]["in·lb"]
        torque = f"{torque} ({low / pounds:.0f} to {high / pounds:.0f} in·lb)"
    words: str = slip_table(known.trees)["torque"]
    return words.replace("{torque}", torque)


def put_back(record: CaseRecord, before: CaseRecord | None, trees: Trees | None = None) -> tuple[str, bool]:
    """Return what is said of the change of the case that this one follows, and whether it has to be put back.

    It goes back where that case's set-up of before the change is the ground of this one; it stays where the change is.
    """
    if before is None or before.id != record.follows or not before.sheet_after:
        return "", False
    if before.done is None or before.done.what != "as_advised":
        return "", False
    changes = [as_mapping(one) for one in before.advice.get("changes", ()) or ()][:_MOST_LINES]
    words = " ".join(clean(str(one.get("words", "")), _LONG) for one in changes)
    paths = [str(one["path"]).split(".") for one in changes if one.get("path")]
    if not words or not paths:
        return "", False
    old, new, now = ([_at(sheet, path) for path in paths] for sheet in (before.sheet, before.sheet_after, record.sheet))
    which = "back" if now == old != new else "stays" if now == new else ""
    said: str = slip_table(trees)["last_change"][which] if which else ""
    return said.replace("{changes}", words), which == "back"


def _at(sheet: object, path: Sequence[str]) -> Any:
    for name in path:
        sheet = as_mapping(sheet).get(name)
    return as_mapping(sheet).get("value", sheet) if isinstance(sheet, Mapping) else sheet
