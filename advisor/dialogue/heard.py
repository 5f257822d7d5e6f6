"""What one line was taken to say, for programs that read the talk and for the lines after it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.signs import Sign


@dataclass(frozen=True)
class HeardLine:
    """What one line was taken to say.

    Parameters
    ----------
    facts
        Facts taken, each under its key with the value as stored.
    complaints
        Entries named.
    signs
        Signs of harm.
    wants
        What the rider wants kept or left alone.
    not_placed
        What was heard and has no place.
    talk
        What it said about the talk itself, in a name of `talk_about.yaml`.
    line
        The line itself.

    """

    facts: dict[str, object] = field(default_factory=dict)
    complaints: tuple[str, ...] = ()
    signs: tuple[Sign, ...] = ()
    wants: tuple[str, ...] = ()
    not_placed: tuple[str, ...] = ()
    talk: str = ""
    line: str = ""


NOTHING_HEARD = HeardLine()
