"""One adjustment by a number of steps, for complaints that no measure can size."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.geometry.register import MEASURES
from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import Sheet
from advisor.solve.adjustments import Adjustment, load_adjustments
from advisor.solve.choice import Change, Choice, Spoiled, changes_of
from advisor.solve.limits import Scope
from advisor.solve.options import Lever, Option, cost, levers
from advisor.solve.whatif import what_if
from advisor.solve.windows import load_windows


def take_steps(sheet: Sheet, known: Known, name: str, feet: Sequence[FootSide], steps: int) -> Choice | None:
    """Make one adjustment by so many of its steps at the feet named, as far as one visit may go.

    Parameters
    ----------
    sheet, known
        The sheet, and the set-up resolved from it.
    name
        The adjustment.
    feet
        The feet to touch, where the adjustment is made at a foot.
    steps
        How many steps; negative for less.

    Returns
    -------
    Choice or None
        None where the binding does not go that far, or the sheet lacks what it takes.

    """
    adjustment = load_adjustments(known.trees)[name]
    if not adjustment.ways:
        return _by_hand(sheet, adjustment, feet, steps, known.trees)
    chosen = []
    for lever in Scope("usual").kept(levers(sheet, known, feet=feet, allowed={name}), known.trees):
        option = _option(lever, steps)
        if option is None:
            return None
        chosen.append((lever, option))
    if not chosen:
        return None
    turns, minutes = cost(lever for lever, _ in chosen)
    made = Choice(sheet, changes_of(chosen, known), turns, minutes, 0.0, (), 0.0)
    return Choice(sheet, made.changes, turns, minutes, 0.0, _spoiled(made, known.trees), 0.0, trees=known.trees)


def _option(lever: Lever, steps: int) -> Option | None:
    onward = [option for option in lever.options if option.by * steps > 0]
    onward.sort(key=lambda option: abs(option.by))
    return onward[min(abs(steps), len(onward)) - 1] if onward else None


def _by_hand(sheet: Sheet, adjustment: Adjustment, feet: Sequence[FootSide], steps: int, trees: Trees) -> Choice:
    words = adjustment.do.get("plus" if steps > 0 else "minus") or next(iter(adjustment.do.values()))
    sides: Sequence[FootSide | None] = feet if adjustment.feet == "each" else (None,)
    changes = tuple(
        Change(
            adjustment.id, side, "", "", "", float(steps), "", words.format(foot=side or ""),
            caution=adjustment.caution, needs=adjustment.needs,
        )
        for side in sides
    )  # fmt: skip
    minutes = len(changes) * (adjustment.work.minutes + adjustment.minutes)
    return Choice(sheet, changes, adjustment.work.turns, minutes, 0.0, (), 0.0, trees=trees)


def _spoiled(made: Choice, trees: Trees) -> tuple[Spoiled, ...]:
    windows = load_windows(trees)
    result = what_if(made.sheet, made.values, trees)
    found = []
    for effect in result.effects:
        window = windows.window(effect.key, result.known_after.setup)
        if window is None or window.guard is None:
            continue
        if window.guard.has(effect.before) and not window.guard.has(effect.after):
            unit = MEASURES[effect.key.partition(".")[0]].unit
            found.append(Spoiled(effect.key, effect.before, effect.after, window.guard.words(unit), unit))
    return tuple(found)
