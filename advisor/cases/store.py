"""The log itself: save, look up, search, say what was done and how it went, count, delete."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from sqlalchemy import Connection, Select, and_, delete, func, or_, select, text
from sqlalchemy.dialects import postgresql, sqlite

from advisor.cases.engine import WRITES, bring_up_to_date, check_file, engine_for, in_words, sqlite_path
from advisor.cases.errors import NoSuchCaseError, StoreError
from advisor.cases.keys import alias_key, milliseconds, search_key
from advisor.cases.record import ID_SIGNS, CaseRecord, Done, Result
from advisor.cases.tables import CASES, body_text, opened, row_of
from advisor.plain_text import clean

__all__ = ["Search", "Store"]

_LAST = "\U0010ffff"
_PAGE = 500
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
        """Save a case; when this returns, it outlives a crash. A later revision is never overwritten by an earlier."""
        self.save_all((record,))

    def save_all(self, records: Iterable[CaseRecord]) -> int:
        """Save cases in one transaction: all of them, or none. Return how many there were."""
        with in_words(self.url), self._writing.begin() as connection:
            count = 0
            for record in records:
                self._put(connection, record)
                count += 1
            return count

    def _put(self, connection: Connection, record: CaseRecord) -> None:
        row = row_of(record)
        if connection.execute(self._upsert, row).first() is not None:
            return
        there = connection.execute(
            select(CASES.c.alias_key, CASES.c.revision).where(CASES.c.id == record.id)
        ).one_or_none()
        if there is None or there.alias_key != row["alias_key"]:
            raise StoreError(f"case {record.id} is there already, for another customer; nothing was saved")

    @cached_property
    def _upsert(self) -> Any:
        insert = sqlite.insert if self._engine.dialect.name == "sqlite" else postgresql.insert
        put = insert(CASES)
        new = {column.name: put.excluded[column.name] for column in CASES.columns if column.name not in {"n", "id"}}
        newer = and_(CASES.c.revision <= put.excluded.revision, CASES.c.alias_key == put.excluded.alias_key)
        return put.on_conflict_do_update(index_elements=[CASES.c.id], set_=new, where=newer).returning(CASES.c.n)

    def set_done(self, number: str, done: Done) -> CaseRecord:
        """Write down what was really done."""
        return self._change(number, lambda record: record.with_done(done))

    def set_result(self, number: str, result: Result) -> CaseRecord:
        """Write down how it went."""
        return self._change(number, lambda record: record.with_result(result))

    def _change(self, number: str, change: Callable[[CaseRecord], CaseRecord]) -> CaseRecord:
        with in_words(self.url), self._writing.begin() as connection:
            asked = select(CASES.c.body).where(CASES.c.id == number).with_for_update()
            body = connection.execute(asked).scalar()
            if body is None:
                raise NoSuchCaseError(f"there is no case {clean(number)}; 'advisor cases list' shows what there is")
            record = change(opened(body, number))
            self._put(connection, record)
            return record

    def delete(self, alias: str) -> int:
        """Delete every case of a customer for good and return how many there were.

        On SQLite freed pages are overwritten and the write-ahead log is emptied; on PostgreSQL the table is vacuumed.
        """
        with in_words(self.url):
            with self._writing.begin() as connection:
                gone = connection.execute(delete(CASES).where(CASES.c.alias_key == alias_key(alias))).rowcount
            with self._engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
                embedded = sqlite_path(self.url) is not None
                connection.execute(text("PRAGMA wal_checkpoint(TRUNCATE)" if embedded else "VACUUM cases"))
        return gone

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
                better, tried = found.setdefault(entry, {}).get(suspect, (0, 0))
                found[entry][suspect] = (better + count * how.startswith("better"), tried + count)
        return found
