"""A shop's corrections: files of the same names as those of `trees/`, with only the lines that differ, laid over them.

Where both have a mapping, it goes on inside; everything else of the shop's takes the place of the authors'. What comes
from the shop keeps its file and line, for faults, for the list of corrections, and for taking one back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from advisor.knowledge.fault import Fault
from advisor.knowledge.lined_yaml import Document, Place, read
from advisor.plain_text import clean

FOLDERS = ("entries", "parts", "causes")
TABLES = (
    "adjustments", "boot_sizes", "catalogue", "cautions", "estimates", "facts", "first_setup", "limits", "practice",
    "referrals", "returns", "slip", "sources", "talk", "travel", "windows",
)  # fmt: skip
"""What a shop may correct. Signs of injury, dangers and the words that listen for them are not a shop's to change."""


class ShopLine(int):
    """A line number in a file of the shop's."""

    file: str

    def __new__(cls, line: int, file: str) -> ShopLine:
        """Make a line that knows its file."""
        made = super().__new__(cls, line)
        made.file = file
        return made


@dataclass(frozen=True, slots=True)
class Correction:
    """One thing that a shop has otherwise than the authors; `before` is None where they have nothing there."""

    file: str
    line: int
    table: str
    place: str
    before: Any
    after: Any

    @property
    def words(self) -> str:
        """Return the correction in a line: where it stands, what it is about, and from what to what."""
        was = "nothing" if self.before is None else clean(str(self.before), 80)
        return f"{self.file}:{self.line}: {self.table} {self.place}: {was} -> {clean(str(self.after), 80)}"


def laid_over(document: Document, shop: Document) -> Document:
    """Return a file with a shop's lines laid over it; both are left as they are.

    Parameters
    ----------
    document
        The authors'.
    shop
        The shop's.

    """
    made = Document(document.file, dict(document.content), dict(document.lines))
    for place, _, after in differences(document.content, shop.content):
        inside = made.content
        for step in place[:-1]:
            inside[step] = dict(inside[step])
            inside = inside[step]
        inside[place[-1]] = after
        made.lines = {other: line for other, line in made.lines.items() if other[: len(place)] != place}
    made.lines |= {place: ShopLine(line, shop.file) for place, line in shop.lines.items() if place}
    return made


def differences(own: Any, shop: Any, at: Place = ()) -> Iterator[tuple[Place, Any, Any]]:
    """Yield the place of each thing that a shop has otherwise, with what the authors and what the shop has there.

    Examples
    --------
    >>> list(differences({"good": [0, 5], "why": "x"}, {"good": [1, 5]}))
    [(('good',), [0, 5], [1, 5])]

    """
    for key, value in shop.items():
        before = own.get(key)
        if isinstance(value, dict) and isinstance(before, dict):
            yield from differences(before, value, (*at, key))
        elif key not in own or before != value:
            yield (*at, key), before, value


def read_layered(home: Path, shop: Path | None, name: str, faults: list[Fault]) -> Document | None:
    """Read one knowledge file with the shop's corrections laid over it.

    Parameters
    ----------
    home, shop
        The authors' folder, and the shop's.
    name
        The file's name in either: `windows.yaml`, `entries/heel_washout.yaml`.
    faults
        Filled with what is wrong.

    """
    corrected = shop / name if shop else None
    shops = read(corrected, _shown(corrected), faults) if corrected and corrected.is_file() else None
    if shops is not None and corrected and not (home / name).is_file():
        return Document(
            f"trees/{name}", shops.content, {at: ShopLine(line, shops.file) for at, line in shops.lines.items()}
        )
    document = read(home / name, f"trees/{name}", faults)
    return laid_over(document, shops) if document and shops else document


def corrections(home: Path, shop: Path) -> tuple[list[Correction], list[Fault]]:
    """Return every correction in a shop's folder, and what cannot be one.

    Parameters
    ----------
    home, shop
        The authors' folder, and the shop's.

    """
    found: list[Correction] = []
    faults: list[Fault] = []
    for file in sorted(shop.rglob("*.yaml")):
        name = file.relative_to(shop).as_posix()
        if not _may_be_corrected(name):
            words = f"is this followed? A shop may correct {', '.join(TABLES)} and files in {', '.join(FOLDERS)}"
            faults.append(Fault(_shown(file), 0, f"{words}; take the file out"))
            continue
        document = read(file, _shown(file), faults)
        if document is None:
            continue
        own = read(home / name, f"trees/{name}", []) if (home / name).is_file() else None
        table = name.removesuffix(".yaml")
        for place, before, after in differences(own.content if own else {}, document.content):
            dotted = ".".join(map(str, place))
            found.append(Correction(document.file, document.line(place), table, dotted, before, after))
    return found, faults


def _may_be_corrected(name: str) -> bool:
    folder, slash, file = name.rpartition("/")
    return folder in FOLDERS if slash else file.removesuffix(".yaml") in TABLES


def _shown(file: Path) -> str:
    return clean(str(file), 200)


def without(content: dict[str, Any], dotted: str) -> dict[str, Any]:
    """Return a file's content without a place, and without what holds nothing then.

    Examples
    --------
    >>> without({"a": {"good": [0, 1]}, "b": 1}, "a.good")
    {'b': 1}

    """
    for key in sorted(content, key=len, reverse=True):
        if dotted == key:
            return {other: value for other, value in content.items() if other != key}
        if dotted.startswith(f"{key}.") and isinstance(content[key], dict):
            inside = without(content[key], dotted[len(key) + 1 :])
            return {
                other: inside if other == key else value for other, value in content.items() if other != key or inside
            }
    return content
