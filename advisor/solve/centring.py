"""With a disc loose the boot goes to the middle, as that costs nothing more."""

from __future__ import annotations

from advisor.sheet.setup import FootSide
from advisor.solve.found import Found, Pick
from advisor.solve.hunt import Hunt
from advisor.solve.limits import slack_mm

_SLIDE = "shift_across"
_SPLIT = "overhang_split_mm"
_RULED = 0.25
"""A slide that is made anyway goes as near to the middle as a ruler shows."""


def centred(hunt: Hunt, found: Found) -> Found | None:
    """Return an answer with the boot slid on to the middle wherever its disc is loose; None where nothing changes.

    The slide goes as near to the middle as the slots allow while every aim holds and nothing more is spoiled. A boot
    that stands within what a ruler tells stays; so does one whose aims want it off the middle,
    and one whose disc comes out for both feet alike, for rows or screws.
    """
    better = found
    for place, lever in enumerate(hunt.levers):
        if lever.adjustment.id != _SLIDE or lever.foot is None or not _loose(hunt, better, lever.foot):
            continue
        better = _slid(hunt, better, place, lever.foot) or better
    return better if better is not found else None


def _loose(hunt: Hunt, found: Found, foot: FootSide) -> bool:
    made = [hunt.levers[i] for i, _ in found.picks]
    return any((foot, "disc") in [part for part, _, _ in lever.parts] for lever in made if lever.foot == foot)


def _slid(hunt: Hunt, found: Found, place: int, foot: FootSide) -> Found | None:
    others: tuple[Pick, ...] = tuple(pick for pick in found.picks if pick[0] != place)
    if not hunt.apart([i for i, _ in others] + [place]):
        return None
    ways: list[tuple[Pick, ...]] = [(*others, (place, o)) for o in range(len(hunt.levers[place].options))]
    if others:
        ways.append(others)
    best: tuple[float, float, Found] | None = None
    now = _off_middle(hunt, found.picks, foot)
    for picks in ways:
        tried = hunt.weigh(tuple(sorted(picks)))
        if tried.short > found.short + 1e-9 or not set(tried.spoiled) <= set(found.spoiled):
            continue
        off = _off_middle(hunt, picks, foot)
        if best is None or (off, tried.steps) < best[:2]:
            best = off, tried.steps, tried
    least = _RULED if len(others) < len(found.picks) else slack_mm(hunt.trial.trees)
    if best is None or now - best[0] < least:
        return None
    return best[2]


def _off_middle(hunt: Hunt, picks: tuple[Pick, ...], foot: FootSide) -> float:
    """Return how far the boot stands from having the same overhang at both edges [mm]."""
    trial = hunt.trial
    for i, option in picks:
        trial.put(trial.moves[i][option])
    value = trial.meter(f"{_SPLIT}.{foot}").value(trial.now)
    for i, option in picks:
        trial.take_back(trial.moves[i][option])
    return abs(value) / 2
