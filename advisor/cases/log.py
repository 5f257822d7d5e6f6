"""The log as a conversation uses it: a change is kept on this machine at once, and sent in the background.

Whatever the log does, no turn waits for it: slow, locked, silent or away, the change is on disk and is sent as soon as
the log takes it.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from queue import SimpleQueue
from threading import Condition, Lock, Thread
from time import monotonic
from typing import TYPE_CHECKING, Any

from advisor.cases.errors import StoreError
from advisor.cases.journal import Event, EventName, changes, next_stamp
from advisor.cases.outbox import Outbox
from advisor.cases.places import odds_file, store_url, unsent_folder
from advisor.cases.record import CaseRecord

if TYPE_CHECKING:
    from advisor.cases.store import Store

Tallies = Mapping[str, Mapping[str, tuple[int, int]]]

_TRY_AGAIN_S = 30.0
_LONGEST_CLOSE_S = 3.0


class CaseLog:
    """The shop's log, from the settings in the environment."""

    def __init__(self, environ: Mapping[str, str] | None = None) -> None:
        self._environ = environ
        self._store: Store | None = None
        self._opening = Lock()
        self.outbox = Outbox(unsent_folder(environ))
        self._sender: _Sender | None = None
        self._told: SimpleQueue[str] = SimpleQueue()

    def store(self) -> Store:
        """Return the open log, with all that waited sent to it.

        Raises
        ------
        StoreError
            When it can't be opened.

        """
        with self._opening:
            if self._store is None:
                from advisor.cases.store import Store

                self._store = Store(store_url(self._environ))
            store = self._store
        self._deliver(store)
        return store

    def _deliver(self, store: Store) -> None:
        late: list[Event] = []

        def append(events: list[Event]) -> None:
            late.extend(events[:1] if store.append(events) else ())

        sent = self.outbox.send(append) if self.outbox.files() else 0
        self.outbox.note_deletions(store.deletions())
        if sent:
            write_odds(store.tallies(), self._environ)
        if late:
            self._told.put("The customer was deleted from the log meanwhile; nothing more of this conversation is kept")

    def close(self) -> None:
        """Let go of the log; what is on its way has a moment to arrive, and else is sent the next time."""
        if self._sender is not None:
            self._sender.finish(_LONGEST_CLOSE_S)
            self._sender = None
        if self._store is not None:
            self._store.close()
            self._store = None
        self.outbox.close()

    # ------------------------------------------------------------------ changes, from a conversation

    def change(self, before: CaseRecord | None, after: CaseRecord) -> Event:
        """Keep what has changed of a case, and send it beside the conversation.

        Raises
        ------
        StoreError
            When it can't even be kept on this machine.

        """
        return self._put(after.id, next_stamp(before), changes(before, after))

    def take_back(self, events: Sequence[Event]) -> list[Event]:
        """Take changes back: what the tech takes back in the conversation counts no longer in the log either."""
        made = []
        for case in dict.fromkeys(event.case for event in events):
            of_case = [event for event in events if event.case == case]
            stamp = 1 + max(event.stamp for event in of_case)
            made.append(self._put(case, stamp, {}, [event.name for event in of_case]))
        return made

    def _put(self, case: str, stamp: int, sets: Mapping[str, Any], names: Sequence[EventName] = ()) -> Event:
        try:
            event = self.outbox.put(case, stamp, sets, names)
        except OSError as error:
            raise StoreError(f"{self.outbox.folder}: the case can't be kept here ({error.strerror})") from error
        if self._sender is None:
            self._sender = _Sender(self)
            self._sender.start()
        self._sender.wake()
        return event

    def told(self) -> list[str]:
        """Return what the way to the log has to say since it was asked last."""
        found = []
        while not self._told.empty():
            found.append(self._told.get())
        return found

    def send(self) -> bool:
        """Send what waits; return whether that could be done, and tell why where it could not."""
        try:
            self.store()
        except (StoreError, ImportError, OSError) as error:
            self._told.put(f"{error}. The case is kept on this machine and goes into the log later.")
            return False
        refused = [one for one in self.outbox.waiting() if one.why]
        if refused:
            self._told.put(f"The log refused a change: {refused[-1].why}. 'advisor cases waiting' shows it.")
        return True


class _Sender(Thread):
    """Sends what waits, beside the conversation."""

    def __init__(self, log: CaseLog) -> None:
        super().__init__(name="case log", daemon=True)
        self._log = log
        self._changed = Condition()
        self._wanted = self._served = 0
        self._failed_at: float | None = None

    def wake(self) -> None:
        """Ask for another sending."""
        with self._changed:
            self._wanted += 1
            self._changed.notify_all()

    def run(self) -> None:
        """Send whenever asked; a log that could not be reached is left alone for a while."""
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._wanted > self._served)
                serving = self._wanted
            if self._failed_at is None or monotonic() - self._failed_at > _TRY_AGAIN_S:
                self._failed_at = None if self._log.send() else monotonic()
            with self._changed:
                self._served = serving
                self._changed.notify_all()

    def finish(self, patience_s: float) -> None:
        """Wait a moment until all is sent, or it is known that it can't be."""
        with self._changed:
            self._changed.wait_for(lambda: self._served == self._wanted, patience_s)


def write_odds(tallies: Tallies, environ: Mapping[str, str] | None = None) -> None:
    """Keep the counts by cause where a conversation finds them without opening the log; failing costs nothing else."""
    file = odds_file(environ)
    part = file.with_suffix(f".{os.getpid()}.part")
    try:
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        part.write_text(json.dumps(tallies), encoding="ascii")
        part.replace(file)
    except OSError:
        return


def read_odds(environ: Mapping[str, str] | None = None) -> Tallies:
    """Return the counts by cause as last written; none where there is no log or the file is not whole."""
    return _tallies(odds_file(environ))


def _tallies(file: Path) -> Tallies:
    try:
        raw: Any = json.loads(file.read_bytes())
        return {
            str(entry): {str(name): _pair(pair) for name, pair in suspects.items()} for entry, suspects in raw.items()
        }
    except (OSError, ValueError, AttributeError, TypeError, OverflowError, RecursionError):
        return {}


def _pair(pair: Any) -> tuple[int, int]:
    better, tried = int(pair[0]), int(pair[1])
    if not 0 <= better <= tried:
        raise ValueError(pair)
    return better, tried
