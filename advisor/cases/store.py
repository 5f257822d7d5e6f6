"""The log itself: save, look up, search, say what was done and how it went, count, delete."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection, Select, delete, func, insert, or_, select, text
from sqlalchemy.dialects import postgresql, sqlite

from advisor.cases.engine import WRITES, bring_up_to_date, check_file, engine_for, in_words, sqlite_path
from advisor.cases.errors import NoSuchCaseError, StoreError
from advisor.cases.journal import Event, changes, folded, next_stamp, whole
from advisor.cases.keys import alias_key, milliseconds, search_key
from advisor.cases.record import ID_SIGNS, CaseRecord, Done, Result, new_id
from advisor.cases.tables import CASES, DELETED, EVENTS, body_text, event_in, event_row, opened, row_of
from advisor.graph.nodes import suspect_name
from advisor.plain_text import clean

_LAST = "\U0010ffff"
_PAGE = 500
_MOST_NEAR = 20_000
_SHORTEST_NUMBER, _LONGEST_NUMBER = 4, 40


@dataclass(frozen=True, slots=True)
class Search:
    """What to look for; empty parts don't narrow.

    `alias` begins the customer's alias; `complaint` is an entry's name or words of the complaint; `board` is part of
    the board's name; `since` and `until` are ISO 8601 moments, the latter not included.
    """

    alias: str = ""
    complaint: str = ""
    board: str = ""
    since: str = ""
    until: str = ""
    most: int = 50


class Store:
    """An open log.

    Parameters
    ----------
    url
        From `places.store_url`.

    Raises
    ------
    StoreError
        When it can't be opened; the message says why and what to do.

    """

    def __init__(self, url: str) -> None:
        self.url = url
        self._engine = engine_for(url)
        self._writing = self._engine.execution_options(**WRITES)
        with in_words(url):
            check_file(url)
            bring_up_to_date(self._engine, url)

    def __enter__(self) -> Store:
        """Return the log itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the log."""
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    # ------------------------------------------------------------------ writing

    def save(self, record: CaseRecord) -> None:
        """Save a whole case; when this returns, it outlives a crash. What was noted later elsewhere stays."""
        self.save_all((record,))

    def save_all(self, records: Iterable[CaseRecord]) -> int:
        """Save whole cases in one transaction: all of them, or none. Return how many there were."""
        with in_words(self.url), self._writing.begin() as connection:
            gone = self._deleted(connection)
            count = 0
            for record in records:
                if record.id in gone:
                    raise StoreError(f"case {record.id} was deleted for good; a copy of it is not taken back")
                self._put_whole(connection, record)
                count += 1
            return count

    def take_in(self, records: Iterable[CaseRecord], deleted_too: bool = False) -> tuple[int, int]:
        """Import whole cases in one transaction; return how many, and how many of deleted customers were left out.

        With `deleted_too` a person says that those shall come back.
        """
        with in_words(self.url), self._writing.begin() as connection:
            gone = self._deleted(connection)
            count = left_out = 0
            for record in records:
                if record.id in gone or _mark_of(record.alias) in gone:
                    if not deleted_too:
                        left_out += 1
                        continue
                    connection.execute(delete(DELETED).where(DELETED.c.mark.in_((record.id, _mark_of(record.alias)))))
                self._put_whole(connection, record)
                count += 1
            return count, left_out

    def append(self, events: Iterable[Event]) -> int:
        """Take events into the log in one transaction; return how many came too late, their customer being deleted.

        An event that is there already changes nothing.

        Raises
        ------
        StoreError
            When an event belongs to a case of another customer, or makes no case.

        """
        with in_words(self.url), self._writing.begin() as connection:
            gone = self._deleted(connection)
            late = 0
            touched: dict[str, None] = {}
            for event in events:
                if self._came_too_late(event, gone):
                    late += 1
                    self._keep_out(connection, event.case, gone)
                    touched.pop(event.case, None)
                    continue
                self._refuse_another_customers(connection, event)
                self._adopt(connection, event.case)
                connection.execute(self._insert_event, event_row(event))
                touched[event.case] = None
            for number in touched:
                self._fold(connection, number)
            return late

    def deletions(self) -> int:
        """Return how many deletions of customers the log has seen."""
        with in_words(self.url), self._engine.connect() as connection:
            return _last_deletion(connection)

    def _deleted(self, connection: Connection) -> dict[str, int]:
        return {row.mark: row.deletion for row in connection.execute(select(DELETED.c.mark, DELETED.c.deletion))}

    @staticmethod
    def _came_too_late(event: Event, gone: dict[str, int]) -> bool:
        alias = event.sets.get("alias")
        return event.case in gone or (isinstance(alias, str) and gone.get(_mark_of(alias), 0) > event.deletions)

    @staticmethod
    def _keep_out(connection: Connection, number: str, gone: dict[str, int]) -> None:
        """Refuse every further event of a case that a deleted customer's counter had begun."""
        if number in gone:
            return
        gone[number] = _last_deletion(connection)
        connection.execute(insert(DELETED).values(mark=number, deletion=gone[number]))
        connection.execute(delete(EVENTS).where(EVENTS.c.case_id == number))
        connection.execute(delete(CASES).where(CASES.c.id == number))

    def _refuse_another_customers(self, connection: Connection, event: Event) -> None:
        alias = event.sets.get("alias")
        if not isinstance(alias, str):
            return
        there = connection.execute(select(CASES.c.alias_key).where(CASES.c.id == event.case)).scalar()
        if there is not None and there != alias_key(alias):
            raise StoreError(f"case {event.case} is there already, for another customer; nothing was saved")

    def _put_whole(self, connection: Connection, record: CaseRecord) -> None:
        if connection.execute(self._insert_case, row_of(record)).first() is not None:
            return
        event = whole(record)
        self._refuse_another_customers(connection, event)
        self._adopt(connection, record.id)
        connection.execute(self._insert_event, event_row(event))
        self._fold(connection, record.id)

    def _adopt(self, connection: Connection, number: str) -> None:
        """Make an event of a case that has none yet, so that the first change of it has something to change."""
        if connection.execute(select(EVENTS.c.n).where(EVENTS.c.case_id == number).limit(1)).first():
            return
        body = connection.execute(select(CASES.c.body).where(CASES.c.id == number)).scalar()
        if body is not None:
            connection.execute(self._insert_event, event_row(whole(opened(body, number))))

    def _fold(self, connection: Connection, number: str) -> CaseRecord | None:
        """Write the case's row anew from its events."""
        record = folded(number, self._events(connection, number))
        if record is None:
            connection.execute(delete(CASES).where(CASES.c.id == number))
        else:
            connection.execute(self._upsert_case, row_of(record))
        return record

    def _events(self, connection: Connection, number: str) -> list[Event]:
        bodies = connection.execute(select(EVENTS.c.body).where(EVENTS.c.case_id == number)).scalars()
        return [event_in(body) for body in bodies]

    @cached_property
    def _insert(self) -> Any:
        return sqlite.insert if self._engine.dialect.name == "sqlite" else postgresql.insert

    @cached_property
    def _insert_event(self) -> Any:
        return self._insert(EVENTS).on_conflict_do_nothing(index_elements=[EVENTS.c.writer, EVENTS.c.number])

    @cached_property
    def _insert_case(self) -> Any:
        return self._insert(CASES).on_conflict_do_nothing(index_elements=[CASES.c.id]).returning(CASES.c.n)

    @cached_property
    def _upsert_case(self) -> Any:
        put = self._insert(CASES)
        new = {column.name: put.excluded[column.name] for column in CASES.columns if column.name not in {"n", "id"}}
        return put.on_conflict_do_update(index_elements=[CASES.c.id], set_=new)

    def set_done(self, number: str, done: Done) -> CaseRecord:
        """Write down what was really done."""
        return self._note(number, lambda record: record.with_done(done))

    def set_result(self, number: str, result: Result) -> CaseRecord:
        """Write down how it went."""
        return self._note(number, lambda record: record.with_result(result))

    def _note(self, number: str, change: Callable[[CaseRecord], CaseRecord]) -> CaseRecord:
        with in_words(self.url), self._writing.begin() as connection:
            asked = select(CASES.c.body).where(CASES.c.id == number).with_for_update()
            body = connection.execute(asked).scalar()
            if body is None:
                raise NoSuchCaseError(f"there is no case {clean(number)}; 'advisor cases list' shows what there is")
            record = opened(body, number)
            self._adopt(connection, number)
            event = Event(number, new_id(), 1, next_stamp(record), changes(record, change(record)))
            connection.execute(self._insert_event, event_row(event))
            noted = self._fold(connection, number)
            assert noted is not None
            return noted

    def delete(self, alias: str) -> tuple[int, str]:
        """Delete every case of a customer for good; return how many there were, and what could not be cleared.

        What remains is each case's number and a hash of the alias, so that no counter that was away brings them back.
        On SQLite freed pages are overwritten and the write-ahead log is emptied; on PostgreSQL the tables are written
        anew without the deleted rows.
        """
        with in_words(self.url):
            with self._writing.begin() as connection:
                of_them = CASES.c.alias_key == alias_key(alias)
                numbers = connection.execute(select(CASES.c.id).where(of_them)).scalars().all()
                deletion = _last_deletion(connection) + 1
                marks = [*numbers, _mark_of(alias)]
                connection.execute(delete(DELETED).where(DELETED.c.mark == _mark_of(alias)))
                connection.execute(insert(DELETED), [{"mark": mark, "deletion": deletion} for mark in marks])
                for start in range(0, len(numbers), _PAGE):
                    connection.execute(delete(EVENTS).where(EVENTS.c.case_id.in_(numbers[start : start + _PAGE])))
                connection.execute(delete(CASES).where(of_them))
            return len(numbers), self._clean_up()

    def _clean_up(self) -> str:
        """Overwrite what a deletion freed; return what could not be, in words."""
        with self._engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            if sqlite_path(self.url) is None:
                for table in ("cases", "events"):
                    connection.execute(text(f"VACUUM FULL {table}"))
                return (
                    "the server's write-ahead log and its backups keep deleted rows as long as they are kept "
                    "(wal_keep_size, archives): ask who runs it"
                )
            busy = connection.execute(text("PRAGMA wal_checkpoint(TRUNCATE)")).one()[0]
            return (
                "another program is reading the log, so its write-ahead log still holds them: close it, delete again"
                if busy
                else ""
            )

    # ------------------------------------------------------------------ reading

    def get(self, number: str) -> CaseRecord:
        """Return a case by its number, or by the first signs of it where they fit one case alone.

        Raises
        ------
        NoSuchCaseError
            When none or several fit.

        """
        wanted = number.strip().upper()
        found: list[CaseRecord] = []
        asked = select(CASES.c.id, CASES.c.body)
        if wanted and len(wanted) <= _LONGEST_NUMBER and set(wanted) <= set(ID_SIGNS):
            found = self._records(asked.where(CASES.c.id == wanted))
            if not found and len(wanted) >= _SHORTEST_NUMBER:
                # A range, and no LIKE, so that either database walks its index.
                last = wanted.ljust(_LONGEST_NUMBER, ID_SIGNS[-1])
                found = self._records(asked.where(CASES.c.id.between(wanted, last)).order_by(CASES.c.id).limit(5))
        if len(found) == 1:
            return found[0]
        if found:
            raise NoSuchCaseError(f"{clean(number)} could be {', '.join(one.id for one in found)}; give more of it")
        raise NoSuchCaseError(f"there is no case {clean(number)}; 'advisor cases list' shows what there is")

    def last(self, alias: str) -> CaseRecord | None:
        """Return a customer's last case, None where the alias is not known."""
        asked = select(CASES.c.id, CASES.c.body).where(CASES.c.alias_key == alias_key(alias))
        return next(iter(self._records(asked.order_by(CASES.c.at_ms.desc(), CASES.c.n.desc()).limit(1))), None)

    def near(self, alias: str) -> list[str]:
        """Return aliases that are nearly the one given, the nearest first: a slip of the finger, a space too few."""
        from difflib import get_close_matches

        key = alias_key(alias)
        asked = select(CASES.c.alias_key, func.max(CASES.c.n)).group_by(CASES.c.alias_key)
        asked = asked.where(CASES.c.alias_key >= key[:1], CASES.c.alias_key < key[:1] + _LAST).limit(_MOST_NEAR)
        with in_words(self.url), self._engine.connect() as connection:
            newest = {row[0]: row[1] for row in connection.execute(asked)}
            plain = {"".join(known.split()): known for known in newest}
            found = get_close_matches("".join(key.split()), plain, 3, 0.75)
            bodies = [connection.execute(select(CASES.c.body).where(CASES.c.n == newest[plain[one]])) for one in found]
            return [opened(body.scalar_one()).alias for body in bodies]

    def of(self, alias: str) -> list[CaseRecord]:
        """Return a customer's cases, the first visit first."""
        asked = select(CASES.c.id, CASES.c.body).where(CASES.c.alias_key == alias_key(alias))
        return self._records(asked.order_by(CASES.c.at_ms, CASES.c.n))

    def find(self, search: Search) -> list[CaseRecord]:
        """Return the cases that fit, the newest first."""
        asked: Select[Any] = select(CASES.c.n, CASES.c.at_ms)
        alias, words, board = (search_key(part) for part in (search.alias, search.complaint, search.board))
        if alias:
            asked = asked.where(CASES.c.alias_key >= alias, CASES.c.alias_key < alias + _LAST)
        if words:
            asked = asked.where(or_(CASES.c.entry == words, CASES.c.words.contains(words, autoescape=True)))
        if board:
            asked = asked.where(CASES.c.board_key.contains(board, autoescape=True))
        if search.since:
            asked = asked.where(CASES.c.at_ms >= milliseconds(search.since))
        if search.until:
            asked = asked.where(CASES.c.at_ms < milliseconds(search.until))
        # Numbers first, bodies of those alone: SQLite then looks for words in an index that has all but the bodies.
        fits = asked.order_by(CASES.c.at_ms.desc(), CASES.c.n.desc()).limit(search.most).subquery()
        bodies = select(CASES.c.id, CASES.c.body).select_from(fits).join(CASES, CASES.c.n == fits.c.n)
        return self._records(bodies.order_by(fits.c.at_ms.desc(), fits.c.n.desc()))

    def _records(self, asked: Select[Any]) -> list[CaseRecord]:
        with in_words(self.url), self._engine.connect() as connection:
            rows = connection.execute(asked).all()
        return [opened(body, number) for number, body in rows]

    def count(self) -> int:
        """Return how many cases there are."""
        with in_words(self.url), self._engine.connect() as connection:
            return connection.execute(select(func.count()).select_from(CASES)).scalar_one()

    def lines(self) -> Iterator[str]:
        """Yield every case as one line of ASCII JSON, in the order of saving, from one moment's view of the log."""
        asked = select(CASES.c.id, CASES.c.body).order_by(CASES.c.n)
        with in_words(self.url), self._engine.connect() as connection:
            for number, body in connection.execution_options(yield_per=_PAGE).execute(asked):
                yield body_text(body, number)

    def tallies(self) -> dict[str, dict[str, tuple[int, int]]]:
        """Return entry to suspect to (better, tried), from the cases that were done as advised and came back."""
        asked = (
            select(CASES.c.entry, CASES.c.suspect, CASES.c.how, func.count())
            .where(CASES.c.how.is_not(None), CASES.c.did == "as_advised", CASES.c.suspect != "")
            .group_by(CASES.c.entry, CASES.c.suspect, CASES.c.how)
        )
        found: dict[str, dict[str, tuple[int, int]]] = {}
        with in_words(self.url), self._engine.connect() as connection:
            for entry, suspect, how, count in connection.execute(asked):
                name = suspect_name(suspect)
                better, tried = found.setdefault(entry, {}).get(name, (0, 0))
                found[entry][name] = (better + count * how.startswith("better"), tried + count)
        return found


def _mark_of(alias: str) -> str:
    """Return what is kept of a deleted customer: a hash, no alias."""
    return "@" + sha256(alias_key(alias).encode("utf-8", "surrogatepass")).hexdigest()[:40]


def _last_deletion(connection: Connection) -> int:
    return int(connection.execute(select(func.coalesce(func.max(DELETED.c.deletion), 0))).scalar_one())
