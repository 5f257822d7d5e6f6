"""Write `fields.json` from the models: `python -m advisor.sheet.compile_fields` after every change to them."""

from __future__ import annotations

import json
from types import UnionType
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from advisor.sheet.fields import table_path
from advisor.sheet.models import SheetModel

__all__ = ["compile_table", "table_text"]


def _inner(annotation: Any) -> Any:
    """Return the type inside `X | None`."""
    if get_origin(annotation) is UnionType or get_origin(annotation) is not None:
        kinds = [kind for kind in get_args(annotation) if kind is not type(None)]
        return kinds[0] if len(kinds) == 1 else annotation
    return annotation


def _entry(info: FieldInfo) -> dict[str, Any]:
    extra = info.json_schema_extra
    if not isinstance(extra, dict):
        raise TypeError(f"the field {info.alias or info.description!r} has no quantity")
    entry: dict[str, Any] = {"kind": extra["kind"], "unit": extra["quantity"], "words": info.description}
    for limit in info.metadata:
        for name, key in (("ge", "low"), ("le", "high")):
            if hasattr(limit, name):
                entry[key] = getattr(limit, name)
    inner = _inner(info.annotation)
    if get_origin(inner) is Literal:
        entry["choices"] = list(get_args(inner))
    entry.update({key: extra[key] for key in ("below", "above", "like") if key in extra})
    return entry


def compile_table(model: type[BaseModel] = SheetModel, prefix: str = "") -> dict[str, dict[str, Any]]:
    """Return the table's content: every leaf field of a model by its dotted path."""
    table: dict[str, dict[str, Any]] = {}
    for name, info in model.model_fields.items():
        inner = _inner(info.annotation)
        if isinstance(inner, type) and issubclass(inner, BaseModel):
            table.update(compile_table(inner, f"{prefix}{name}."))
        elif info.alias != "schema":
            table[prefix + name] = _entry(info)
    return table


def table_text() -> str:
    """Return the text of `fields.json`: one field a line."""
    lines = (f"{json.dumps(path)}: {json.dumps(entry, ensure_ascii=False)}" for path, entry in compile_table().items())
    return "{\n" + ",\n".join(lines) + "\n}\n"


if __name__ == "__main__":
    table_path().write_text(table_text(), encoding="utf-8")
