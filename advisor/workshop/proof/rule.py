"""A rule of the proof. What it must catch stands in `tests/graph/unsound`."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from advisor.knowledge.fault import Fault
from advisor.workshop.proof.subject import Subject


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

    """

    number: int
    asks: str
    check: Callable[[Subject], Iterator[Fault]]

    @property
    def name(self) -> str:
        """Return the rule's name, such as `T07`."""
        return f"T{self.number:02d}"
