"""The first set-up as a choice: what it changes on the sheet, in bench order, each with its step's reason."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from advisor.geometry.measuring import measure_all
from advisor.knowledge.trees import Trees
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.solve.aims import spoken
from advisor.solve.bench import Step
from advisor.solve.choice import Change, Choice
from advisor.solve.first_setup import FirstSetup, first_setup
from advisor.solve.options import setup_place
from advisor.solve.reasons import unit_of, value_words
from advisor.solve.whatif import WhatIf, effects_between


@dataclass(frozen=True)
class WholeMount(Choice):
    """Every setting of a first set-up that the sheet does not have yet, made together."""

    setup: FirstSetup = field(kw_only=True, repr=False, compare=False)

    @cached_property
    def what_if(self) -> WhatIf:
        """Return every measure of the sheet as it was and of the whole mount."""
        known = resolve(self.sheet, trees=self.trees)
        before, after = measure_all(known), self.setup.after
        sheet_after, known_after = self.setup.sheet_after, self.setup.known
        return WhatIf(self.sheet, sheet_after, known, known_after, before, after, effects_between(before, after))

    def step_of(self, change: Change) -> Step:
        """Return the step of the first set-up that a change belongs to."""
        return next(step for step in self.setup.steps if change.path in step.settings)


def whole_mount(
    sheet: Sheet,
    trees: Trees | None = None,
    *,
    leads: str | None = None,
    stance: str | None = None,
) -> WholeMount:
    """Return the whole mount for a sheet's rider, boots, board and bindings; `setup` says whether it is one.

    `leads` is the foot in front where the sheet does not say, `stance` the kind of stance wanted where it is not the
    style's own.
    """
    told = sheet
    if leads and sheet.value("rider.leading_foot") is None:
        told = sheet.with_value("rider.leading_foot", leads)
    setup = first_setup(told, trees=trees, stance=stance)
    changes = tuple(
        _change(step, path, sheet.value(path), value)
        for step in setup.steps
        for path, value in step.settings.items()
        if sheet.value(path) != value
    )
    reason = f"the steps of the bench in order; {len(changes)} settings differ from the sheet"
    return WholeMount(sheet, changes, 0.0, 0.0, 0.0, (), 0.0, reason, trees, setup=setup)


def _change(step: Step, path: str, before: LeafValue | None, after: LeafValue) -> Change:
    place = setup_place(path)
    by = 1.0
    if isinstance(after, bool):
        by = float(after) - float(before) if isinstance(before, bool) else 1.0
        words = f"lay the disc in {'turned half round' if after else 'as it comes'}: {spoken(place)}"
    elif isinstance(after, int | float):
        by = float(after) - float(before) if isinstance(before, int | float) else float(after)
        words = f"set the {spoken(place)} to {value_words(place, float(after))}"
    else:
        words = f"set the {spoken(place)}: {after}"
    foot = step.foot or ("front" if place.startswith("front.") else "back" if place.startswith("back.") else None)
    return Change(step.id, foot, path, _or_none(before), after, by, unit_of(place), words)


def _or_none(value: LeafValue | None) -> LeafValue:
    return "" if value is None else value
