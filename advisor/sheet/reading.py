"""Read a setup sheet by the table of fields; the words for what does not fit are loaded only where they are needed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from advisor.errors import SheetError, UnknownName
from advisor.ordinary_files import read_ordinary
from advisor.plain_text import clean
from advisor.sheet.convert import convert, unwrap
from advisor.sheet.document import MAX_BYTES, Branch, Fault, Node, UnreadableError, plain, read_document
from advisor.sheet.fields import FieldRow, field_rows, sections
from advisor.sheet.relations import check_relations
from advisor.sheet.sheet import SCHEMA, Leaf, LeafValue, Sheet


def read_sheet(path: Path) -> Sheet:
    """Return the setup sheet in a file, YAML or JSON.

    Raises
    ------
    SheetError
        With every fault of the file: file, line, field, what was expected, what was found, what to do.

    """
    name = clean(str(path), 200)
    try:
        if path.is_file() and path.stat().st_size > MAX_BYTES:
            megabytes = path.stat().st_size / 1e6
            raise SheetError(
                [f"{name}: expected a setup sheet of a few kilobytes, found {megabytes:.1f} MB; is it another file?"]
            )
        data = read_ordinary(path, MAX_BYTES + 1)
    except OSError as error:
        raise SheetError([f"{name}: cannot be read ({error.strerror}); check the file's name and place"]) from None
    except ValueError:
        raise SheetError([f"{name}: no file can have that name; check the file's name and place"]) from None
    return parse_sheet(data, name)


def parse_sheet(data: bytes, name: str) -> Sheet:
    """Return the setup sheet in some bytes; `name` stands before its faults.

    Raises
    ------
    SheetError
        With every fault.

    """
    name = clean(name, 200)
    try:
        root, faults = read_document(data)
    except UnreadableError as stop:
        raise SheetError([_line_of(name, stop.fault)]) from None
    leaves, doubtful = fitting_leaves(root)
    if doubtful:
        from advisor.sheet.faults import report

        faults.extend(report(root, doubtful))
    faults.extend(Fault(leaves[path].line, path, words) for path, words in check_relations(leaves))
    if faults:
        raise SheetError([_line_of(name, fault) for fault in sorted(faults, key=lambda fault: fault.line)])
    return Sheet(name, {path: leaves[path] for path in field_rows() if path in leaves})


def _line_of(name: str, fault: Fault) -> str:
    where = f"{name}:{fault.line}" if fault.line else name
    field = f"{clean(fault.path, 80)}: " if fault.path else ""
    return f"{where}: {field}{fault.words}"


def fitting_leaves(root: Branch) -> tuple[dict[str, Leaf], list[str]]:
    """Split a document into the leaves that fit the table of fields, and the places that need an error message."""
    leaves: dict[str, Leaf] = {}
    doubtful: list[str] = []
    version = root.items.get("schema")
    if version is None or type(plain(version)) is not int or plain(version) != SCHEMA:
        doubtful.append("schema")
    _walk(root, "", leaves, doubtful)
    return leaves, doubtful


def _walk(branch: Branch, prefix: str, leaves: dict[str, Leaf], doubtful: list[str]) -> None:
    rows = field_rows()
    for name, node in branch.items.items():
        path = prefix + name
        row = rows.get(path)
        if row is not None:
            _take(row, node, branch.key_lines[name], leaves, doubtful)
        elif path in sections():
            if isinstance(node, Branch):
                _walk(node, f"{path}.", leaves, doubtful)
            elif node.value is not None:
                doubtful.append(path)
        elif path != "schema":
            doubtful.append(path)


def _take(row: FieldRow, node: Node, line: int, leaves: dict[str, Leaf], doubtful: list[str]) -> None:
    raw = plain(node)
    if raw is None:
        return
    try:
        given = unwrap(raw, row.kind, row.unit)
        value = convert(given.value, row.kind, row.unit)
    except ValueError:
        doubtful.append(row.path)
        return
    if not _fits(row, value):
        doubtful.append(row.path)
        return
    leaves[row.path] = Leaf(value, given.origin, given.plus_minus, line, _written(given.value, row))


def _fits(row: FieldRow, value: Any) -> bool:
    if row.kind in {"number", "integer"}:
        return bool(row.low <= value <= row.high)
    return value in row.choices if row.kind == "choice" else True


def _written(raw: Any, row: FieldRow) -> str:
    """Return a value as written, where units were written with it."""
    return clean(raw) if isinstance(raw, str) and row.kind in {"number", "integer"} else ""


_TRUTH = {"yes": True, "y": True, "true": True, "no": False, "n": False, "false": False}


def parse_value(path: str, text: str | float | bool) -> LeafValue:
    """Return the value that a person's answer gives to one field, in the field's own unit.

    Raises
    ------
    UnknownName
        When the schema has no such field.
    SheetError
        When the answer does not fit it; the message says what was expected.

    Examples
    --------
    >>> parse_value("boots.outsole_length_mm", "11 7/8 in")
    301.625

    """
    row = field_rows().get(path)
    if row is None:
        raise UnknownName(f"the sheet has no field {clean(path)!r}")
    raw: Any = text
    if row.kind == "yes_no" and isinstance(text, str):
        raw = _TRUTH.get(text.strip().lower(), text)
    if row.kind == "choice" and isinstance(text, str):
        raw = text.strip().lower().replace(" ", "_").replace("-", "_")
    try:
        value: LeafValue = convert(raw, row.kind, row.unit)
    except ValueError as error:
        from advisor.sheet.faults import unfit

        raise SheetError([f"{path}: {unfit(row, str(error), str(text))}"]) from None
    if not _fits(row, value):
        from advisor.sheet.faults import misfit

        raise SheetError([f"{path}: {misfit(row, value, str(text))}"])
    return value
