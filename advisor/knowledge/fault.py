"""One thing wrong in a knowledge file, with the place to mend it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a knowledge file.

    Parameters
    ----------
    file, line
        Where; line 0 where no line can be named.
    words
        A question and what to do.
    rule
        The rule of the proof that found it, such as `T07`; `T00` for a file's shape.
    loose
        A loose end: unsound, but nothing that a rider's walk passes hangs on it.

    """

    file: str
    line: int
    words: str
    rule: str = "T00"
    loose: bool = False

    def __post_init__(self) -> None:
        """Name the shop's own file where the line is one of its corrections."""
        object.__setattr__(self, "file", getattr(self.line, "file", self.file))

    @property
    def place_and_words(self) -> str:
        """Return `file:line: words`."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.words}"

    def __str__(self) -> str:
        """Return `file:line: words [rule]`."""
        return f"{self.place_and_words} [{self.rule}]"
