"""One answer of the search as a tech needs it: what to change, what it costs, what it moves, and the sheet after it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from advisor.geometry.measuring import Measurements
from advisor.geometry.workings import number
from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.solve.adjustments import load_adjustments
from advisor.solve.options import SIDES, Lever, Option, lever_key, number_in, setup_place, words_for
from advisor.solve.whatif import Effect, WhatIf, what_if


@dataclass(frozen=True, slots=True)
class Change:
    """One thing to do at one foot.

    Parameters
    ----------
    adjustment
        Name of the adjustment.
    foot
        `front`, `back`, or None where it is not about one foot.
    path, before, after
        The sheet's field that it is about, with its value before and after.
    by, unit
        How far, signed; 1 for something turned over, -1 for something turned back.
    words
        What to do, in the imperative.
    also
        Other fields that it sets: path, before, after.
    caution, loses
        What to mind, and what it gives up; empty where nothing is.
    needs
        Adjustments that have to follow it where the sheet cannot tell whether they do.

    """

    adjustment: str
    foot: FootSide | None
    path: str
    before: LeafValue
    after: LeafValue
    by: float
    unit: str
    words: str
    also: tuple[tuple[str, LeafValue, LeafValue], ...] = ()
    caution: str = ""
    loses: str = ""
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Spoiled:
    """A measure that is worse after a choice than its window allows."""

    key: str
    before: float
    after: float
    good: str
    unit: str


@dataclass(frozen=True)
class Choice:
    """A set of changes made together.

    Parameters
    ----------
    sheet
        The sheet before.
    changes
        What to do; empty for leaving all as it is.
    turns, minutes
        Screwdriver turns and bench time.
    side_effect
        The strain it adds over all windows and what it asks of the rider to get used to; negative where it leaves the
        rest better than before by more than that.
    spoils
        What it makes worse.
    short
        By how much it misses the aims, 0 where it reaches them.
    reason
        Why it wins or loses, in a sentence with its number.
    grazes
        What leaves its window too, by less than matters or by numbers that are only assumed.

    """

    sheet: Sheet
    changes: tuple[Change, ...]
    turns: float
    minutes: float
    side_effect: float
    spoils: tuple[Spoiled, ...]
    short: float
    reason: str = ""
    trees: Trees | None = field(default=None, repr=False, compare=False)
    grazes: tuple[Spoiled, ...] = ()

    @property
    def values(self) -> dict[str, LeafValue]:
        """Return every field that it sets, with its new value."""
        found = {}
        for change in self.changes:
            if change.path:
                found[change.path] = change.after
            found.update({path: after for path, _, after in change.also})
        return found

    @property
    def signature(self) -> tuple[tuple[str, str, int], ...]:
        """Return which adjustments it makes, at which foot, and which way; their sizes left out."""
        return tuple((change.adjustment, change.foot or "", _way(change)) for change in self.changes)

    @property
    def cautions(self) -> tuple[str, ...]:
        """Return what to mind, each once."""
        return tuple(dict.fromkeys(change.caution for change in self.changes if change.caution))

    @cached_property
    def what_if(self) -> WhatIf:
        """Return every measure before and after."""
        return what_if(self.sheet, self.values, self.trees)

    @property
    def sheet_after(self) -> Sheet:
        """Return the sheet with the changes made."""
        return self.what_if.sheet_after

    @property
    def before(self) -> Measurements:
        """Return every measure before."""
        return self.what_if.before

    @property
    def after(self) -> Measurements:
        """Return every measure after."""
        return self.what_if.after

    @property
    def effects(self) -> tuple[Effect, ...]:
        """Return the measures that it moves."""
        return self.what_if.effects


def _way(change: Change) -> int:
    return (change.by > 0) - (change.by < 0)


def changes_of(chosen: Sequence[tuple[Lever, Option]], known: Known) -> tuple[Change, ...]:
    """Return what to do for adjustments set to values; one that moves both feet gives two changes."""
    setup = known.setup
    found: list[Change] = []
    for lever, option in chosen:
        after = setup.copy()
        for path, value in option.sets:
            after.put(setup_place(path), value)  # type: ignore[arg-type]
        along = _carried(lever, option, known.trees)
        feet: tuple[FootSide | None, ...] = SIDES if lever.adjustment.feet == "both" else (lever.foot,)
        for foot in feet:
            own = [item for item in option.sets if len(feet) == 1 or f".{foot}." in item[0]]
            own = [item for item in own if lever.way.carries is None or item[0] in lever_key(lever)]
            main = next((item for item in own if item[0] in _main_paths(lever)), own[0])
            by = _by(option, main[1], lever.before[main[0]])
            found.append(
                Change(
                    lever.adjustment.id,
                    foot,
                    main[0],
                    lever.before[main[0]],
                    main[1],
                    by,
                    lever.way.unit,
                    words_for(lever, option, foot, setup, after),
                    tuple((path, lever.before[path], value) for path, value in own if path != main[0]),
                    lever.adjustment.caution,
                    lever.way.loses,
                    lever.adjustment.needs,
                )
            )
            found += along
    return tuple(found)


def _carried(lever: Lever, option: Option, trees: Trees) -> list[Change]:
    """Return what an adjustment carries along at its foot, where that moves at all."""
    if lever.way.carries is None:
        return []
    other = load_adjustments(trees)[lever.way.carries[0]]
    found = []
    for path, value in option.sets:
        before = lever.before[path]
        if path in lever_key(lever) or value == before:
            continue
        by = number_in(value) - number_in(before)
        words = (other.do or other.ways[0].do)["plus" if by > 0 else "minus"]
        told = words.format(foot=lever.foot, by=number(abs(by), 2), unit="degrees", to=number(number_in(value), 2),
                            mm="", across="", **{"from": number(number_in(before), 2)})  # fmt: skip
        found.append(Change(other.id, lever.foot, path, before, value, by, other.ways[0].unit, told, (), other.caution))
    return found


def _by(option: Option, after: LeafValue, before: LeafValue) -> float:
    if not isinstance(after, int | float) or not isinstance(before, int | float):
        return option.by
    return float(after) - float(before)


def _main_paths(lever: Lever) -> set[str]:
    paths = (*lever.way.moves, lever.way.turns_over)
    return {path.replace("{foot}", lever.foot) if lever.foot else path for path in paths if path}
