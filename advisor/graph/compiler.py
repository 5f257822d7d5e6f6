"""Knowledge files to one checked, plain structure; every fault with its file and line.

Slow and careful: it imports pydantic. `knowledge.py` keeps the result and calls this only when a file has changed.
"""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from advisor.graph import schema
from advisor.graph.tables import SHAPES
from advisor.graph.written_inline import brought_out
from advisor.knowledge.corrections import corrections, read_layered
from advisor.knowledge.fault import Fault
from advisor.knowledge.lined_yaml import Document, Place
from advisor.plain_text import clean

__all__ = ["Fault", "compile_knowledge"]

_ONE_A_FILE: dict[str, tuple[str, Any]] = {
    "entries": ("entry", schema.EntryFile),
    "parts": ("part", schema.PartFile),
    "causes": ("cause", schema.CauseFile),
}
_KEYED: dict[str, tuple[Any, Any]] = {
    "facts": (schema.FactName, schema.FactModel),
    "referrals": (schema.Name, schema.ReferralModel),
    "sources": (schema.Name, schema.SourceModel),
    "cautions": (schema.Name, schema.Text),
    "catalogue": (schema.Name, schema.CatalogueModel),
    "dangers": (schema.Name, schema.DangerModel),
    "never_said": (schema.Name, schema.NeverSaidModel),
}


@cache
def _adapter(model: Any) -> TypeAdapter[Any]:
    return TypeAdapter(model)


def _checked(model: Any, document: Document, place: Place, faults: list[Fault], *, dump: bool = True) -> Any:
    """Return the content at a place as the model has it, None with faults where it does not fit."""
    content = document.content
    for step in place:
        content = content[step]
    adapter = _adapter(model)
    try:
        valid = adapter.validate_python(content)
        return adapter.dump_python(valid, by_alias=True) if dump else True
    except ValidationError as error:
        told: set[tuple[int, str]] = set()
        for fault in error.errors(include_url=False, include_context=False):
            line, words = _told(document, place, fault)
            if (line, words) not in told:
                told.add((line, words))
                faults.append(Fault(document.file, line, words))
    except RecursionError:
        faults.append(Fault(document.file, document.line(place), "does this nest so deep on purpose? Write it flatter"))
    return None


def _told(document: Document, place: Place, fault: Any) -> tuple[int, str]:
    """Return the line and the words for one fault that pydantic found."""
    where, missing, tagged = place, "", False
    for step in fault["loc"]:
        if where[-2:-1] == ("nodes",) and step in schema.NODE_KINDS and not tagged:
            tagged = True
            continue
        if (*where, step) in document.lines:
            where = (*where, step)
        else:
            missing = str(step)
    field = ".".join(str(step) for step in where) or "the file"
    line = document.line(where)
    kind, message = fault["type"], clean(fault["msg"].removeprefix("Value error, "), 200)
    if kind == "missing":
        return line, f"where is {clean(field)}'s '{clean(missing)}'? It has none; add it"
    if kind == "extra_forbidden":
        known = get_close_matches(str(where[-1]), _known_fields(), 1)
        advice = f"did you mean '{known[0]}'?" if known else "take it out"
        return (
            line,
            f"what is '{clean(str(where[-1]))}' in {clean('.'.join(map(str, where[:-1])) or 'the file')}? {advice}",
        )
    found = clean(repr(fault["input"]), 80)
    return line, f"is {clean(field)} right? {message[0].upper()}{message[1:]}; found {found}"


@cache
def _known_fields() -> tuple[str, ...]:
    models = [one for one in vars(schema).values() if isinstance(one, type) and issubclass(one, schema.StrictModel)]
    return tuple(sorted({field.alias or name for model in models for name, field in model.model_fields.items()}))


def _folder(
    root: Path,
    shop: Path | None,
    folder: str,
    lines: dict[str, Any],
    faults: list[Fault],
    written: list[Document],
) -> Iterator[tuple[str, dict[str, Any]]]:
    key, model = _ONE_A_FILE[folder]
    for file in sorted({path.name for home in (root, shop) if home for path in (home / folder).glob("*.yaml")}):
        name = f"trees/{folder}/{clean(file)}"
        document = read_layered(root, shop, f"{folder}/{file}", faults)
        if document is None:
            continue
        document, causes = brought_out(document, faults)
        written.extend(causes)
        content = _checked(model, document, (), faults)
        if content is None:
            continue
        identity = content[key]
        stem = file.removesuffix(".yaml")
        if identity != stem:
            words = f"is this the right file? '{key}: {identity}' should stand in {identity}.yaml"
            faults.append(Fault(name, document.line((key,)), words))
        lines[name] = document.dotted()
        yield stem, content


def _causes_written_inline(
    written: list[Document], causes: dict[str, Any], lines: dict[str, Any], faults: list[Fault]
) -> dict[str, str]:
    """Add the causes that stand in the node that shows them; return where each stands."""
    homes: dict[str, str] = {}
    for document in written:
        name = document.content["cause"]
        content = _checked(schema.CauseFile, document, (), faults)
        if content is None:
            continue
        if name in causes:
            other = homes.get(f"causes/{name}", f"trees/causes/{name}.yaml")
            words = f"is the cause '{clean(name)}' meant twice? It stands in {other} too; keep one"
            faults.append(Fault(document.file, document.line(("cause",)), words))
            continue
        causes[name] = content
        homes[f"causes/{name}"] = document.file
        lines[f"trees/causes/{name}.yaml"] = document.dotted()
    return homes


def _keyed(root: Path, shop: Path | None, table: str, lines: dict[str, Any], faults: list[Fault]) -> dict[str, Any]:
    name = f"trees/{table}.yaml"
    key_model, model = _KEYED[table]
    document = read_layered(root, shop, f"{table}.yaml", faults)
    found: dict[str, Any] = {}
    if document is None:
        return found
    lines[name] = document.dotted()
    for key in document.content:
        try:
            _adapter(key_model).validate_python(key)
        except ValidationError:
            words = f"is '{clean(key)}' a name? Use small letters, digits and _ (a fact may be a field of the sheet)"
            faults.append(Fault(name, document.line((key,)), words))
            continue
        content = _checked(model, document, (key,), faults)
        if content is not None:
            found[key] = content
    return found


def compile_knowledge(root: Path, shop: Path | None = None) -> tuple[dict[str, Any], list[Fault]]:
    """Read and check every knowledge file's shape.

    Parameters
    ----------
    root
        The folder with `entries/`, `parts/`, `causes/` and the tables.
    shop
        A folder with a shop's corrections, laid over it.

    Returns
    -------
    tuple
        The plain structure (entries, parts, causes and the keyed tables, `tables` as read, and the `lines` of each
        place), and the faults; the structure is only whole without faults.

    """
    faults: list[Fault] = []
    lines: dict[str, Any] = {}
    written: list[Document] = []
    knowledge: dict[str, Any] = {
        folder: dict(_folder(root, shop, folder, lines, faults, written)) for folder in _ONE_A_FILE
    }
    knowledge["homes"] = _causes_written_inline(written, knowledge["causes"], lines, faults)
    for table in _KEYED:
        knowledge[table] = _keyed(root, shop, table, lines, faults)
    tables = knowledge["tables"] = {}
    for table, model in SHAPES.items():
        document = read_layered(root, shop, f"{table}.yaml", faults)
        if document is not None and _checked(model, document, (), faults, dump=False):
            tables[table] = document.content
            lines[document.file] = document.dotted()
    knowledge["lines"] = lines
    if shop:
        faults += corrections(root, shop)[1]
    return knowledge, faults
