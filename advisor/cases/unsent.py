"""Cases that wait on this machine while the log can't be reached: one small file each, sent as soon as it can be.

Every file holds one line of JSON: a case, or what was done or how it went for a case of the log. A file is written
whole and then renamed, so a crash leaves no half of one. Sending one twice does no harm.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cases.errors import NoSuchCaseError, StoreError
from advisor.cases.record import CaseRecord, Done, Result, from_dict

if TYPE_CHECKING:
    from advisor.cases.store import Store

__all__ = ["Item", "Unsent"]

Item = CaseRecord | tuple[str, Done] | tuple[str, Result]


class Unsent:
    """The folder of waiting cases."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def files(self) -> list[Path]:
        """Return the waiting files, the oldest first."""
        return sorted(self.folder.glob("*.jsonl")) if self.folder.is_dir() else []

    def put(self, item: Item) -> Path:
        """Keep something until it can be sent; when this returns, it outlives a crash.

        Raises
        ------
        OSError
            When it can't be written here either.

        """
        self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        line = json.dumps(_document(item), ensure_ascii=True) + "\n"
        file = self.folder / f"{time.time_ns():020d}-{os.getpid()}.jsonl"
        part = file.with_suffix(".part")
        try:
            with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="ascii") as out:
                out.write(line)
                out.flush()
                os.fsync(out.fileno())
            part.replace(file)
        except OSError:
            part.unlink(missing_ok=True)
            raise
        _settle(self.folder)
        return file

    def send(self, store: Store) -> int:
        """Send all that waits, oldest first; return how much was sent. What the log refuses is put aside as `.refused`.

        Raises
        ------
        UnreachableError
            When the log goes away again; the rest goes on waiting.

        """
        sent = 0
        for file in self.files():
            try:
                item = _item(json.loads(file.read_text(encoding="ascii")))
            except FileNotFoundError:
                continue
            except (OSError, ValueError, KeyError, TypeError, StoreError):
                file.replace(file.with_suffix(".refused"))
                continue
            try:
                if isinstance(item, CaseRecord):
                    store.save(item)
                elif isinstance(item[1], Done):
                    store.set_done(item[0], item[1])
                else:
                    store.set_result(item[0], item[1])
            except NoSuchCaseError:
                file.replace(file.with_suffix(".refused"))
                continue
            file.unlink(missing_ok=True)
            sent += 1
        return sent

    def forget(self, matches: str) -> int:
        """Delete what waits for a customer, named by the alias's key; return how much that was."""
        from advisor.cases.keys import alias_key

        gone = 0
        for file, content in self._contents():
            if alias_key(str(content.get("alias", ""))) == matches:
                file.unlink(missing_ok=True)
                gone += 1
        return gone

    def _contents(self) -> Iterator[tuple[Path, dict[str, Any]]]:
        waiting = [*self.files(), *(self.folder.glob("*.refused") if self.folder.is_dir() else ())]
        for file in waiting:
            try:
                content = json.loads(file.read_text(encoding="ascii"))
            except (OSError, ValueError):
                continue
            if isinstance(content, dict):
                yield file, content


def _settle(folder: Path) -> None:
    """Make a rename outlive a power cut, where the system lets a folder be synced."""
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


def _document(item: Item) -> dict[str, Any]:
    if isinstance(item, CaseRecord):
        return item.to_dict()
    number, told = item
    return {"id": number, "done" if isinstance(told, Done) else "result": asdict(told)}


def _item(raw: Any) -> Item:
    if isinstance(raw, dict) and "schema" not in raw:
        if "done" in raw:
            return str(raw["id"]), Done(**raw["done"])
        return str(raw["id"]), Result(**raw["result"])
    return from_dict(raw)
