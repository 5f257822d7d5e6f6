"""The shop's own phrases: a correction is noted, a person confirms it, from then on it counts.

The file is YAML, only ever appended to, one record a line, each line also being plain JSON after its dash, so that
reading it at start needs no YAML library:

    - {"text": "it feels like a shopping trolley", "entry": "unstable_at_speed", "confirmed": false}
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.errors import KnowledgeError
from advisor.match.reading import Reading
from advisor.match.text import clean, stem, tokens
from advisor.user_folder import xdg_folder

if TYPE_CHECKING:
    from pathlib import Path

__all__ = ["ShopPhrase", "ShopPhrases", "confirm", "read_file", "remember", "shop_file"]

FOLDER_VARIABLE = "ADVISOR_DATA"
"""Environment variable that names another folder for the shop's files."""

_HEAD = "# The shop's own phrases. Appended by the advisor; only confirmed ones count.\n"


@dataclass(frozen=True, slots=True)
class ShopPhrase:
    """A phrase heard in this shop, the entry it was said to mean, and whether a person confirmed that."""

    text: str
    entry: str
    confirmed: bool


def _place() -> str:
    """Return where this user's shop phrases are kept, without the cost of imports where that is easy."""
    folder = os.environ.get(FOLDER_VARIABLE) or xdg_folder("XDG_DATA_HOME", "~/.local/share")
    if not folder:
        from platformdirs import user_data_dir

        folder = user_data_dir("advisor")
    return f"{folder}/shop_phrases.yaml"


def shop_file() -> Path:
    """Return where this user's shop phrases are kept (the file need not exist)."""
    from pathlib import Path

    return Path(_place())


def _line(phrase: ShopPhrase) -> str:
    record = {"text": phrase.text, "entry": phrase.entry, "confirmed": phrase.confirmed}
    return "- " + json.dumps(record, ensure_ascii=True) + "\n"


def _append(phrase: ShopPhrase, file: Path) -> None:
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        new = not file.exists()
        with file.open("a", encoding="utf-8") as out:
            out.write((_HEAD if new else "") + _line(phrase))
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
        Where to; this user's file when left out.

    """
    phrase = ShopPhrase(" ".join(clean(text).split()), " ".join(clean(entry).split()), False)
    if not phrase.text:
        raise KnowledgeError("An empty text cannot be remembered as a phrase: say the words that were meant.")
    _append(phrase, file or shop_file())
    return phrase


def confirm(phrase: ShopPhrase, file: Path | None = None) -> ShopPhrase:
    """Let a candidate count, because a person has said that it is right."""
    kept = ShopPhrase(phrase.text, phrase.entry, True)
    _append(kept, file or shop_file())
    return kept


def _records(file: Path) -> Iterator[ShopPhrase]:
    try:
        lines = file.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise KnowledgeError(f"{file}: the shop's phrases cannot be read ({error}).") from None
    for number, line in enumerate(lines, 1):
        line = line.strip()
        if not line or line.startswith("#"):
            continue
        try:
            record = json.loads(line.removeprefix("- "))
            yield ShopPhrase(str(record["text"]), str(record["entry"]), record["confirmed"] is True)
        except (ValueError, KeyError, TypeError):
            raise KnowledgeError(
                f'{file}, line {number}: expected - {{"text": ..., "entry": ..., "confirmed": ...}}, '
                f"found {clean(line)[:60]!r}. Correct the line or take it out."
            ) from None


def read_file(file: Path) -> list[ShopPhrase]:
    """Return the shop's phrases, each once; the later line wins."""
    latest: dict[tuple[str, str], ShopPhrase] = {}
    for phrase in _records(file):
        latest[(phrase.text, phrase.entry)] = phrase
    return list(latest.values())


def _stems(forms: Iterable[str]) -> frozenset[str]:
    return frozenset(stem(form) for form in forms if form[0].isalnum())


class ShopPhrases:
    """The confirmed phrases, for exact and near matches at run time."""

    NEAR = 0.75
    """Share of stems two texts must have in common to be one saying (Jaccard); exact texts have 1."""

    def __init__(self, phrases: Iterable[ShopPhrase]) -> None:
        self._known = [(_stems(t.form for t in tokens(clean(p.text))), p.entry) for p in phrases if p.confirmed]

    @classmethod
    def of_this_user(cls) -> ShopPhrases | None:
        """Return this user's confirmed phrases, or None when there are none."""
        if not os.path.isfile(_place()):  # noqa: PTH113
            return None
        phrases = cls(read_file(shop_file()))
        return phrases if phrases._known else None

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
