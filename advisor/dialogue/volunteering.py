"""Facts told in passing: taken into the sheet or the answers where they fit, and named where they don't."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.dialogue.choosing import chosen_option
from advisor.dialogue.clashing import clashes
from advisor.doubt.doubts import MEASURED_AGAIN
from advisor.errors import SheetError
from advisor.graph.knowledge import Knowledge
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.sheet import Sheet

if TYPE_CHECKING:
    from advisor.dialogue.talk import State
    from advisor.match import Told


@dataclass(frozen=True, slots=True)
class FactsTaken:
    """What became of the facts told.

    Parameters
    ----------
    sheet, answers, unsure
        What is known with them.
    noted
        The facts that were taken.
    left_out
        Those that don't fit, with the reason.
    changed
        Whether anything is known now that was not before.

    """

    sheet: Sheet
    answers: dict[str, str]
    unsure: frozenset[str]
    noted: tuple[Told, ...]
    left_out: tuple[str, ...]
    changed: bool


def with_facts(knowledge: Knowledge, state: State, told: tuple[Told, ...]) -> FactsTaken:
    """Take facts told in passing; what the knowledge never asks for is passed over in silence."""
    sheet, answers, unsure = state.sheet, dict(state.answers), state.unsure
    noted, left_out = [], []
    for one in told:
        if one.key in field_rows():
            try:
                value = parse_value(one.key, _plain(one.value))
            except SheetError as error:
                left_out.append(error.faults[0])
                continue
            changed_sheet = sheet.with_value(one.key, value)
            clash = clashes(sheet, changed_sheet)
            if clash:
                left_out += clash
                continue
            if sheet.value(one.key) != value:
                sheet = changed_sheet
            elif state.answer and any(one.key in doubt.fields for doubt in state.answer.doubts):
                sheet = sheet.with_value(one.key, value, "measured", MEASURED_AGAIN)
        else:
            fact = knowledge.facts.get(one.key)
            option = chosen_option(fact, str(one.value)) if fact and fact.kind == "choice" else None
            if option is None:
                continue
            answers[one.key] = option
            one = replace(one, value=option)
        noted.append(one)
        unsure -= {one.key}
    changed = sheet is not state.sheet or answers != state.answers or unsure != state.unsure
    return FactsTaken(sheet, answers, unsure, tuple(noted), tuple(left_out), changed)


def _plain(value: object) -> str | float | bool:
    return value if isinstance(value, str | float | int | bool) else str(value)
