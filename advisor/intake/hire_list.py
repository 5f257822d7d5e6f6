"""The hire desk's list of riders: a spreadsheet's lines to sheets, each with what had to be guessed."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from advisor.errors import AdvisorError, SheetError
from advisor.knowledge.tables import load_table
from advisor.plain_text import clean
from advisor.sheet.boot_size import BootSize, SizeError, foot_range, parse_boot_size, size_systems
from advisor.sheet.reading import parse_value
from advisor.sheet.sheet import Leaf, Sheet

FILE = "hire.yaml"
_MOST_RIDERS = 100_000
_MOST_FAULTS = 20
_BARE = re.compile(r"\d+(?:[.,]\d+)?")


@dataclass(frozen=True)
class HireRider:
    """One line of the list.

    Parameters
    ----------
    name
        As the desk calls the rider.
    line
        Its line in the file.
    sheet
        What was told, as a setup sheet.
    guessed
        What had to be guessed, one sentence each.

    """

    name: str
    line: int
    sheet: Sheet
    guessed: tuple[str, ...]


def read_list(text: str, name: str) -> list[HireRider]:
    """Return the riders of a spreadsheet's text; the first line has the heads.

    Raises
    ------
    AdvisorError
        With every fault, up to twenty: line, what was expected, what was found.

    """
    head = text.partition("\n")[0]
    rows = csv.reader(io.StringIO(text), delimiter=max((",", ";", "\t"), key=head.count))
    heads = next(rows, [])
    columns = [_column(one) for one in heads]
    told = {column for column, _ in columns}
    sizes = set(load_table(FILE)["bare_sizes"]) | {"size", "foot"}
    faults = []
    if "height" not in told or not told & sizes:
        wanted = "height and shoe size"
        raise AdvisorError(f"{name}:1: expected columns with {wanted}, found {clean(', '.join(heads), 200)}")
    found: list[HireRider] = []
    for cells in rows:
        if not any(cell.strip() for cell in cells):
            continue
        try:
            found.append(_rider(columns, cells, rows.line_num, len(found) + 1))
        except AdvisorError as error:
            faults.append(f"{name}:{rows.line_num}: {error}")
        if len(faults) >= _MOST_FAULTS or len(found) > _MOST_RIDERS:
            faults.append("and more")
            break
    if faults:
        raise AdvisorError("\n".join(faults))
    return found


def _plain(words: str) -> str:
    return " ".join(re.sub(r"[^\w ]", " ", words.casefold().replace("_", " ")).split())


@cache
def _column(head: str) -> tuple[str, str]:
    """Return what a column holds, and the unit that its head names."""
    unit = re.search(r"[\[(]\s*([a-z]+)\s*[\])]", head.casefold())
    plain = _plain(head.casefold().replace(unit[0], " ") if unit else head)
    names = load_table(FILE)["columns"]
    found = next((key for key, words in names.items() if plain == key or plain in words), "")
    return found, unit[1] if unit else ""


def _rider(columns: list[tuple[str, str]], cells: list[str], line: int, number: int) -> HireRider:
    told: dict[str, str] = {}
    for (column, unit), cell in zip(columns, cells, strict=False):
        text = cell.strip()
        if column and text:
            told[column] = f"{text} {unit}" if unit and _BARE.fullmatch(text) else text
    leaves: dict[str, Leaf] = {}
    guessed: list[str] = []
    for column, path in (("height", "rider.height_cm"), ("weight", "rider.weight_kg")):
        if column in told:
            leaves[path] = Leaf(_value(path, told[column]))
    if "height" not in told:
        raise AdvisorError("expected a height, found none")
    for column, path in (("style", "rider.style"), ("leads", "rider.leading_foot")):
        value = _word(column, told.get(column, ""))
        if value:
            leaves[path] = Leaf(value)
        else:
            guessed.append(load_table(FILE)["doubts"][column])
    if "rider.style" not in leaves:
        leaves["rider.style"] = Leaf(load_table(FILE)["usual_style"], "assumed")
    _boot(told, leaves, guessed)
    name = " ".join(clean(told.get("name", str(number)), 60).split())
    return HireRider(name, line, Sheet(name, leaves), tuple(guessed))


def _value(path: str, text: str) -> Any:
    try:
        return parse_value(path, re.sub(r"^(\d+),(\d+)", r"\1.\2", text))
    except SheetError as error:
        raise AdvisorError(error.faults[0]) from None


def _word(column: str, cell: str) -> str:
    """Return the style or the leading foot that a cell names; empty where it is empty.

    Raises
    ------
    AdvisorError
        When it names none.

    """
    plain = _plain(cell)
    table: Mapping[str, list[str]] = load_table(FILE)["styles" if column == "style" else "leads"]
    if not plain:
        return ""
    for value, words in table.items():
        if plain == value.replace("_", " ") or plain in map(str, words):
            return value
    known = ", ".join(str(words[0]) for words in table.values())
    raise AdvisorError(f"expected {known}, found '{clean(cell, 40)}'")


# ---------------------------------------------------------------------------------------------- the boot


def _boot(told: Mapping[str, str], leaves: dict[str, Leaf], guessed: list[str]) -> None:
    if "foot" in told:
        for side in ("left", "right"):
            leaves[f"rider.foot_length_mm.{side}"] = Leaf(_value(f"rider.foot_length_mm.{side}", told["foot"]))
    for system in load_table(FILE)["bare_sizes"]:
        if system in told:
            leaves["boots.size"] = Leaf(_size(f"{size_systems()[system].names[0]} {told[system]}"))
            return
    if "size" not in told:
        if "foot" in told:
            return
        raise AdvisorError("expected a shoe size, found none")
    text = told["size"].replace(",", ".")
    if not _BARE.fullmatch(text):
        leaves["boots.size"] = Leaf(_size(text))
        return
    height = leaves["rider.height_cm"].value
    assert isinstance(height, int | float)
    leaves["boots.size"], words = _likeliest(float(text), float(height) * 10)
    guessed.extend(words)


def _size(text: str) -> str:
    try:
        return parse_boot_size(text).words
    except SizeError as error:
        raise AdvisorError(f"{error}, found '{clean(text, 40)}'") from None


def _likeliest(number: float, height_mm: float) -> tuple[Leaf, tuple[str, ...]]:
    """Return the size that a bare number means for a rider of some height, and the words where that is not sure."""
    table = load_table(FILE)
    if number > _WHOLE_MM:
        number /= 10
    foot = float(table["foot_of_height"]) * height_mm
    systems = [name for name, (low, high) in table["bare_sizes"].items() if low <= number <= high]
    if not systems:
        raise AdvisorError(f"expected a shoe size, found '{number:g}'")
    sizes = sorted((BootSize(name, number) for name in systems), key=lambda size: abs(foot_range(size).middle - foot))
    best = sizes[0]
    away = abs(foot_range(best).middle - foot)
    others = [
        size for size in sizes[1:] if abs(foot_range(size).middle - foot) < away + float(table["near_as_good_mm"])
    ]
    if not others:
        return Leaf(best.words), ()
    feet = [foot_range(size).middle for size in (best, *others)]
    spread = (max(feet) - min(feet)) / 2
    words = table["doubts"]["size"].format(
        size=f"{number:g}", taken=best.words, others=" or ".join(size.words for size in others)
    )
    return Leaf(best.words, "assumed", None), (words,) if spread else ()


_WHOLE_MM = 100
