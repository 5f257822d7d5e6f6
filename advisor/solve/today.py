"""What to change at this visit: within the limits of one visit, and where it may end.

Searched in this order: an answer within today's usual step; one within the most that a visit may change; a first step
toward an answer that lies further (`goal`); and where no set of adjustments reaches the aim at all, what comes nearest
(`partial`). A step is taken only where it gains more than a tech would notice, and with as few adjustments as gain
that. What is left is finished by `centred`: with a disc loose the boot goes to the middle.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import Sheet
from advisor.solve.adjustments import load_adjustments
from advisor.solve.aims import Aim, place_of
from advisor.solve.centring import centred
from advisor.solve.chance.likely import Complaint, likely, with_way, within_reach
from advisor.solve.found import Found
from advisor.solve.limits import Reach, Scope, only_shown, worth_share
from advisor.solve.nearest import nearest
from advisor.solve.options import SIDES
from advisor.solve.reasons import why_lost, why_won
from advisor.solve.search import Search, find, hunt_for

_WITHIN_A_VISIT: tuple[Reach, ...] = ("usual", "most")
_MOST_TOGETHER = 3
_TINY = 1e-9


def find_today(
    sheet: Sheet,
    aims: Sequence[Aim],
    *,
    known: Known,
    keep: Sequence[Aim] = (),
    allowed: Collection[str] | None = None,
    shown: bool = True,
    complaint: Complaint | None = None,
) -> Search:
    """Return what to change at this visit so that every aim comes right, or nearer.

    Parameters
    ----------
    sheet, known
        The sheet as it is, and the set-up resolved from it.
    aims
        What must come right. Feet that none of them is about are left alone.
    keep
        What an earlier change brought right and must stay right.
    allowed
        Names of adjustments to consider; None for all.
    shown
        Whether an answer or a look has shown the cause; else nothing is filed, wedged or raised.
    complaint
        What is told of a complaint: then today's step goes by the chance that it cures, and not by a line to cross.

    Returns
    -------
    Search
        With `best` for today, `goal` where that is a first step, `partial` where no step more would do.

    """
    untouched = _untouched(aims, known)
    names = None if allowed is None and shown else _names(allowed, shown, known.trees)
    every = (*aims, *keep)
    if complaint is not None and not keep:
        search = _by_chance(sheet, aims, known, names, untouched, complaint)
        if search is not None:
            return search
    search = None
    for reach in _WITHIN_A_VISIT:
        search = find(sheet, every, known=known, allowed=names, scope=Scope(reach, untouched))
        if search.outcome != "none" or search.needs:
            return _finished(search)
    assert search is not None
    far = find(sheet, every, known=known, allowed=names, scope=Scope("goal", untouched))
    near = step_toward(sheet, every, known, far, names, untouched)
    return search if near is None else near


def _by_chance(
    sheet: Sheet,
    aims: Sequence[Aim],
    known: Known,
    names: Collection[str] | None,
    untouched: frozenset[FootSide],
    complaint: Complaint,
) -> Search | None:
    """Return today's step by its chance; None where no step is worth a visit, or a number is missing."""
    kept = None if names is None else frozenset(names)
    hunt = hunt_for(sheet, known, aims, allowed=kept, scope=Scope("goal", untouched))
    if hunt.met or any(goal.meter.base != goal.meter.base for goal in hunt.goals):
        return None
    found = likely(hunt, known, complaint)
    if found is None:
        return None
    first = hunt.weigh(found.today.way)
    slid = centred(hunt, first)
    if slid is not None and within_reach(found, slid.picks):
        better = with_way(found, slid.picks)
        if better.chance >= found.chance - _TINY:
            found, first = better, slid
    empty = Search(
        "adjust", None, (), sheet, known, tuple(aims), hunt, first, SIDES, kept, None, Scope("most", untouched)
    )
    goal = empty.choice(hunt.weigh(found.goal.way), "") if found.goal else None
    partial = not found.enough and found.goal is None
    best = empty.choice(first, why_won(hunt, first))
    return replace(empty, best=best, goal=goal, partial=partial, likely=found)


def step_toward(
    sheet: Sheet,
    aims: Sequence[Aim],
    known: Known,
    far: Search,
    names: Collection[str] | None,
    untouched: frozenset[FootSide],
) -> Search | None:
    """Return the first step toward an answer that lies beyond one visit, or the nearest where there is none.

    None where nothing comes nearer by more than a tech would notice.
    """
    if far.best:
        names = {change.adjustment for change in far.best.changes}
    near = find(sheet, aims, known=known, allowed=names, scope=Scope("usual", untouched))
    found = _least_that_gains(near)
    if found is None:
        return None
    base = near.hunt.weigh(()).short
    if far.best is None and base - found.short < worth_share(known.trees) * base:
        return None
    reason = why_won(near.hunt, found) if far.best else why_lost(near.hunt, found, None)
    made = replace(near, outcome="adjust", best=near.choice(found, reason), found=found, goal=far.best)
    return _finished(replace(made, partial=far.best is None))


def _least_that_gains(near: Search) -> Found | None:
    """Return what comes nearest with as few adjustments as do it, give or take what a tech would overlook."""
    hunt = near.hunt
    base = hunt.weigh(()).short
    scales = [goal.meter.window.notice / goal.meter.window.scale for goal in hunt.goals if goal.meter.window]
    notice = min(scales, default=0.0)
    best: Found | None = None
    for together in range(1, _MOST_TOGETHER + 1):
        smaller = type(hunt)(hunt.trial, hunt.levers, hunt.goals, together)
        found = nearest(smaller)
        if found.picks and found.short < (base if best is None else best.short) - notice:
            best = found
    return best


def _finished(search: Search) -> Search:
    if search.best is None or search.found is None:
        return search
    found = centred(search.hunt, search.found)
    if found is None:
        return search
    return replace(search, best=search.choice(found, search.best.reason), found=found)


def _untouched(aims: Sequence[Aim], known: Known) -> frozenset[FootSide]:
    """Return the feet that no aim is about, where every aim is about a foot."""
    sides = {place_of(aim.key, known.setup)[1].side for aim in aims}
    if None in sides:
        return frozenset()
    return frozenset(side for side in SIDES if side not in sides)


def _names(allowed: Collection[str] | None, shown: bool, trees: Trees) -> frozenset[str]:
    names = frozenset(load_adjustments(trees) if allowed is None else allowed)
    return names if shown else names - only_shown(trees)
