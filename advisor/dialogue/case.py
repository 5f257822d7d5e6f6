"""What is known of one complaint at one moment: the sheet, the facts told, and what the rider can't tell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from advisor.knowledge.trees import Trees, authors
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import LeafValue, Sheet

if TYPE_CHECKING:
    from advisor.solve.aims import Aim
    from advisor.solve.chance.model import Tried


@dataclass(frozen=True)
class Case:
    """One complaint at one moment; every change makes a new one.

    Parameters
    ----------
    entry
        The entry's name.
    sheet
        The setup sheet with everything told since.
    answers
        Answers that are no fields of the sheet: fact to option.
    unsure
        Facts that the rider or the tech can't tell.
    ruled_out
        Suspects that have been tried already (a follow-up goes on with the next).
    keep
        What an earlier change brought right and must stay right.
    trees
        The knowledge files that the sheet is read by; the authors' where they are not given.
    weak
        Facts whose answer was hedged: doubted first where nothing is found.
    tried
        Earlier steps for this complaint that left it felt.

    """

    entry: str
    sheet: Sheet
    answers: Mapping[str, str] = field(default_factory=dict)
    unsure: frozenset[str] = frozenset()
    ruled_out: frozenset[str] = frozenset()
    keep: tuple[Aim, ...] = ()
    trees: Trees = field(default_factory=authors, repr=False, compare=False)
    weak: frozenset[str] = frozenset()
    tried: tuple[Tried, ...] = ()

    @cached_property
    def known(self) -> Known:
        """Return the set-up that the sheet amounts to, with the reading behind each number."""
        return resolve(self.sheet, trees=self.trees)

    def with_answer(self, fact: str, option: str, weak: bool = False) -> Case:
        """Return the case with one fact told; `weak` where the answer was hedged."""
        hedged = self.weak | {fact} if weak else self.weak - {fact}
        return replace(self, answers={**self.answers, fact: option}, unsure=self.unsure - {fact}, weak=hedged)

    def with_number(self, path: str, value: LeafValue, plus_minus: float | None = None) -> Case:
        """Return the case with one field of the sheet measured."""
        sheet = self.sheet.with_value(path, value, "measured", plus_minus)
        return replace(self, sheet=sheet, unsure=self.unsure - {path})

    def with_told(self, path: str, value: LeafValue) -> Case:
        """Return the case with one field of the sheet told in passing."""
        return replace(self, sheet=self.sheet.with_value(path, value), unsure=self.unsure - {path})

    def with_unsure(self, fact: str) -> Case:
        """Return the case with one fact that can't be told."""
        return replace(self, unsure=self.unsure | {fact})
