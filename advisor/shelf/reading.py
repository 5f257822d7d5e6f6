"""Things for the shelf from a spreadsheet (CSV) or a YAML file, every fault with its line."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from advisor.errors import AdvisorError, SheetError
from advisor.knowledge.tables import load_table
from advisor.ordinary_files import read_ordinary
from advisor.plain_text import clean
from advisor.sheet.convert import unwrap
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.readings import Origin
from advisor.sheet.sheet import Leaf
from advisor.shelf.items import KINDS, Item, Kind

_FILE = "shelf.yaml"
_MOST_BYTES = 200_000_000
_MOST_FAULTS = 20
_UNIT = re.compile(r"[\[(]\s*([a-z°·]+)\s*[\])]|\b(mm|cm|in|inches|kg|m|deg)$")
_TRUE = frozenset({"yes", "y", "x", "1", "true", "hire", "fleet"})


def read_items(path: Path) -> list[Item]:
    """Return the things in a file: `.csv`, `.tsv` or `.txt` is a spreadsheet, all else YAML.

    Raises
    ------
    AdvisorError
        With every fault of the file: file, line, what was expected, what was found.

    """
    name = clean(str(path), 200)
    try:
        data = read_ordinary(path, _MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise AdvisorError(f"{name}: cannot be read ({getattr(error, 'strerror', error)}); check its name") from None
    if len(data) > _MOST_BYTES:
        raise AdvisorError(f"{name}: expected a list of a shop's gear, found more than {_MOST_BYTES // 1_000_000} MB")
    if path.suffix.lower() in {".csv", ".tsv", ".txt"}:
        return read_csv(_text(data, name), name, _kind_of(path.stem))
    return read_yaml(data, name)


def _text(data: bytes, name: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    if b"\x00" in data:
        raise AdvisorError(f"{name}: expected a spreadsheet saved as CSV, found binary data; save it as CSV first")
    return data.decode("cp1252", "replace")


def _kind_of(word: str) -> Kind | None:
    plain = word.strip().casefold()
    for kind, words in load_table(_FILE)["kinds"].items():
        if plain in words and kind in KINDS:
            found: Kind = kind
            return found
    return None


# ---------------------------------------------------------------------------------------------- spreadsheet


class _Column(NamedTuple):
    """What a column of a spreadsheet holds: a field for each kind, measured or printed, or its ±."""

    role: str
    fields: Mapping[str, str]
    unit: str
    measured: bool


def read_csv(text: str, name: str, kind: Kind | None = None) -> list[Item]:
    """Return the things in a spreadsheet's text; the first line has the heads.

    Parameters
    ----------
    text, name
        The text, and what to call it in faults.
    kind
        What every line is, where no column says it.

    Raises
    ------
    AdvisorError
        With every fault, up to twenty.

    """
    rows = csv.reader(io.StringIO(text), delimiter=_delimiter(text))
    heads = next(rows, [])
    columns = [_column(head) for head in heads]
    roles = [column.role for column in columns]
    if "label" not in roles:
        told = ", ".join(load_table(_FILE)["label_columns"][:3])
        raise AdvisorError(
            f"{name}:1: expected a column with the shop's labels ({told}), found {clean(str(heads), 200)}"
        )
    if kind is None and "kind" not in roles:
        raise AdvisorError(
            f"{name}:1: expected a column 'kind' with board, boots or bindings, or a file named boards.csv"
        )
    found: list[Item] = []
    faults = [f"{name}:1: no field goes by '{clean(h, 60)}'" for h, c in zip(heads, columns, strict=True) if not c.role]
    for cells in rows:
        if any(cell.strip() for cell in cells):
            try:
                found.append(_item(columns, cells, kind))
            except (AdvisorError, ValueError) as error:
                faults.append(f"{name}:{rows.line_num}: {error}")
        if len(faults) >= _MOST_FAULTS:
            faults.append("and more")
            break
    if faults:
        raise AdvisorError("\n".join(faults))
    return found


def _delimiter(text: str) -> str:
    head = text.partition("\n")[0]
    return max((",", ";", "\t"), key=head.count)


def _plain(head: str) -> str:
    return " ".join(re.sub(r"[^\w±+\- ]", " ", head.casefold().replace("_", " ")).split())


@cache
def _names() -> dict[str, dict[str, str]]:
    """Return plain head -> kind -> field."""
    names: dict[str, dict[str, str]] = {}
    for path in field_rows():
        kind, _, rest = path.partition(".")
        if kind in KINDS:
            own = [_plain(path), _plain(rest), _plain(path.replace(".", " ")), _plain(rest.replace(".", " "))]
            bare = re.sub(r" (mm|cm|m|deg|kg)$", "", _plain(rest))
            for head in (*own, bare, *map(_plain, load_table(_FILE)["columns"].get(path, ()))):
                names.setdefault(head, {}).setdefault(kind, path)
    return names


@cache
def _column(head: str) -> _Column:
    table = load_table(_FILE)
    plain = _plain(head)
    for role in ("kind", "label", "fleet", "count"):
        if plain in table[f"{role}_columns"]:
            return _Column(role, {}, "", False)
    told = _UNIT.search(head.casefold().strip())
    unit = (told[1] or told[2]) if told else ""
    if told and told[1]:
        plain = _plain(head.casefold().replace(told[0], " "))
    measured = spread = False
    for word in table["plus_minus"]:
        if plain.endswith(f" {word}"):
            plain, spread = plain[: -len(word)].strip(), True
    for word in table["measured"]:
        if plain.endswith(f" {word}"):
            plain, measured = plain[: -len(word)].strip(), True
    fields = _names().get(plain) or _names().get(re.sub(r" (mm|cm|m|in|inches|deg|kg)$", "", plain), {})
    return _Column(("spread" if spread else "field") if fields else "", fields, unit, measured)


def _item(columns: list[_Column], cells: list[str], kind: Kind | None) -> Item:
    told = {column.role: cell.strip() for column, cell in zip(columns, cells, strict=False) if cell.strip()}
    if "kind" in told:
        kind = _kind_of(told["kind"])
        if kind is None:
            raise AdvisorError(f"expected board, boots or bindings, found '{clean(told['kind'], 40)}'")
    assert kind is not None
    label = " ".join(clean(told.get("label", ""), 80).split())
    if not label:
        raise AdvisorError("expected a label, found none")
    leaves: dict[str, Leaf] = {}
    for column, cell in sorted(zip(columns, cells, strict=False), key=lambda pair: _order(pair[0])):
        path, value = column.fields.get(kind), cell.strip()
        if path is None or not value:
            continue
        if column.role == "spread":
            _add_spread(leaves, path, value)
        else:
            leaves[path] = Leaf(_value(path, value, column.unit), "measured" if column.measured else "looked_up")
    return Item(kind, label, leaves, told.get("fleet", "").casefold() in _TRUE, _count(told.get("count", "1")))


def _order(column: _Column) -> int:
    """Printed figures first, what a ruler gave over them, their ± last."""
    return 2 if column.role == "spread" else 1 if column.measured else 0


def _value(path: str, cell: str, unit: str) -> Any:
    text = cell
    if re.fullmatch(r"-?\d+,\d+", cell):
        text = cell.replace(",", ".")
    if unit and re.fullmatch(r"-?\d+(\.\d+)?", text):
        text = f"{text} {unit}"
    if path == "boots.size" and re.fullmatch(r"\d\d(\.5|\.0)?", text) and float(text) <= _MOST_MONDO:
        text = f"mondo {text}"
    try:
        return parse_value(path, text)
    except SheetError as error:
        raise AdvisorError(error.faults[0]) from None


_MOST_MONDO = 33.0


def _add_spread(leaves: dict[str, Leaf], path: str, cell: str) -> None:
    leaf = leaves.get(path)
    if leaf is not None:
        row = field_rows()[path]
        given = unwrap({"value": 0, "plus_minus": cell}, row.kind, row.unit)
        leaves[path] = Leaf(leaf.value, leaf.origin, given.plus_minus)


def _count(cell: str) -> int:
    if not cell.isdecimal() or not 0 < int(cell) < 100_000:
        raise AdvisorError(f"expected how many there are, found '{clean(cell, 40)}'")
    return int(cell)


# ---------------------------------------------------------------------------------------------- YAML


def read_yaml(data: bytes, name: str) -> list[Item]:
    """Return the things in a YAML file: `board`, `boots` and `bindings`, each label to its fields.

    A field is a value or `{value, from, plus_minus}`; `measured` holds what a ruler gave, and beats the printed one.

    Raises
    ------
    AdvisorError
        With every fault.

    """
    from advisor.sheet.document import Branch, UnreadableError, plain, read_document

    try:
        root, shape = read_document(data)
    except UnreadableError as stop:
        raise AdvisorError(f"{name}:{stop.fault.line}: {stop.fault.words}") from None
    faults = [f"{name}:{fault.line}: {fault.path}: {fault.words}" for fault in shape]
    found: list[Item] = []
    for head, branch in root.items.items():
        kind = _kind_of(head)
        if kind is None or not isinstance(branch, Branch):
            faults.append(
                f"{name}:{root.key_lines[head]}: expected board, boots or bindings, found '{clean(head, 40)}'"
            )
            continue
        for label, node in branch.items.items():
            try:
                found.append(_thing(kind, label, plain(node)))
            except (AdvisorError, ValueError) as error:
                faults.append(f"{name}:{branch.key_lines[label]}: {clean(label, 60)}: {error}")
    if faults:
        raise AdvisorError("\n".join(faults[:_MOST_FAULTS]))
    return found


def _thing(kind: Kind, label: str, raw: Any) -> Item:
    if not isinstance(raw, dict):
        raise AdvisorError("expected its fields, such as {length_cm: 158, waist_width_mm: 254}")
    own = dict(raw)
    fleet, count = bool(own.pop("fleet", False)), _count(str(own.pop("count", 1)))
    measured = own.pop("measured", {})
    if not isinstance(measured, dict):
        raise AdvisorError("expected fields under measured")
    leaves = dict(_leaves(kind, own, "looked_up"))
    leaves.update(_leaves(kind, measured, "measured"))
    return Item(kind, " ".join(clean(label, 80).split()), leaves, fleet, count)


def _leaves(kind: Kind, raw: Mapping[str, Any], origin: Origin, prefix: str = "") -> Iterator[tuple[str, Leaf]]:
    for name, value in raw.items():
        path = f"{kind}.{prefix}{name}"
        row = field_rows().get(path)
        if row is None and isinstance(value, dict):
            yield from _leaves(kind, value, origin, f"{prefix}{name}.")
            continue
        if row is None:
            from difflib import get_close_matches

            near = get_close_matches(path, field_rows(), n=1)
            meant = f"; did you mean {near[0].partition('.')[2]}?" if near else ""
            raise AdvisorError(f"the sheet has no field '{clean(path, 60)}'{meant}")
        given = unwrap(value, row.kind, row.unit)
        own = given.origin if isinstance(value, dict) and "from" in value else origin
        try:
            yield path, Leaf(parse_value(path, given.value), own, given.plus_minus)
        except SheetError as error:
            raise AdvisorError(error.faults[0]) from None
