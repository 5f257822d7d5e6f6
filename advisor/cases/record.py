"""One case of the log as plain values, and as the JSON that is kept, exported and imported.

A case is one complaint of one customer at one visit. It holds what is needed to give the same answer again (`inputs`),
what was advised in the words of that day (`advice`), what was really done (`done`), and how it went (`result`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any, Literal, get_args

from advisor.cases.errors import StoreError
from advisor.plain_text import clean

RECORD_SCHEMA = 1
ID_SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_ID_LENGTH = 10

Did = Literal["as_advised", "other", "nothing"]
How = Literal["better", "same", "worse", "better_new"]


@dataclass(frozen=True, slots=True)
class Done:
    """What was really done at the bench; `sheet` is the set-up as it then was, where that is known."""

    what: Did
    words: str = ""
    sheet: Mapping[str, Any] | None = None
    at: str = ""


@dataclass(frozen=True, slots=True)
class Result:
    """How it went on snow."""

    how: How
    words: str = ""
    at: str = ""


@dataclass(frozen=True)
class CaseRecord:
    """One case.

    Parameters
    ----------
    id
        Ten signs, letters and digits, drawn at random.
    alias
        What the shop calls the customer; no name is needed.
    at
        When the customer came, UTC, ISO 8601.
    entry, complaint
        The entry's name, and the complaint in the rider's words.
    board
        What the shop calls the board.
    sheet, sheet_after
        The setup sheet as it was, and with the advice done.
    said
        Every line that was said.
    answers, unsure, ruled_out, keep
        The facts told, those that can't be told, suspects tried before, and earlier aims that must stay right
        (`{"key", "low", "high"}`).
    odds
        What the log knew of the entry's suspects then: suspect to [better, tried].
    outcome, cause, suspect
        `advice`, `refer` or `needs`; the cause shown; the suspect that led to it.
    trail
        The walk, step by step.
    advice
        The answer in words, with every change.
    knowledge
        The version of `trees/`.
    follows
        The case of the visit before, empty for none.
    note
        What the tech wants to remember.
    done, result
        What was really done, and how it went; None until known.
    revision
        Counts the changes of this case; a later one is never overwritten by an earlier.

    """

    id: str
    alias: str
    at: str
    entry: str = ""
    complaint: str = ""
    board: str = ""
    sheet: Mapping[str, Any] = field(default_factory=dict)
    sheet_after: Mapping[str, Any] | None = None
    said: tuple[str, ...] = ()
    answers: Mapping[str, str] = field(default_factory=dict)
    unsure: tuple[str, ...] = ()
    ruled_out: tuple[str, ...] = ()
    keep: tuple[Mapping[str, Any], ...] = ()
    odds: Mapping[str, tuple[int, int]] = field(default_factory=dict)
    outcome: str = ""
    cause: str = ""
    suspect: str = ""
    trail: tuple[Mapping[str, Any], ...] = ()
    advice: Mapping[str, Any] = field(default_factory=dict)
    knowledge: str = ""
    follows: str = ""
    note: str = ""
    done: Done | None = None
    result: Result | None = None
    revision: int = 1

    def to_dict(self) -> dict[str, Any]:
        """Return the case as a JSON document; what is empty is left out."""
        made: dict[str, Any] = {"schema": RECORD_SCHEMA}
        for one in fields(self):
            value = getattr(self, one.name)
            if isinstance(value, Done | Result):
                value = {f.name: getattr(value, f.name) for f in fields(value)}
                value = {key: item for key, item in value.items() if item not in ("", None)}
            if value not in ("", None, (), {}):
                made[one.name] = value
        return made

    def with_done(self, done: Done) -> CaseRecord:
        """Return the case with what was really done."""
        return replace(self, done=done, revision=self.revision + 1)

    def with_result(self, result: Result) -> CaseRecord:
        """Return the case with how it went."""
        return replace(self, result=result, revision=self.revision + 1)


def new_id() -> str:
    """Return a new case's number: 50 random bits, without the letters that look like digits."""
    import secrets

    return "".join(secrets.choice(ID_SIGNS) for _ in range(_ID_LENGTH))


def now() -> str:
    """Return the present moment, UTC, to the millisecond.

    Examples
    --------
    >>> len(now()), now()[-1]
    (24, 'Z')

    """
    from datetime import UTC, datetime

    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


_TEXT = frozenset(
    {"alias", "entry", "complaint", "board", "outcome", "cause", "suspect", "knowledge", "follows", "note"}
)
_TEXTS = frozenset({"said", "unsure", "ruled_out"})
_OBJECTS = frozenset({"sheet", "advice", "answers"})
_LISTS_OF_OBJECTS = frozenset({"trail", "keep"})


def from_dict(raw: object) -> CaseRecord:
    """Return the case that a JSON document holds.

    Raises
    ------
    StoreError
        When it is no case; the message names the field, what was expected and what was found.

    """
    if not isinstance(raw, dict):
        raise StoreError(f"expected a case as a JSON object, found {_shown(raw)}")
    schema = raw.get("schema")
    if schema != RECORD_SCHEMA:
        raise StoreError(
            f"schema: expected {RECORD_SCHEMA}, found {_shown(schema)}; a newer advisor may have written it"
        )
    unknown = sorted(set(raw) - {f.name for f in fields(CaseRecord)} - {"schema"})
    if unknown:
        raise StoreError(f"{clean(unknown[0])}: a case has no such field; take it out")
    values = {key: _checked(key, value) for key, value in raw.items() if key != "schema"}
    for key in ("id", "alias", "at"):
        if not values.get(key):
            raise StoreError(f"{key}: is missing; every case needs it")
    return CaseRecord(**values)


def _checked(key: str, value: Any) -> Any:
    if key == "id":
        if not isinstance(value, str) or not 1 <= len(value) <= 40 or not set(value) <= set(ID_SIGNS):
            raise _wrong(key, f"up to 40 of the signs {ID_SIGNS}", value)
        return value
    if key == "at":
        return _moment(key, value)
    if key in _TEXT:
        return _text(key, value)
    if key in _TEXTS:
        return tuple(_text(key, item) for item in _list(key, value))
    if key in _OBJECTS:
        return _object(key, value)
    if key == "sheet_after":
        return None if value is None else _object(key, value)
    if key in _LISTS_OF_OBJECTS:
        return tuple(_object(key, item) for item in _list(key, value))
    if key == "odds":
        return {name: _counts(key, pair) for name, pair in _object(key, value).items()}
    if key == "revision":
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value < 2**31:
            raise _wrong(key, "a whole number from 1", value)
        return value
    return None if value is None else _event(key, _object(key, value))


def _event(key: str, raw: dict[str, Any]) -> Done | Result:
    words, at = _text(f"{key}.words", raw.get("words", "")), raw.get("at", "")
    at = _moment(f"{key}.at", at) if at else ""
    if key == "done":
        if raw.get("what") not in get_args(Did):
            raise _wrong("done.what", f"one of {', '.join(get_args(Did))}", raw.get("what"))
        sheet = raw.get("sheet")
        return Done(raw["what"], words, None if sheet is None else _object("done.sheet", sheet), at)
    if raw.get("how") not in get_args(How):
        raise _wrong("result.how", f"one of {', '.join(get_args(How))}", raw.get("how"))
    return Result(raw["how"], words, at)


def _text(key: str, value: object) -> str:
    if not isinstance(value, str):
        raise _wrong(key, "text", value)
    return value


def _list(key: str, value: object) -> list[Any]:
    if not isinstance(value, list | tuple):
        raise _wrong(key, "a list", value)
    return list(value)


def _object(key: str, value: object) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise _wrong(key, "an object", value)
    if key == "answers" and not all(isinstance(answer, str) for answer in value.values()):
        raise _wrong(key, "facts with their answers as text", value)
    return value


def _counts(key: str, value: object) -> tuple[int, int]:
    pair = _list(key, value)
    if len(pair) != 2 or not all(isinstance(one, int) and not isinstance(one, bool) for one in pair):
        raise _wrong(key, "[better, tried]", value)
    if not 0 <= pair[0] <= pair[1]:
        raise _wrong(key, "[better, tried] with no more better than tried", value)
    return pair[0], pair[1]


def _moment(key: str, value: object) -> str:
    from datetime import datetime

    try:
        moment = datetime.fromisoformat(_text(key, value))
    except ValueError:
        raise _wrong(key, "a moment such as 2026-01-31T10:15:00.000Z", value) from None
    if moment.tzinfo is None or not 1900 <= moment.year <= 9000:
        raise _wrong(key, "a moment with its time zone, such as 2026-01-31T10:15:00.000Z", value)
    return str(value)


def _wrong(key: str, expected: str, found: object) -> StoreError:
    return StoreError(f"{key}: expected {expected}, found {_shown(found)}")


def _shown(value: object) -> str:
    return clean(repr(value)[:200])
