"""What a case's trail and advice must look like to be shown: an imported case may hold anything."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import isfinite
from typing import Any

from advisor.cases.errors import StoreError
from advisor.plain_text import clean

Check = Callable[[str, Any], None]


def check_shapes(trail: Any, advice: Any) -> None:
    """Refuse a trail or advice that no command could show.

    Raises
    ------
    StoreError
        With the field, what was expected and what was found.

    """
    _list_of(_fields(_LINE))("trail", trail)
    _fields(_ADVICE)("advice", advice)


def _refuse(where: str, expected: str, found: Any) -> None:
    raise StoreError(f"{where}: expected {expected}, found {clean(repr(found)[:200])}")


def _text(where: str, value: Any) -> None:
    if not isinstance(value, str):
        _refuse(where, "text", value)


def _number(where: str, value: Any) -> None:
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        _refuse(where, "a number", value)


def _scalar(where: str, value: Any) -> None:
    if not isinstance(value, str | int | float | None):
        _refuse(where, "text or a number", value)


def _anything(where: str, value: Any) -> None:
    del where, value


def _or_none(check: Check) -> Check:
    return lambda where, value: None if value is None else check(where, value)


def _list_of(check: Check) -> Check:
    def checked(where: str, value: Any) -> None:
        if not isinstance(value, list | tuple):
            _refuse(where, "a list", value)
        for place, one in enumerate(value, 1):
            check(f"{where}, {place}", one)

    return checked


def _values(where: str, value: Any) -> None:
    if not isinstance(value, Mapping):
        _refuse(where, "an object", value)
    for name, one in value.items():
        _or_none(_number)(f"{where}.{clean(str(name))}", one)


def _fields(shape: Mapping[str, Check], needed: tuple[str, ...] = ()) -> Check:
    """Return a check of an object: the fields that are known; others may come from a newer advisor."""

    def checked(where: str, value: Any) -> None:
        if not isinstance(value, Mapping):
            _refuse(where, "an object", value)
        for name in needed:
            if name not in value:
                raise StoreError(f"{where}: '{name}' is missing")
        for name, one in value.items():
            shape.get(str(name), _anything)(f"{where}.{clean(str(name))}", one)

    return checked


_STEP: dict[str, Check] = {
    "node": _text, "cause": _text, "fact": _text, "answer": _scalar, "measure": _text, "values": _values,
    "source": _text, "from": _or_none(_number), "below": _or_none(_number),
}  # fmt: skip


def _step(where: str, value: Any) -> None:
    _fields(_STEP)(where, value)
    kinds = (("cause",), ("fact", "answer"), ("measure", "values"))
    if not any(all(name in value for name in kind) for kind in kinds):
        _refuse(where, "a cause, a fact with its answer, or a measure with its values", value)


_LINE: dict[str, Check] = {"suspect": _text, "words": _text, "odds": _number, "status": _text, "steps": _list_of(_step)}
_AIM: dict[str, Check] = {"key": _text, "low": _or_none(_number), "high": _or_none(_number)}
_CHANGE: dict[str, Check] = {
    "id": _text, "foot": _or_none(_text), "path": _or_none(_text), "from": _scalar, "to": _scalar,
    "by": _or_none(_number), "unit": _text, "words": _text, "also": _list_of(_list_of(_scalar)),
    "needs": _list_of(_text),
}  # fmt: skip
_REFER: dict[str, Check] = dict.fromkeys(("id", "to", "says", "shortfall"), _text)
_ADVICE: dict[str, Check] = {
    **dict.fromkeys(("title", "complaint", "verdict", "because", "says", "feel", "costs", "open"), _text),
    **{name: _list_of(_text) for name in ("feet", "cautions", "spoils", "steps")},
    "minutes": _number, "aims": _list_of(_fields(_AIM)), "changes": _list_of(_fields(_CHANGE)),
    "refer": _fields(_REFER),
}  # fmt: skip
