"""Changes on their way to the log: on this machine's disk first, sent as soon as the log takes them.

Each running advisor writes into a file of its own, a line an event, and holds a lock on it as long as it lives. What a
dead one left is sent by the next. A change is kept when `put` returns: it outlives a crash, a slow log and a lost one.
What the log refuses is put aside in `refused.jsonl` with the reason, and holds nothing else up.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from threading import RLock
from typing import Any, NamedTuple

from advisor.cases.errors import StoreError
from advisor.cases.journal import Event, EventName, event_from, whole
from advisor.cases.keys import alias_key
from advisor.cases.record import from_dict, new_id

REFUSED = "refused.jsonl"
_ENDING = ".journal"
_FIRST_EDITION = "*-*.jsonl"
_UNSEEN = 1_000_000
"""The stamp of a note on a case that this machine has not seen: after all that was seen of it."""


class Waiting(NamedTuple):
    """One line that waits or was refused: where it stands, what it holds, and why it is not in the log."""

    file: Path
    line: int
    event: Event | None
    why: str


class Outbox:
    """The folder of changes that are not in the log yet."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.writer = new_id()
        self._number = 0
        self._handle: int | None = None
        # A signal that ends the process may come while a change is being written, and keeps one itself.
        self._writing = RLock()

    @property
    def own_file(self) -> Path:
        """Where this process writes."""
        return self.folder / f"{self.writer}{_ENDING}"

    def put(
        self, case: str, stamp: int | None, sets: Mapping[str, Any], takes_back: Collection[EventName] = ()
    ) -> Event:
        """Keep a change; when this returns, it outlives a crash.

        Raises
        ------
        OSError
            When it can't be written here.

        """
        with self._writing:
            self._number += 1
            event = Event(
                case, self.writer, self._number, _UNSEEN if stamp is None else stamp, sets, tuple(takes_back),
                self.deletions_known(),
            )  # fmt: skip
            line = (json.dumps(event.to_dict(), ensure_ascii=True) + "\n").encode("ascii")
            handle = self._opened()
            size = os.fstat(handle).st_size
            try:
                if os.write(handle, line) != len(line):
                    raise OSError(28, "No space left on device")
                os.fsync(handle)
            except OSError:
                os.ftruncate(handle, size)
                raise
            return event

    def _opened(self) -> int:
        if self._handle is None:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            self._handle = os.open(self.own_file, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_EXCL, 0o600)
            _lock(self._handle)
            _settle(self.folder)
        return self._handle

    def _sent(self, size: int) -> None:
        """Empty this process's file where all that is in it is in the log; a change that came meanwhile keeps it whole.

        What is then sent twice does no harm.
        """
        with self._writing:
            if self._handle is not None and os.fstat(self._handle).st_size == size:
                os.ftruncate(self._handle, 0)

    def close(self) -> None:
        """Let go of this process's file, and take it away where nothing waits in it."""
        if self._handle is None:
            return
        empty = os.fstat(self._handle).st_size == 0
        os.close(self._handle)
        self._handle = None
        if empty:
            self.own_file.unlink(missing_ok=True)

    # ------------------------------------------------------------------ what deletions this machine knows of

    def deletions_known(self) -> int:
        """Return how many deletions of customers this machine had heard of when it last reached the log."""
        try:
            return int((self.folder / "deletions").read_text(encoding="ascii"))
        except (OSError, ValueError):
            return 0

    def note_deletions(self, count: int) -> None:
        """Keep how many deletions the log has seen."""
        if count == self.deletions_known():
            return
        try:
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            (self.folder / "deletions").write_text(str(count), encoding="ascii")
        except OSError:
            return

    # ------------------------------------------------------------------ what waits

    def files(self) -> list[Path]:
        """Return the files with changes that wait, of every process and of the first edition."""
        if not self.folder.is_dir():
            return []
        found = {*self.folder.glob(f"*{_ENDING}"), *self.folder.glob(_FIRST_EDITION)}
        return sorted(file for file in found if file.stat().st_size)

    def waiting(self) -> list[Waiting]:
        """Return what waits, and what was refused with the reason, for a person to look at."""
        found = [Waiting(file, line, event, "") for file in self.files() for line, event in _events_of(file)]
        return found + list(self._refused())

    def _refused(self) -> Iterator[Waiting]:
        file = self.folder / REFUSED
        for line, raw in _lines_of(file):
            content = _json(raw)
            why = str(content.get("why", "")) if isinstance(content, dict) else "no JSON"
            try:
                yield Waiting(file, line, event_from(content["event"]), why)
            except (KeyError, TypeError, StoreError):
                yield Waiting(file, line, None, why)

    def send(self, append: Callable[[list[Event]], object]) -> int:
        """Send what this process kept and what dead ones left; return how many changes that were.

        Parameters
        ----------
        append
            Takes events into the log; raises `StoreError` for what the log refuses.

        Raises
        ------
        StoreError
            When the log itself can't be used; all that is not sent goes on waiting.

        """
        count = 0
        for file in self.files():
            if file == self.own_file:
                size = file.stat().st_size
                count += self._send_file(file, append)
                self._sent(size)
                continue
            with _held(file) as mine:
                if mine:
                    count += self._send_file(file, append)
                    file.unlink(missing_ok=True)
        return count

    def _send_file(self, file: Path, append: Callable[[list[Event]], object]) -> int:
        whole_ones = []
        for line, event in _events_of(file):
            if event is None:
                self._put_aside(file.name, line, None, "can't be read")
            else:
                whole_ones.append(event)
        if not whole_ones:
            return 0
        try:
            append(whole_ones)
        except StoreError as error:
            if _log_itself(error):
                raise
            self._one_by_one(file, whole_ones, append)
        return len(whole_ones)

    def _one_by_one(self, file: Path, events: list[Event], append: Callable[[list[Event]], object]) -> None:
        for number, event in enumerate(events, 1):
            try:
                append([event])
            except StoreError as error:
                if _log_itself(error):
                    raise
                self._put_aside(file.name, number, event, str(error))

    def _put_aside(self, name: str, line: int, event: Event | None, why: str) -> None:
        content = {"from": f"{name}, line {line}", "why": why, "event": event.to_dict() if event else None}
        made = (json.dumps(content, ensure_ascii=True) + "\n").encode("ascii")
        if any(raw.encode("ascii", "replace") + b"\n" == made for _, raw in _lines_of(self.folder / REFUSED)):
            return
        handle = os.open(self.folder / REFUSED, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
        try:
            os.write(handle, made)
            os.fsync(handle)
        finally:
            os.close(handle)

    def try_refused_again(self) -> int:
        """Let what was refused wait again; return how much that was."""
        file = self.folder / REFUSED
        events = [one.event for one in self._refused() if one.event]
        for event in events:
            self.put(event.case, event.stamp, event.sets, event.takes_back)
        if events:
            file.unlink(missing_ok=True)
        return len(events)

    # ------------------------------------------------------------------ forgetting

    def forget(self, alias: str, numbers: Collection[str] = ()) -> tuple[int, int]:
        """Delete what waits or was refused of a customer.

        Returns
        -------
        tuple
            How many changes went, and how many files hold some that another window still writes.

        """
        cases = set(numbers) | {
            one.event.case
            for one in self.waiting()
            if one.event and alias_key(str(one.event.sets.get("alias", ""))) == alias_key(alias)
        }
        gone = held = 0
        for file in [*self.files(), *([self.folder / REFUSED] if (self.folder / REFUSED).is_file() else [])]:
            with _held(file) as mine:
                lines = [raw for _, raw in _lines_of(file)]
                of_them = [raw for raw in lines if _case_in(raw) in cases]
                if of_them and not mine and file != self.own_file:
                    held += 1
                elif of_them:
                    _write_lines(file, [raw for raw in lines if raw not in of_them])
                    gone += len(of_them)
        return gone, held


# ---------------------------------------------------------------------- lines and files


def _lines_of(file: Path) -> list[tuple[int, str]]:
    try:
        text = file.read_text(encoding="ascii", errors="replace")
    except OSError:
        return []
    return [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]


def _events_of(file: Path) -> list[tuple[int, Event | None]]:
    return [(number, _event(line)) for number, line in _lines_of(file)]


def _json(line: str) -> Any:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        return None


def _event(line: str) -> Event | None:
    """Return the event in a line: of this edition, or a whole case or a note of the first; None for no event."""
    raw = _json(line)
    if not isinstance(raw, dict):
        return None
    try:
        if "sets" in raw:
            return event_from(raw)
        if "schema" in raw:
            return whole(from_dict(raw))
        number = str(raw["id"])
        note = {name: raw[name] for name in ("done", "result") if name in raw}
        return Event(number, f"={new_id()}", 1, _UNSEEN, note)
    except (StoreError, KeyError, TypeError):
        return None


def _case_in(line: str) -> str:
    content = _json(line)
    inner = content.get("event") if isinstance(content, dict) and "event" in content else content
    return str(inner.get("case") or inner.get("id") or "") if isinstance(inner, dict) else ""


def _write_lines(file: Path, lines: list[str]) -> None:
    handle = os.open(file, os.O_WRONLY | os.O_APPEND)
    try:
        os.ftruncate(handle, 0)
        os.write(handle, "".join(f"{line}\n" for line in lines).encode("ascii", "replace"))
        os.fsync(handle)
    finally:
        os.close(handle)


def _log_itself(error: StoreError) -> bool:
    """Whether an error says that the log can't be used, and nothing of what was sent."""
    from advisor.cases.errors import DamagedError, NewerError, UnreachableError

    return isinstance(error, DamagedError | NewerError | UnreachableError)


@contextmanager
def _held(file: Path) -> Iterator[bool]:
    """Hold a file that nobody else holds, and yield whether that could be had."""
    try:
        handle = os.open(file, os.O_RDWR)
    except OSError:
        yield False
        return
    try:
        yield _lock(handle)
    finally:
        os.close(handle)


def _lock(handle: int) -> bool:
    """Take a lock that ends with the process; where the system has none a file counts as left behind."""
    try:
        import fcntl
    except ImportError:
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def _settle(folder: Path) -> None:
    """Make a new file outlive a power cut, where the system lets a folder be synced."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
