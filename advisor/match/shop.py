"""The shop's own phrases: a correction is noted, a person confirms it, from then on it counts.

The file is YAML, one record a line, each line also being plain JSON after its dash, so that reading it at start
needs no YAML library:

    - {"text": "it feels like a shopping trolley", "entry": "unstable_at_speed", "confirmed": true, "at": "2026-01-31"}

A line that can't be read costs that line alone: it is named, and the others count.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from advisor.errors import KnowledgeError
from advisor.match.reading import Reading
from advisor.match.text import clean, stem, tokens
from advisor.shop_folder import shop_folder
from advisor.user_folder import xdg_folder

if TYPE_CHECKING:
    from pathlib import Path

FOLDER_VARIABLE = "ADVISOR_DATA"
"""Environment variable that names another folder for the user's files."""

_HEAD = "# The shop's own phrases, written by the advisor; only confirmed ones count.\n"
_FEWEST_WORDS = 2


@dataclass(frozen=True, slots=True)
class ShopPhrase:
    """A phrase heard in this shop, the entry it was said to mean, whether a person confirmed that, and the day."""

    text: str
    entry: str
    confirmed: bool
    at: str = ""


def _place(environ: Mapping[str, str] | None = None) -> str:
    return os.path.join(shop_folder(environ), "phrases", "taught.yaml")  # noqa: PTH118


def _earlier_place(environ: Mapping[str, str] | None = None) -> str:
    """Return where the first edition kept them; they are moved at the next change."""
    folder = (os.environ if environ is None else environ).get(FOLDER_VARIABLE) or xdg_folder(
        "XDG_DATA_HOME", "~/.local/share"
    )
    if not folder:
        from platformdirs import user_data_dir

        folder = user_data_dir("advisor")
    return f"{folder}/shop_phrases.yaml"


def shop_file(environ: Mapping[str, str] | None = None) -> Path:
    """Return where this shop's phrases are kept (the file need not exist)."""
    from pathlib import Path

    new, earlier = _place(environ), _earlier_place(environ)
    return Path(earlier if os.path.isfile(earlier) and not os.path.isfile(new) else new)  # noqa: PTH113


def _file_to_change() -> Path:
    from pathlib import Path

    file = shop_file()
    new = Path(_place())
    if file != new:
        _folder_for(new)
        file.replace(new)
    return new


def _folder_for(file: Path) -> None:
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)


def _line(phrase: ShopPhrase) -> str:
    record = {"text": phrase.text, "entry": phrase.entry, "confirmed": phrase.confirmed, "at": phrase.at}
    return "- " + json.dumps({key: value for key, value in record.items() if value != ""}, ensure_ascii=True) + "\n"


def _append(phrase: ShopPhrase, file: Path | None) -> None:
    """Add a line in one write, for its owner's eyes alone; what can't be written whole leaves no half of a line."""
    try:
        file = file or _file_to_change()
        _folder_for(file)
        handle = os.open(file, os.O_RDWR | os.O_APPEND | os.O_CREAT, 0o600)
        try:
            size = os.fstat(handle).st_size
            cut_off = size and os.pread(handle, 1, size - 1) != b"\n"
            made = (("\n" if cut_off else "" if size else _HEAD) + _line(phrase)).encode()
            try:
                whole = os.write(handle, made) == len(made)
            except OSError:
                os.ftruncate(handle, size)
                raise
            if not whole:
                os.ftruncate(handle, size)
                raise OSError(28, "no room on the disk")
        finally:
            os.close(handle)
    except OSError as error:
        raise KnowledgeError(f"{file}: the shop's phrases cannot be written ({error.strerror}).") from None


def remember(text: str, entry: str, file: Path | None = None) -> ShopPhrase:
    """Note a correction as a candidate; it counts for nothing until `confirm` is called for it.

    Parameters
    ----------
    text
        What was said. Control characters are dropped.
    entry
        The entry that was really meant.
    file
        Where to; this shop's file when left out.

    Raises
    ------
    KnowledgeError
        When there is too little in the text to tell one saying from another, or the file can't be written.

    """
    phrase = ShopPhrase(" ".join(clean(text).split()), " ".join(clean(entry).split()), False, _today())
    if not phrase.text:
        raise KnowledgeError("An empty text cannot be remembered as a phrase: say the words that were meant.")
    if len(_stems(token.form for token in tokens(phrase.text))) < _FEWEST_WORDS:
        raise KnowledgeError(f"'{phrase.text}' alone says too little to be remembered: say it in a few words.")
    _append(phrase, file)
    return phrase


def confirm(phrase: ShopPhrase, file: Path | None = None) -> ShopPhrase:
    """Let a candidate count, because a person has said that it is right."""
    kept = ShopPhrase(phrase.text, phrase.entry, True, phrase.at)
    _append(kept, file)
    return kept


def forget(phrases: Iterable[ShopPhrase], file: Path | None = None) -> int:
    """Take phrases out of the file for good; return how many lines went."""
    from advisor.written_files import write_whole

    file = file or _file_to_change()
    gone = {(phrase.text, phrase.entry) for phrase in phrases}
    lines = _lines(file)
    kept = [line for line in lines if not (record := _record(line)) or (record.text, record.entry) not in gone]
    write_whole(file, (line + "\n" for line in kept), over=True)
    return len(lines) - len(kept)


def _today() -> str:
    from datetime import date

    return date.today().isoformat()


def _lines(file: Path) -> list[str]:
    try:
        return file.read_text(encoding="utf-8", errors="replace").splitlines()
    except FileNotFoundError:
        return []
    except OSError as error:
        raise KnowledgeError(f"{file}: the shop's phrases cannot be read ({error}).") from None


def _record(line: str) -> ShopPhrase | None:
    """Return the phrase of a line, None where it holds none that can be read."""
    try:
        record: Any = json.loads(line.strip().removeprefix("- "))
        texts = [record["text"], record["entry"], record.get("at", "")]
        if not all(isinstance(text, str) for text in texts):
            return None
        return ShopPhrase(texts[0], texts[1], record["confirmed"] is True, clean(texts[2])[:10])
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def read_file(file: Path) -> tuple[list[ShopPhrase], list[str]]:
    """Return the shop's phrases, each once, the later line wins; and what is wrong with lines that can't be read."""
    latest: dict[tuple[str, str], ShopPhrase] = {}
    faults = []
    for number, line in enumerate(_lines(file), 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        phrase = _record(line)
        if phrase is None:
            faults.append(
                f'{file}, line {number}: expected - {{"text": ..., "entry": ..., "confirmed": ...}}, '
                f"found {clean(line)[:60]!r}. It is left out; correct the line or take it out."
            )
        else:
            latest[(phrase.text, phrase.entry)] = phrase
    return list(latest.values()), faults


def _stems(forms: Iterable[str]) -> frozenset[str]:
    return frozenset(stem(form) for form in forms if form[0].isalnum())


class ShopPhrases:
    """The confirmed phrases, for exact and near matches at run time."""

    NEAR = 0.75
    """Share of stems two texts must have in common to be one saying (Jaccard); exact texts have 1."""

    def __init__(self, phrases: Iterable[ShopPhrase], faults: Sequence[str] = ()) -> None:
        self._known = [(_stems(t.form for t in tokens(clean(p.text))), p.entry) for p in phrases if p.confirmed]
        self.faults = tuple(faults)

    @classmethod
    def of_this_user(cls) -> ShopPhrases | None:
        """Return this user's confirmed phrases, or None where there are none and nothing is wrong with them."""
        if not (os.path.isfile(_place()) or os.path.isfile(_earlier_place())):  # noqa: PTH113
            return None
        try:
            phrases = cls(*read_file(shop_file()))
        except KnowledgeError as error:
            return cls((), (str(error),))
        return phrases if phrases._known or phrases.faults else None

    def weigh(self, reading: Reading, shares: Sequence[float], classes: Sequence[str]) -> list[float]:
        """Move the shares toward the entries of confirmed phrases that say nearly the same."""
        said = _stems(token.form for token in tokens(reading.text))
        out = list(shares)
        for stems, entry in self._known:
            either = said | stems
            near = len(said & stems) / len(either) if either else 0.0
            if near >= self.NEAR and entry in classes:
                out = [share * (1 - near * 0.95) for share in out]
                out[list(classes).index(entry)] += near * 0.95
        return out
