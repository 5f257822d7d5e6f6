"""The adjustments that this very sheet offers: every value that a hand can reach from here."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import ceil, floor, inf, isnan, nan

from advisor.geometry.placing import binding_y_mm
from advisor.geometry.register import MEASURES, Place
from advisor.geometry.workings import number
from advisor.knowledge.trees import Trees
from advisor.sheet.fields import field_rows
from advisor.sheet.paths import setup_path
from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide, Setup
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.solve.adjustments import Adjustment, Bound, Way, load_adjustments
from advisor.solve.windows import load_windows

SIDES: tuple[FootSide, FootSide] = ("front", "back")
_EXACT = 1e-6
_MOST_STEPS = 400
_UNIT_WORDS = {
    "rows": ("row", "rows"),
    "steps": ("step", "steps"),
    "teeth": ("tooth", "teeth"),
    "deg": ("degree", "degrees"),
}


@dataclass(frozen=True, slots=True)
class Option:
    """One value that an adjustment can take: `sets` are the sheet's paths with their new values.

    `used_to` is the strain of so many steps for the rider to get used to.
    """

    by: float
    steps: float
    sets: tuple[tuple[str, LeafValue], ...]
    used_to: float = 0.0


@dataclass(frozen=True, slots=True)
class Lever:
    """One adjustment at one foot (None: at both, or at neither) with everything that it can be set to.

    Parameters
    ----------
    adjustment, way
        What it is, and which of its ways holds on this sheet.
    foot
        `front`, `back` or None.
    options
        Every value but the present one, ends included.
    parts
        What has to be opened: (foot, part), its turns and its minutes.
    before
        The sheet's paths that it can move, with their present values.

    """

    adjustment: Adjustment
    way: Way
    foot: FootSide | None
    options: tuple[Option, ...]
    parts: tuple[tuple[tuple[str, str], float, float], ...]
    before: Mapping[str, LeafValue]

    @property
    def id(self) -> str:
        """Return its name: the adjustment with its foot."""
        return f"{self.adjustment.id}.{self.foot}" if self.foot else self.adjustment.id

    @property
    def keeps(self) -> frozenset[str]:
        """Return the sheet's paths that must stay as they are, or it could not be made: a disc's slots across."""
        return frozenset(_at(path, self.foot) for path in self.way.when).difference(self.before)


def lever_key(lever: Lever) -> frozenset[str]:
    """Return the sheet's paths that an adjustment is about, without what it sets on the way or carries along."""
    return frozenset(_at(path, lever.foot) for path in (*lever.way.moves, lever.way.turns_over) if path)


def cost(chosen: Iterable[Lever]) -> tuple[float, float]:
    """Return the screwdriver turns and the bench minutes of several adjustments made together.

    What has to be opened is opened once a foot, so two adjustments on one disc cost its screws only once.
    """
    parts: dict[tuple[str, str], tuple[float, float]] = {}
    minutes = 0.0
    for lever in chosen:
        minutes += lever.adjustment.minutes
        for key, turns, opening in lever.parts:
            old = parts.get(key, (0.0, 0.0))
            parts[key] = (max(old[0], turns), max(old[1], opening))
    return (
        round(sum(turns for turns, _ in parts.values()), 6),
        round(minutes + sum(opening for _, opening in parts.values()), 6),
    )


def levers(
    sheet: Sheet,
    known: Known,
    *,
    feet: Sequence[FootSide] = SIDES,
    allowed: Collection[str] | None = None,
    carrying: bool = True,
) -> tuple[Lever, ...]:
    """Return the adjustments that a sheet offers, in the order of `trees/adjustments.yaml`.

    Parameters
    ----------
    sheet, known
        The sheet, and the set-up resolved from it.
    feet
        The feet that may be touched; one that moves both feet needs both.
    allowed
        Names of adjustments to keep; None for all.
    carrying
        Whether what one upsets is carried along with it; not where every part is set in its turn.

    """
    found = []
    for adjustment in load_adjustments(known.trees).values():
        if allowed is not None and adjustment.id not in allowed:
            continue
        for foot in feet_of(adjustment, feet):
            lever = lever_for(adjustment, foot, sheet, known.setup, known.trees, carrying=carrying)
            if lever is not None:
                found.append(lever)
    return tuple(found)


def feet_of(adjustment: Adjustment, feet: Sequence[FootSide]) -> Iterator[FootSide | None]:
    """Yield the feet at which an adjustment is made; None for both or neither."""
    for side in SIDES:
        if side in feet and adjustment.feet in {"each", side}:
            yield side
    if adjustment.feet == "none" or (adjustment.feet == "both" and set(feet) == set(SIDES)):
        yield None


def lever_reads(adjustment: Adjustment, foot: FootSide | None, adjustments: Mapping[str, Adjustment]) -> frozenset[str]:
    """Return the set-up's numbers on which it hangs what an adjustment offers: its start, steps and bounds."""
    found = set()
    for way in adjustment.ways:
        ends = (way.bounds,) if isinstance(way.bounds, str) else way.bounds
        named = (*way.when, *_moved(way), way.step, *ends)
        found |= {setup_place(_at(path.lstrip("-"), foot)) for path in named if isinstance(path, str)}
        if way.carries and foot:
            found |= lever_reads(adjustments[way.carries[0]], foot, adjustments)
            found |= set(MEASURES[way.carries[1]].paths(Place(foot)))
            found |= set(MEASURES[way.carries[1]].paths(Place(foot), optional=True))
    return frozenset(found - {""})


def lever_for(
    adjustment: Adjustment, foot: FootSide | None, sheet: Sheet, setup: Setup, trees: Trees, *, carrying: bool = True
) -> Lever | None:
    """Return what an adjustment at a foot can be set to; None where the sheet offers nothing of it."""
    for way in adjustment.ways:
        if all(str(_value(_at(path, foot), sheet, setup)) in words for path, words in way.when.items()):
            before = {_at(path, foot): _value(_at(path, foot), sheet, setup) for path in _moved(way)}
            known = {path: value for path, value in before.items() if value is not None and value == value}
            if len(known) < len(before):
                return None
            options = tuple(_options(way, foot, sheet, setup, known))
            if not options:
                return None
            lever = Lever(adjustment, way, foot, options, _parts(adjustment, foot), known)
            return _carrying(lever, sheet, setup, trees) if carrying and way.carries and foot else lever
    return None


def number_in(value: LeafValue) -> float:
    """Return a value as a number; `nan` for what is none."""
    return float(value) if isinstance(value, int | float) else nan


def _carrying(lever: Lever, sheet: Sheet, setup: Setup, trees: Trees) -> Lever:
    """Return an adjustment whose values carry another along, as far as a measure needs to stay where it was."""
    assert lever.way.carries is not None
    name, measure = lever.way.carries
    side = lever.foot
    assert side is not None
    other = lever_for(load_adjustments(trees)[name], side, sheet, setup, trees)
    window = load_windows(trees).window(f"{measure}.{side}", setup)
    if other is None or window is None or window.guard is None:
        return lever
    path, held = next(iter(other.before.items()))
    reach = sorted({number_in(held), *(number_in(option.sets[-1][1]) for option in other.options)})
    scratch, place, there = setup.copy(), Place(side), setup_place(path)

    def gap(sets: Iterable[tuple[str, LeafValue]], turn: float) -> float:
        for moved, value in sets:
            scratch.put(setup_place(moved), number_in(value))
        scratch.put(there, turn)
        return MEASURES[measure].at(scratch, place)

    base = gap(lever.before.items(), number_in(held))
    if isnan(base):
        return lever
    options = []
    for option in lever.options:
        turn: LeafValue = held
        if window.guard.distance(gap(option.sets, number_in(held))) > window.guard.distance(base) + _EXACT:
            near = sorted(reach, key=lambda value: (abs(gap(option.sets, value) - base), abs(value)))
            turn = _kept(path, near[0])
        options.append(replace(option, sets=(*option.sets, (path, turn))))
    return replace(lever, options=tuple(options), before={**lever.before, path: held})


def _parts(adjustment: Adjustment, foot: FootSide | None) -> tuple[tuple[tuple[str, str], float, float], ...]:
    work = adjustment.work
    sides: tuple[str, ...] = (foot,) if foot else SIDES if work.part == "disc" else ("",)
    return tuple(((side, work.part), work.turns, work.minutes) for side in sides)


def _at(path: str, foot: FootSide | None) -> str:
    return path.replace("{foot}", foot) if foot else path


def _moved(way: Way) -> tuple[str, ...]:
    return (*way.moves, *way.sets, *((way.turns_over,) if way.turns_over else ()))


@cache
def setup_place(path: str) -> str:
    """Return the set-up path of a sheet path that an adjustment moves."""
    return path.removeprefix("mount.") if path.endswith(".slots") else setup_path(path)


def _value(path: str, sheet: Sheet, setup: Setup) -> LeafValue | None:
    """Return what the set-up has, as the sheet writes it where both are the same; None where neither is known."""
    told = sheet.value(path)
    place = setup_place(path)
    taken: LeafValue = setup.get(place) if place else nan
    if taken != taken or taken == told:
        return told
    return _kept(path, taken) if isinstance(taken, float) else taken


def _number(bound: Bound, sheet: Sheet, setup: Setup) -> float:
    if not isinstance(bound, str):
        return bound
    value = _value(bound.lstrip("-"), sheet, setup)
    number = float(value) if isinstance(value, int | float) else nan
    return -number if bound.startswith("-") else number


def _options(
    way: Way, foot: FootSide | None, sheet: Sheet, setup: Setup, before: Mapping[str, LeafValue]
) -> Iterator[Option]:
    sets = tuple((_at(path, foot), value) for path, value in way.sets.items())
    if way.turns_over:
        path = _at(way.turns_over, foot)
        yield Option(1.0, 1.0, (*sets, (path, not before[path])), way.used_to)
        return
    moves = [(_at(path, foot), factor) for path, factor in way.moves.items()]
    starts = [(path, factor, _start(way, before[path])) for path, factor in moves]
    if way.values:
        path, _, start = starts[0]
        for value in way.values:
            if abs(value - start) > _EXACT:
                steps = float(sum(_on_the_way(start, other, value) for other in way.values))
                yield Option(value - start, steps, (*sets, (path, _kept(path, value))), steps * way.used_to)
        return
    step = _number(way.step, sheet, setup)
    low, high = _ends(way, sheet, setup)
    if isnan(step + low + high) or step <= 0:
        return
    first, last = -float(_MOST_STEPS), float(_MOST_STEPS)
    for _, factor, start in starts:
        ends = sorted(((low - start) / (factor * step), (high - start) / (factor * step)))
        first, last = max(first, ends[0]), min(last, ends[1])
    for count in range(ceil(first - _EXACT), floor(last + _EXACT) + 1):
        if count or sets:
            by = count * step
            moved = ((path, _kept(path, start + factor * by)) for path, factor, start in starts)
            steps = abs(count) + len(sets)
            yield Option(by, steps, (*sets, *moved), steps * way.used_to)


def _on_the_way(start: float, value: float, end: float) -> bool:
    return abs(value - start) > _EXACT and min(start, end) <= value <= max(start, end)


def _start(way: Way, before: LeafValue) -> float:
    return float(before) if way.start is None and isinstance(before, int | float) else float(way.start or 0.0)


def _ends(way: Way, sheet: Sheet, setup: Setup) -> tuple[float, float]:
    if not isinstance(way.bounds, str):
        return _number(way.bounds[0], sheet, setup), _number(way.bounds[1], sheet, setup)
    pair = sheet.value(way.bounds)
    return (float(pair[0]), float(pair[1])) if isinstance(pair, tuple) else (inf, nan)


def _kept(path: str, value: float) -> LeafValue:
    """Return a value as the sheet writes it: whole where the field counts, free of rounding dust where it measures."""
    return round(value) if field_rows()[path].kind == "integer" else round(value, 6)


def words_for(lever: Lever, option: Option, foot: FootSide | None, before: Setup, after: Setup) -> str:
    """Return what to do at one foot, in the imperative.

    Parameters
    ----------
    lever, option
        What is set to what.
    foot
        The foot to name, for one that moves both.
    before, after
        The set-up before and after it.

    """
    side = foot or lever.foot
    path, value = _main(lever, option, side)
    old = lever.before[path]
    worth = before.get(setup_path(lever.way.shows)) if lever.way.shows else nan
    shift = 0.0
    if side:
        shift = binding_y_mm(after, after.foot(side)) - binding_y_mm(before, before.foot(side))
    size = number(abs(option.by), 2)
    return lever.way.do[_sign(lever, option, side)].format(
        foot=side or "",
        by=size,
        unit=_UNIT_WORDS.get(lever.way.unit, (lever.way.unit,) * 2)[size != "1"],
        to=_said(value),
        mm="" if isnan(worth) else f" ({number(abs(option.by) * worth)} mm)",
        across=f"{number(abs(shift))} mm toward the {'toe' if shift > 0 else 'heel'} edge",
        **{"from": _said(old)},
    )


def _said(value: LeafValue) -> str:
    return number(float(value), 2) if isinstance(value, int | float) else str(value)


def _sign(lever: Lever, option: Option, side: FootSide | None) -> str:
    """Return which words hold: those for more, for less, or for ending at 0.

    Where one adjustment moves both feet, outward and inward go by each foot's own row; toward the nose and the tail go
    by the front foot's, and are the same words for both feet.
    """
    do, way = lever.way.do, lever.way
    if "zero" in do and _main(lever, option, side)[1] == 0:
        return "zero"
    if lever.adjustment.feet == "both":
        path, value = _main(lever, option, side if len(set(way.moves.values())) == 1 else None)
        more = float(value) - float(lever.before[path])  # type: ignore[arg-type]
    elif way.turns_over:
        more = 1.0
    else:
        more = option.by * (next(iter(way.moves.values())) if way.start is not None else 1.0)
    sign = "plus" if more > 0 else "minus" if more < 0 else "zero"
    return sign if sign in do else "plus"


def _main(lever: Lever, option: Option, side: FootSide | None) -> tuple[str, LeafValue]:
    """Return the path that an adjustment is about at a foot, with its new value."""
    own = [item for item in option.sets if item[0] in lever_key(lever)]
    for path, value in own:
        if side and f".{side}." in path:
            return path, value
    return own[0]
