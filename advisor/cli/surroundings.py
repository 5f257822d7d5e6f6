"""Streams, terminal and settings in one place; nothing else looks at `sys.stdout` or the environment."""

from __future__ import annotations

import os
import sys
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from typing import TextIO

    from advisor.knowledge.trees import Trees

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

    def settle(self, name: str, value: str) -> None:
        """Set an environment variable for this run, as an option on the command line does."""
        if self.environ is os.environ:
            os.environ[name] = value
        self.environ = {**self.environ, name: value}

    @cached_property
    def trees(self) -> Trees:
        """The knowledge files that this run answers from."""
        from advisor.knowledge.trees import Trees, authors
        from advisor.shop_folder import knowledge_folder

        shop = knowledge_folder(self.environ)
        return Trees(authors().home, shop) if shop.is_dir() else authors()

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
    def lines_typed(self) -> Iterator[str]:
        """Yield the lines of a pipe or a plain terminal; bytes that are no text become a sign that says so."""
        reconfigure = getattr(self.stdin, "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")
        yield from self.stdin

    @property
    def width(self) -> int:
        """Return the columns to write in."""
        told = self.environ.get("COLUMNS", "")
        if told.isascii() and told.isdigit() and int(told[:6]) > 0:
            columns = int(told[:6])
        elif self.stdout.isatty():
            try:
                columns = os.get_terminal_size(self.stdout.fileno()).columns or 80
            except OSError:
                columns = 80
        else:
            columns = 80
        return max(_NARROWEST, min(_WIDEST, columns))

    def say(self, text: str = "") -> None:
        """Write lines of data to stdout, without control characters and with what its encoding can show."""
        self._write(self.stdout, text)

    def note(self, text: str) -> None:
        """Write lines for a person to stderr."""
        self._write(self.stderr, text)

    @staticmethod
    def _write(stream: TextIO, text: str) -> None:
        encoding = getattr(stream, "encoding", None) or "utf-8"
        shown = "\n".join(line if line.isprintable() else _shown(line) for line in text.split("\n"))
        stream.write(shown.encode(encoding, "replace").decode(encoding) + "\n")
        stream.flush()


def _shown(line: str) -> str:
    from advisor.plain_text import clean

    return clean(line, len(line) + 1)
