"""Every place that holds a customer's or trainee's words: one list, for showing, tightening and deleting."""

from __future__ import annotations

import os
import stat
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple
from urllib.parse import unquote

from advisor.cases.engine import sqlite_path
from advisor.cases.keys import alias_key
from advisor.cases.places import data_folder, store_url, unsent_folder
from advisor.shop_folder import phrases_folder, sheets_folder

OWNER_ALONE = 0o600
_LONGEST_READ = 64_000_000


class Place(NamedTuple):
    """A file that holds personal words, and what of them."""

    file: Path
    holds: str

    @property
    def mode(self) -> int:
        """The file's permissions."""
        return stat.S_IMODE(self.file.stat().st_mode)

    @property
    def owner_alone(self) -> bool:
        """Whether nobody but its owner may read it."""
        return not self.mode & 0o077


def places(environ: Mapping[str, str] | None = None) -> list[Place]:
    """Return every file on this machine that holds personal words, those that are there."""
    data = data_folder(environ)
    found = list(_log_files(environ))
    found += [Place(file, "changes that wait for the log, or that it refused") for file in _in(unsent_folder(environ))]
    found += [Place(file, "open cases: sheet and answers, no words") for file in _in(data / "kept")]
    found += [Place(data / "kept_case.json", "an open case of the first edition: sheet and answers")]
    found += [
        Place(file, "words that the shop has taught, as riders said them") for file in _in(phrases_folder(environ))
    ]
    found += [Place(data / "shop_phrases.yaml", "words that the shop has taught, in the first edition's file")]
    found += [Place(file, "a customer's sheet, its name the alias") for file in _in(sheets_folder(environ))]
    found += [Place(data / "training.sqlite", "trainees' aliases and marks")]
    return [place for place in found if place.file.is_file()]


def _log_files(environ: Mapping[str, str] | None) -> Iterator[Place]:
    path = sqlite_path(store_url(environ))
    for tail in ("", "-wal", "-shm") if path else ():
        assert path is not None
        yield Place(path.with_name(path.name + tail), "the case log: aliases, sheets, what was said")


def _in(folder: Path) -> list[Path]:
    return sorted(file for file in folder.iterdir() if file.is_file()) if folder.is_dir() else []


def tighten(environ: Mapping[str, str] | None = None) -> int:
    """Make every such file readable by its owner alone; return how many were not."""
    count = 0
    for place in places(environ):
        if not place.owner_alone:
            try:
                place.file.chmod(OWNER_ALONE)
                count += 1
            except OSError:
                continue
    return count


def forget_beside_the_log(alias: str, said: Collection[str], environ: Mapping[str, str] | None = None) -> list[str]:
    """Delete what is kept of a customer outside the log: their sheet, and phrases that were taught in their words.

    Returns
    -------
    list of str
        What went, in words.

    """
    from advisor.match.shop import forget, read_file, shop_file

    gone = []
    for file in _in(sheets_folder(environ)):
        if alias_key(unquote(file.stem)) == alias_key(alias):
            file.unlink(missing_ok=True)
            gone.append("their sheet")
    spoken = {" ".join(line.split()).casefold() for line in said}
    file = shop_file(environ)
    taught = [phrase for phrase in read_file(file)[0] if phrase.text.casefold() in spoken]
    if taught:
        forget(taught, file)
        gone.append(f"{len(taught)} phrase{'s' * (len(taught) != 1)} taught in their words")
    return gone


def still_there(alias: str, environ: Mapping[str, str] | None = None) -> list[Path]:
    """Return the files in whose bytes an alias can still be read, as it was written or in small letters."""
    forms = {form.encode("utf-8", "surrogatepass") for form in (alias, alias_key(alias)) if len(form) > 2}
    return [place.file for place in places(environ) if any(form in _bytes_of(place.file) for form in forms)]


def _bytes_of(file: Path) -> bytes:
    try:
        with file.open("rb") as content:
            return content.read(_LONGEST_READ) if os.fstat(content.fileno()).st_size <= _LONGEST_READ else b""
    except OSError:
        return b""
