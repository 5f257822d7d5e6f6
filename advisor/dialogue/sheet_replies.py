"""Replies about the sheet itself, as plain values; `explain/sheet_words.py` puts them into words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from advisor.doubt.doubts import Doubt
    from advisor.match import Told
    from advisor.sheet.readings import Reading
    from advisor.sheet.sheet import LeafValue, Sheet

Wanted = Literal["export", "import", "save", "take", "form"]


@dataclass(frozen=True)
class ReadBack:
    """What was just told, read back in one block, with what is assumed and what would help most next.

    Parameters
    ----------
    sheet
        As it is now.
    noted, before
        What was taken from the line, and what stood there before.
    left_out, kept
        What does not fit, with the reason; sentences to be said as well.
    assumed
        What is assumed and worth a word.
    ask
        The field that helps most next; empty where none is left.
    doubts
        What is hard to believe.
    opening
        A sentence before it all.

    """

    sheet: Sheet
    noted: tuple[Told, ...] = ()
    before: tuple[LeafValue | None, ...] = ()
    left_out: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    assumed: tuple[Reading, ...] = ()
    ask: str = ""
    doubts: tuple[Doubt, ...] = ()
    opening: str = ""


@dataclass(frozen=True)
class SheetShown:
    """The whole sheet: what is known and how, what is assumed, what is doubted."""

    sheet: Sheet
    assumed: tuple[Reading, ...]
    doubts: tuple[Doubt, ...]


@dataclass(frozen=True)
class SheetHelped:
    """What can be said of the sheet."""

    commands: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class SheetWanted:
    """Something is to be done with the sheet outside the conversation: a file, the shelf, a form."""

    wanted: Wanted
    words: str
    sheet: Sheet
