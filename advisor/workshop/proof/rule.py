"""A rule of the proof, and the example that it must catch."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.subject import Subject

__all__ = ["Example", "Rule"]


@dataclass(frozen=True, slots=True)
class Example:
    """A small change that makes the sound example (`sound.py`) unsound; the rule's own test.

    Parameters
    ----------
    file
        The file of the sound example that is changed, or a new one.
    old, new
        Text in it, and what stands there instead; `old` empty appends, and makes the file where it is new.
    at
        Where the rule must find the fault: a piece of text, unique in the changed file, of the line it must name; or
        another file's name and such a piece, parted by ` > `.
    words
        Words that the fault's message must have.

    """

    file: str
    old: str
    new: str
    at: str
    words: str


@dataclass(frozen=True, slots=True)
class Rule:
    """One thing that sound knowledge has.

    Parameters
    ----------
    number
        Its name in messages: `T` and the number.
    asks
        The question that it puts.
    check
        Yields every fault.
    examples
        What it must catch.

    """

    number: int
    asks: str
    check: Callable[[Subject], Iterator[Fault]]
    examples: tuple[Example, ...]

    @property
    def name(self) -> str:
        """Return the rule's name, such as `T07`."""
        return f"T{self.number:02d}"
