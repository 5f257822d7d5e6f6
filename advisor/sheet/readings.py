"""How each number became known: its value, where it came from, and how far off it may be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, NamedTuple

from advisor.knowledge.trees import Trees, authors
from advisor.sheet.paths import sheet_path
from advisor.sheet.setup import Setup

Origin = Literal["measured", "told", "looked_up", "assumed"]


class Reading(NamedTuple):
    """One number of the set-up.

    Parameters
    ----------
    value
        In the unit that the set-up's field name carries.
    origin
        `measured`, `told`, `looked_up` or `assumed`.
    plus_minus
        Half the width of the range in which the true value lies, same unit.
    sheet_path
        The sheet's field, such as `rider.turnout_deg.left`.
    note
        For an assumed number: what it was estimated from, and the source.

    """

    value: float
    origin: Origin
    plus_minus: float
    sheet_path: str
    note: str = ""


@dataclass(frozen=True)
class Known:
    """A set-up with the reading behind each of its numbers, by the set-up's dotted path, and the knowledge used."""

    setup: Setup
    readings: Mapping[str, Reading]
    leading_foot: str = "left"
    trees: Trees = field(default_factory=authors, repr=False, compare=False)

    @cached_property
    def moving(self) -> Mapping[str, float]:
        """Return the ± of every number that has one, by the set-up's path."""
        return {path: r.plus_minus for path, r in self.readings.items() if r.plus_minus > 0}

    @cached_property
    def scratch(self) -> Setup:
        """Return a copy of the set-up that a calculation may move about, as long as it puts it back."""
        return self.setup.copy()

    @cached_property
    def bands(self) -> dict[str, float]:
        """Return the ± of measures worked out so far, by their keys, for those that are made of others."""
        return {}

    def plus_minus(self, path: str) -> float:
        """Return the ± of the number at a set-up path; 0 for numbers without a reading."""
        return self.moving.get(path, 0.0)

    def sheet_path(self, path: str) -> str:
        """Return the sheet's name for a set-up path; the path itself where the sheet has no such field."""
        reading = self.readings.get(path)
        return reading.sheet_path if reading else sheet_path(path, self.leading_foot) or path
