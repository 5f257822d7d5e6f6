"""Streams, terminal and settings in one place; nothing else looks at `sys.stdout` or the environment."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from typing import TextIO

__all__ = ["Surroundings"]

_NARROWEST, _WIDEST = 40, 120


class Surroundings:
    """Where input comes from and output goes to.

    Parameters
    ----------
    stdin, stdout, stderr
        The streams; the process's own where they are not given.
    environ
        Environment variables; the process's own where they are not given.
    plain
        Asked for plain text: no colour, no boxes, for screen readers and logs.

    """

    def __init__(
        self,
        stdin: TextIO | None = None,
        stdout: TextIO | None = None,
        stderr: TextIO | None = None,
        environ: Mapping[str, str] | None = None,
        plain: bool = False,
    ) -> None:
        self.stdin = stdin or sys.stdin
        self.stdout = stdout or sys.stdout
        self.stderr = stderr or sys.stderr
        self.environ = os.environ if environ is None else environ
        self.plain = plain

    @property
    def talks_to_a_person(self) -> bool:
        """Whether both ends are a terminal."""
        return self.stdin.isatty() and self.stdout.isatty()

    @property
    def styled(self) -> bool:
        """Whether boxes and bold may be used."""
        return self.stdout.isatty() and not self.plain and self.environ.get("TERM") != "dumb"

    @property
    def coloured(self) -> bool:
        """Whether colour may be used."""
        return self.styled and not self.environ.get("NO_COLOR")

    @property
    def ascii_only(self) -> bool:
        """Whether pictures must do with plain ASCII."""
        encoding = (getattr(self.stdout, "encoding", "") or "ascii").lower().replace("-", "")
        return self.plain or self.environ.get("TERM") == "dumb" or not encoding.startswith("utf")

    @property
    def width(self) -> int:
        """Return the columns to write in."""
        told = self.environ.get("COLUMNS", "")
        if told.isdigit() and int(told) > 0:
            columns = int(told)
        elif self.stdout.isatty():
            try:
                columns = os.get_terminal_size(self.stdout.fileno()).columns
            except OSError:
                columns = 80
        else:
            columns = 80
        return max(_NARROWEST, min(_WIDEST, columns))

    def say(self, text: str = "") -> None:
        """Write a line of data to stdout, replacing what its encoding can't show."""
        self._write(self.stdout, text)

    def note(self, text: str) -> None:
        """Write a line for a person to stderr."""
        self._write(self.stderr, text)

    @staticmethod
    def _write(stream: TextIO, text: str) -> None:
        encoding = getattr(stream, "encoding", None) or "utf-8"
        stream.write(text.encode(encoding, "replace").decode(encoding) + "\n")
        stream.flush()
