"""The journal of a case: what each writer changed, put together the same way in whatever order it arrives.

Nobody sends a whole case. A counter sends events: which fields of a case it set, or which of its own earlier events it
takes back. An event is known by its writer and that writer's running number, so that sending one twice does no harm.
Events are ordered by their stamp, which counts what the writer had seen of the case (Lamport, "Time, clocks and the
ordering of events in a distributed system", 1978; from memory), then by writer and number. No clock is asked. Of two
events that set one field the later in this order holds; the order in which they arrive says nothing.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from hashlib import sha256
from typing import Any

from advisor.cases.errors import StoreError
from advisor.cases.record import CaseRecord, from_dict

EventName = tuple[str, int]

_MOST = 2**53
_LONGEST_NAME = 64
_BEGUN = {"alias", "at"}
_OF_A_CASE = frozenset(one.name for one in fields(CaseRecord)) - {"id", "revision"}


@dataclass(frozen=True)
class Event:
    """One change of a case.

    Parameters
    ----------
    case
        The case's number.
    writer, number
        Who changed it, and that writer's running number from 1: together they name the event.
    stamp
        One more than the highest stamp that the writer had seen of this case.
    sets
        Fields of the case with their new values; None empties one. `revision` stands only in a whole case.
    takes_back
        Earlier events that shall count no longer.
    deletions
        How many deletions of customers the writer's machine knew of: what was begun before a customer was deleted
        does not come back after it.

    """

    case: str
    writer: str
    number: int
    stamp: int
    sets: Mapping[str, Any] = field(default_factory=dict)
    takes_back: tuple[EventName, ...] = ()
    deletions: int = 0

    @property
    def name(self) -> EventName:
        """The event's name, the same however often it is sent."""
        return self.writer, self.number

    @property
    def order(self) -> tuple[int, str, int]:
        """Where the event stands among those of its case."""
        return self.stamp, self.writer, self.number

    def to_dict(self) -> dict[str, Any]:
        """Return the event as a JSON document."""
        made: dict[str, Any] = {
            "case": self.case, "writer": self.writer, "number": self.number, "stamp": self.stamp,
            "sets": dict(self.sets),
        }  # fmt: skip
        if self.takes_back:
            made["takes_back"] = [list(name) for name in self.takes_back]
        if self.deletions:
            made["deletions"] = self.deletions
        return made


def event_from(raw: object) -> Event:
    """Return the event that a JSON document holds.

    Raises
    ------
    StoreError
        When it is none; the message says what is wrong with it.

    """
    if not isinstance(raw, dict) or not isinstance(raw.get("sets", {}), dict):
        raise StoreError("expected an event as a JSON object with 'sets'")
    try:
        taken = tuple((_name(writer), _count("takes_back", number)) for writer, number in raw.get("takes_back", ()))
        made = Event(
            _name(raw["case"]), _name(raw["writer"]), _count("number", raw["number"]), _count("stamp", raw["stamp"]),
            raw.get("sets", {}), taken, _count("deletions", raw.get("deletions", 0)),
        )  # fmt: skip
    except (KeyError, TypeError, ValueError) as error:
        raise StoreError(f"this is no event of the journal: {type(error).__name__} {error}") from None
    unknown = sorted(set(made.sets) - _OF_A_CASE - {"revision"})
    if unknown:
        raise StoreError(f"{unknown[0]}: a case has no such field")
    return made


def _name(value: object) -> str:
    if not isinstance(value, str) or not 1 <= len(value) <= _LONGEST_NAME or not value.isprintable():
        raise StoreError(f"expected a name of 1 to {_LONGEST_NAME} signs, found {value!r:.60}")
    return value


def _count(what: str, value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < _MOST:
        raise StoreError(f"{what}: expected a whole number from 0, found {value!r:.60}")
    return value


def changes(before: CaseRecord | None, after: CaseRecord) -> dict[str, Any]:
    """Return the fields in which a case differs from what it was; what is gone is None."""
    old, new = before.to_dict() if before else {}, after.to_dict()
    return {name: new.get(name) for name in sorted(_OF_A_CASE) if new.get(name) != old.get(name)}


def whole(record: CaseRecord) -> Event:
    """Return a whole case as one event, named by what it holds: an import, or a case from before the journal."""
    content = record.to_dict()
    mark = sha256(json.dumps(content, sort_keys=True).encode()).hexdigest()[:24]
    sets = {name: content.get(name) for name in sorted(_OF_A_CASE)}
    return Event(record.id, f"={mark}", record.revision, record.revision, sets | {"revision": record.revision})


def folded(case: str, events: Iterable[Event]) -> CaseRecord | None:
    """Return the case that its events make; None where its beginning is taken back, or has not arrived yet.

    Raises
    ------
    StoreError
        When they make no case, such as one with an outcome that there is none of.

    """
    known = {event.name: event for event in events}
    content: dict[str, Any] = {}
    for event in reversed(_counting(known.values())):
        content |= event.sets
    held = {name: value for name, value in content.items() if value is not None and name != "revision"}
    if not held.keys() >= _BEGUN:
        return None
    return from_dict({"schema": 1, "id": case, **held, "revision": _revision(known.values())})


def _counting(events: Iterable[Event]) -> list[Event]:
    """Return the events that nobody has taken back, the last first; what takes back may be taken back itself."""
    gone: set[EventName] = set()
    counting = []
    for event in sorted(events, key=lambda one: one.order, reverse=True):
        if event.name not in gone:
            gone.update(event.takes_back)
            counting.append(event)
    return counting


def _revision(events: Iterable[Event]) -> int:
    """Return a number that no event's stamp exceeds: what a case had as a whole, and one for every change since."""
    wholes = [int(event.sets["revision"]) for event in events if "revision" in event.sets]
    later = sum("revision" not in event.sets for event in events)
    return min(max(wholes, default=0) + later, 2**31 - 1)


def next_stamp(record: CaseRecord | None) -> int:
    """Return the stamp of an event by somebody who has seen a case as it is here."""
    return record.revision + 1 if record else 1
