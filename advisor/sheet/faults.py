"""What is wrong with a sheet, in words for the tech: expected, found, what to do."""

from __future__ import annotations

from difflib import get_close_matches
from typing import Any

from advisor.plain_text import clean
from advisor.sheet.convert import convert, unwrap
from advisor.sheet.document import Branch, Fault, Node, Value, plain
from advisor.sheet.fields import FieldRow, field_rows, sections
from advisor.sheet.units import FACTORS, unit_words


def report(root: Branch, doubtful: list[str]) -> list[Fault]:
    """Return what is wrong at each place that does not fit the table of fields.

    Parameters
    ----------
    root
        The document.
    doubtful
        The places, as `fitting_leaves` found them.

    """
    return [_fault(root, path) for path in doubtful]


def _place(root: Branch, path: str) -> tuple[Node | None, int]:
    """Return the node at a path and its line; where the path ends early, the last one there."""
    node: Node = root
    line = 0
    rest = path
    while rest:
        if not isinstance(node, Branch):
            return None, line
        name = next((key for key in node.items if rest == key or rest.startswith(f"{key}.")), None)
        if name is None:
            return None, line
        line, node, rest = node.key_lines[name], node.items[name], rest[len(name) + 1 :]
    return node, line


def _text(node: Node | None) -> str:
    if isinstance(node, Branch):
        inner = node.items.get("value")
        return _text(inner) if inner is not None else "several fields"
    return clean(node.text) if isinstance(node, Value) else "nothing"


def _fault(root: Branch, path: str) -> Fault:
    node, line = _place(root, path)
    if path == "schema":
        return _schema_fault(node, line)
    row = field_rows().get(path)
    if row is None and path in sections():
        inside = ", ".join(_children(path)[:4])
        return Fault(line, path, f"expected fields such as {inside}, found {_text(node)!r}; write them indented below")
    if row is None or node is None:
        return Fault(line, path, unknown_field(path))
    try:
        given = unwrap(plain(node), row.kind, row.unit)
        value = convert(given.value, row.kind, row.unit)
    except ValueError as error:
        return Fault(line, path, unfit(row, str(error), _text(node)))
    return Fault(line, path, misfit(row, value, _text(node)))


def _schema_fault(node: Node | None, line: int) -> Fault:
    if node is None:
        return Fault(0, "schema", "expected the line 'schema: 1', found none; add it at the top")
    return Fault(line, "schema", f"expected 1, found {_text(node)!r}; this program reads schema 1 only")


def _remedy(row: FieldRow) -> str:
    return f"correct it ({row.words}) or leave the field out"


def unfit(row: FieldRow, words: str, text: str) -> str:
    """Return what is wrong with a value of the wrong kind: what was expected, what was found, what to do."""
    expected, _, advice = words.partition("; ")
    found = "" if "found" in expected else f", found {clean(text)!r}"
    return f"{expected}{found}; {advice or _remedy(row)}"


def misfit(row: FieldRow, value: Any, text: str) -> str:
    """Return what is wrong with a value of the right kind: outside its limits, or none of its choices.

    Parameters
    ----------
    row
        The field.
    value
        What was found, in any form.
    text
        The same as written.

    """
    found = f"found {clean(text)!r}" if isinstance(value, str) else f"found {clean(text)}"
    if row.kind == "choice":
        near = get_close_matches(str(value).lower(), row.choices, n=1, cutoff=0.7)
        advice = f"did you mean {near[0]}?" if near else row.like or f"choose one of them ({row.words})"
        return f"expected one of {', '.join(row.choices)}, {found}; {advice}"
    if row.kind not in {"number", "integer"}:
        return f"expected {row.words}, {found}; {_remedy(row)}"
    unit = f" {unit_words(row.unit)}" if row.unit else ""
    expected = f"expected {row.low:g} to {row.high:g}{unit}"
    return f"{expected}, {found}; {_advice(row, value, text)}"


def _advice(row: FieldRow, value: Any, text: str) -> str:
    from advisor.sheet.units import UnitError, parse_quantity

    try:
        number = float(parse_quantity(value if isinstance(value, int | float) else text, row.unit))
    except (UnitError, OverflowError):
        return _remedy(row)
    if number < row.low and row.below:
        return row.below
    if number > row.high and row.above:
        return row.above
    if row.low >= 0 and number < 0:
        return f"it cannot be negative; {_remedy(row)}"
    meant = _other_units(row, number)
    return f"did you mean {meant}?" if meant else _remedy(row)


def _other_units(row: FieldRow, number: float) -> str:
    """Return what a number outside its limits would mean in another unit of its family, where that is inside."""
    family = FACTORS.get(row.unit, {})
    guesses = []
    for unit, factor in family.items():
        meant = number * factor / family[row.unit]
        if unit != row.unit and row.low <= meant <= row.high:
            guesses.append(f"{meant:.5g} {row.unit} ({number:g} {unit_words(unit)})")
    if not guesses and row.unit in {"mm", "cm"} and row.low <= number / 10 <= row.high:
        guesses.append(f"{number / 10:.5g} {row.unit}")
    return " or ".join(guesses)


def _children(path: str) -> list[str]:
    prefix = f"{path}." if path else ""
    names = [known[len(prefix) :].split(".")[0] for known in field_rows() if known.startswith(prefix)]
    return list(dict.fromkeys(name for name in names if name))


def unknown_field(path: str) -> str:
    """Return what to say of a field that the schema does not have: the nearest name, or where it belongs."""
    parent, _, name = path.rpartition(".")
    siblings = _children(parent)
    found = f"found {clean(name)!r}"
    if {"front", "back"} <= set(siblings) and name in {"left", "right"}:
        return f"expected front and back here, {found}; with leading_foot left the left foot is front, else back"
    if {"left", "right"} <= set(siblings) and name in {"front", "back"}:
        return f"expected left and right here, {found}; write the rider's own left and right foot"
    elsewhere = [known for known in field_rows() if known.rpartition(".")[2] == name]
    if elsewhere:
        return f"expected a field of {parent or 'the sheet'}, {found}; it belongs at {' or '.join(elsewhere[:2])}"
    near = get_close_matches(name, siblings, n=1)
    if near:
        return f"expected a field of the sheet, {found}; did you mean {near[0]}?"
    return f"expected a field of the sheet ({', '.join(sorted(siblings)[:6])} ...), {found}; correct or remove it"
