"""What the judge learns from: told signs and harmless lines of `trees/signs/phrases`, and the ordinary phrases."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from advisor.knowledge.tables import read_table
from advisor.knowledge_home import trees_dir
from advisor.workshop.matcher.corpus import load_phrases

__all__ = ["CLASSES", "Told", "corpus_hash", "load_told"]

CLASSES = ("none", "ask", "clinician", "emergency", "not_ridden")
_EARLIER = " > "
_ORDINARY = "ordinary"


class Told(NamedTuple):
    """A line with what stood before it, its class, and whose voice it is."""

    line: str
    before: tuple[str, ...]
    level: str
    voice: str


def load_told(trees: Path | None = None) -> Iterator[Told]:
    """Yield every line that the judge learns from."""
    home = trees or trees_dir()
    for file in sorted((home / "signs" / "phrases").glob("*.yaml")):
        for level, lines in read_table(file, f"signs/phrases/{file.name}").items():
            for line in str(lines).splitlines():
                *before, last = line.strip().split(_EARLIER)
                if last:
                    yield Told(last, tuple(before), str(level), file.stem)
    left_out = read_table(home / "signs" / "left_out.yaml", "signs/left_out.yaml")
    entries, pain = set(left_out["entries"]), set(left_out["pain"])
    pain_words, out_words = (_either(left_out[name]) for name in ("pain_words", "out_words"))
    for phrase in load_phrases(home):
        if phrase.entry in entries or (phrase.entry in pain and pain_words.search(phrase.text)):
            continue
        if phrase.entry == "out_of_scope" and out_words.search(phrase.text):
            continue
        yield Told(phrase.text, (), "none", f"{_ORDINARY}_{phrase.entry}")


def _either(words: object) -> re.Pattern[str]:
    return re.compile(str(words).replace("| ", "|"), re.IGNORECASE)


def corpus_hash(trees: Path | None = None) -> str:
    """Return what tells these files from others; ordinary phrases, which change often, are not counted."""
    home = trees or trees_dir()
    made = hashlib.sha256()
    for file in sorted((home / "signs").rglob("*.yaml")):
        made.update(file.name.encode() + file.read_bytes())
    return made.hexdigest()[:16]
