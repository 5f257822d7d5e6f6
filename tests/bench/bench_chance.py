"""Whether the chance that is told is right, and what it cures: riders with hidden thresholds of their own.

    PYTHONPATH=. python tests/bench/bench_chance.py [--riders 2000] [--seed 1]

Each rider has a board as it really stands, a sheet of it with reading errors within the stated ±, and a threshold for
each complaint that nobody is told. Who feels a complaint comes in; the step told from the sheet is made on the real
board, and felt again or not. The thresholds, the riders and the felt rule are written here and not taken from
`trees/doses.yaml`; only the register's formulas are shared, as physics. Two worlds: `told` has thresholds spread
evenly between where the table says that the first and nearly all feel it; `other` has them bunched in the middle, and
off by a quarter either way for each complaint, as a guess may be. Compared on the same riders: the step by its
chance, the step that crosses the line, and centring everything.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt
from random import Random
from statistics import mean

from advisor.geometry.register import MEASURES, places
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.setup import Setup
from advisor.sheet.sheet import Sheet
from advisor.solve.aims import Aim
from advisor.solve.chance.likely import Complaint
from advisor.solve.chance.model import Tried
from advisor.solve.options import setup_place
from advisor.solve.search import Search
from advisor.solve.today import find_today
from advisor.workshop.random_riders import ordinary_sheet

_VISITS = 3
_BINS = 10
_FAR = 1e9


@dataclass(frozen=True)
class Kind:
    """One complaint: its measures, the near end of what is good, and how far beyond it nearly all feel it."""

    name: str
    keys: tuple[str, ...]
    low: float | None
    high: float | None
    beyond: float

    def severity(self, setup: Setup) -> float:
        worst = -_FAR
        for key in self.keys:
            value = _value(setup, key)
            out = max(
                self.low - value if self.low is not None else -1e9, value - self.high if self.high is not None else -1e9
            )
            worst = max(worst, out / self.beyond)
        return worst

    @property
    def aims(self) -> list[Aim]:
        return [Aim(key, self.low, self.high) for key in self.keys]


KINDS = (
    Kind("heel drags, back", ("heel_margin_deg.back",), 5, None, 5),
    Kind("toe drags, front", ("toe_margin_deg.front",), 5, None, 5),
    Kind("heel drags, both", ("heel_margin_deg.front", "heel_margin_deg.back"), 5, None, 5),
    Kind("off centre", ("overhang_split_mm.front", "overhang_split_mm.back"), -4, 4, 8),
    Kind("back knee", ("turnout_gap_deg.back",), -8, 8, 6),
    Kind("front knee", ("turnout_gap_deg.front",), -8, 8, 6),
    Kind("stretched", ("stance_width_mm",), None, 587, 40),
)


def _value(setup: Setup, key: str) -> float:
    head, _, tail = key.partition(".")
    place = next(place for place in places(MEASURES[head]) if str(place) == tail)
    return MEASURES[head].at(setup, place)


def drawn_sheet(random: Random) -> Sheet:
    """Return a sheet of a rider: the ordinary one, mounted a little wrong here and there."""
    sheet = ordinary_sheet()
    sheet = sheet.with_value("board.waist_width_mm", round(random.gauss(258, 5), 0))
    sheet = sheet.with_value("boots.outsole_length_mm", round(random.gauss(302, 6), 0))
    sheet = sheet.with_value("rider.tilt_deg", round(random.gauss(52, 5), 0), "told", random.choice((4.0, 8.0)))
    for foot, low in (("front", 2), ("back", -6)):
        sheet = sheet.with_value(f"mount.{foot}.angle_deg", 3.0 * random.randint(low, low + 9))
        sheet = sheet.with_value(f"mount.{foot}.seat_mm", float(round(random.gauss(0, 5))), "measured", 2.0)
        sheet = sheet.with_value(f"mount.{foot}.row", random.choice((0, 0, 1, 2)))
        sheet = sheet.with_value(f"mount.{foot}.slot_mm", 0.0)
    for foot in ("left", "right"):
        sheet = sheet.with_value(
            f"rider.turnout_deg.{foot}", float(round(random.gauss(10, 6))), "told", random.choice((3.0, 8.0))
        )
    return sheet


def real_board(known: Known, random: Random) -> Setup:
    """Return the board as it really stands: each uncertain number off by half its ± in the mean square."""
    setup = known.setup.copy()
    shifts: dict[str, float] = {}
    for path, half in known.moving.items():
        source = known.readings[path].sheet_path
        shift = shifts.setdefault(source, random.gauss(0, 0.5))
        setup.put(path, setup.get(path) + shift * half)
    return setup


def changed(setup: Setup, search: Search) -> Setup:
    """Return a board with a step made on it: a hand moves by so much, wherever the sheet thinks that it stood."""
    after = setup.copy()
    for path, value in search.best.values.items() if search.best else ():
        place = setup_place(path)
        if isinstance(value, bool | str):
            after.put(place, value)  # type: ignore[arg-type]
        else:
            by = float(value) - search.known.setup.get(place)  # type: ignore[arg-type]
            after.put(place, setup.get(place) + by)
    return after


def centred(kind: Kind, sheet: Sheet, known: Known) -> Search:
    """Return the step that goes for the middle of everything aimed at, within one visit."""
    aims = []
    for aim in kind.aims:
        if aim.key.endswith((".front", ".back")) and "margin" in aim.key:
            aims.append(Aim(f"overhang_split_mm.{aim.key.rpartition('.')[2]}", -1, 1))
        elif "split" in aim.key:
            aims.append(Aim(aim.key, -1, 1))
        elif "gap" in aim.key:
            aims.append(Aim(aim.key, -2, 2))
        else:
            aims.append(Aim(aim.key, 540, 560))
    return find_today(sheet, aims, known=known)


@dataclass
class Tally:
    """What one rule comes to."""

    first: list[bool]
    visits: list[int]
    minutes: list[float]
    strain: list[float]


def thresholds(world: str, seed: int) -> Callable[[Kind, Random], float]:
    """Return how a rider's hidden threshold is drawn, as a severity."""
    if world == "told":
        return lambda kind, random: random.random()
    off = {kind.name: 1 + 0.25 * Random(f"{seed} {kind.name}").choice((-1, 1)) for kind in KINDS}
    return lambda kind, random: min(1.4, off[kind.name] * (random.random() + random.random() + random.random()) / 3)


def interval(hits: int, count: int) -> str:
    if not count:
        return "-"
    share, z = hits / count, 1.96
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z / (1 + z * z / count) * sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    return f"{share:.3f} [{middle - half:.3f}-{middle + half:.3f}]"


def play(world: str, riders: int, seed: int) -> None:
    draw = thresholds(world, seed)
    tallies = {rule: Tally([], [], [], []) for rule in ("chance", "line", "centre")}
    told: list[tuple[str, float, bool]] = []
    partial = under_ruler = 0
    number = came = 0
    while came < riders:
        random = Random(f"{seed} {world} {number}")
        number += 1
        kind = KINDS[number % len(KINDS)]
        sheet = drawn_sheet(random)
        known = resolve(sheet)
        real = real_board(known, random)
        threshold = draw(kind, random)
        if not kind.severity(real) > threshold:
            continue
        first: dict[str, Search] = {
            "chance": find_today(sheet, kind.aims, known=known, complaint=Complaint()),
            "line": find_today(sheet, kind.aims, known=known),
            "centre": centred(kind, sheet, known),
        }
        if first["chance"].likely is None:
            continue
        came += 1
        partial += first["chance"].partial or first["chance"].goal is not None
        for change in first["chance"].best.changes if first["chance"].best else ():
            under_ruler += change.adjustment == "shift_across" and abs(change.by) < 2
        for rule, search in first.items():
            after, tally = changed(real, search), tallies[rule]
            cured = not kind.severity(after) > threshold
            tally.first.append(cured)
            tally.minutes.append(search.best.minutes if search.best else 0.0)
            tally.strain.append(search.likely.today.strain if search.likely else _strain(search))
            if rule == "chance":
                told.append((kind.name, search.likely.chance if search.likely else 0.0, cured))
            tally.visits.append(_visits(rule, kind, search, real, threshold))
    _report(world, came, number, partial, under_ruler, tallies, told)


def _strain(search: Search) -> float:
    return search.hunt.used_to(search.found.picks) if search.found else 0.0


def _visits(rule: str, kind: Kind, search: Search, real: Setup, threshold: float) -> int:
    """Return at which visit it was cured; one more than the last where it was not."""
    tried: list[Tried] = []
    for visit in range(1, _VISITS + 1):
        before = search.known.setup
        real = changed(real, search)
        if not kind.severity(real) > threshold:
            return visit
        if search.best is None:
            break
        sheet = search.best.sheet_after
        known = resolve(sheet)
        moved = {setup_place(path) for path in search.best.values}
        tried.append(
            Tried({path: before.get(path) for path in moved if not path.endswith(("slots", "disc_flipped"))}, "same")
        )
        if rule == "chance":
            search = find_today(sheet, kind.aims, known=known, complaint=Complaint(tried=tuple(tried)))
        elif rule == "line":
            search = find_today(sheet, kind.aims, known=known)
        else:
            search = centred(kind, sheet, known)
    return _VISITS + 1


def _report(
    world: str,
    came: int,
    number: int,
    partial: int,
    under: int,
    tallies: dict[str, Tally],
    told: list[tuple[str, float, bool]],
) -> None:
    print(
        f"\nworld '{world}': {came} riders of {number} drawn came in; "
        f"a first step or partial for {partial}; under the ruler: {under}"
    )
    print(
        f"{'rule':8} {'cured at the first visit':28} {'within 3 visits':24} {'visits':>6} {'minutes':>8} {'strain':>7}"
    )
    for rule, tally in tallies.items():
        cured = [visit for visit in tally.visits if visit <= _VISITS]
        print(
            f"{rule:8} {interval(sum(tally.first), came):28} {interval(len(cured), came):24} "
            f"{mean(cured) if cured else 0:6.2f} {mean(tally.minutes):8.2f} {mean(tally.strain):7.2f}"
        )
    for other in ("line", "centre"):
        mine, theirs = tallies["chance"].first, tallies[other].first
        won = sum(a and not b for a, b in zip(mine, theirs, strict=True))
        lost = sum(b and not a for a, b in zip(mine, theirs, strict=True))
        print(f"paired with {other}: cured by the chance alone {won}, by {other} alone {lost}")
    print(f"calibration error, all: {_error([(c, y) for _, c, y in told]):.3f}")
    by: dict[str, list[tuple[float, bool]]] = defaultdict(list)
    for name, chance, cured in told:
        by[name].append((chance, cured))
    for name, pairs in by.items():
        print(
            f"  {name:18} n {len(pairs):5}  told {mean(c for c, _ in pairs):.3f}  "
            f"cured {mean(y for _, y in pairs):.3f}  error {_error(pairs):.3f}"
        )
    for least in range(_BINS):
        part = [(c, y) for _, c, y in told if least <= min(c * _BINS, _BINS - 1e-9) < least + 1]
        if part:
            print(
                f"  told {least / _BINS:.1f} to {(least + 1) / _BINS:.1f}: n {len(part):5}, "
                f"told {mean(c for c, _ in part):.3f}, cured {mean(y for _, y in part):.3f}"
            )


def _error(pairs: Sequence[tuple[float, bool]]) -> float:
    """Return the expected calibration error over ten bins of even width."""
    total = 0.0
    for least in range(_BINS):
        part = [(c, y) for c, y in pairs if least <= min(c * _BINS, _BINS - 1e-9) < least + 1]
        if part:
            total += len(part) * abs(mean(c for c, _ in part) - mean(y for _, y in part))
    return total / len(pairs)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--riders", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--world", choices=("told", "other", "both"), default="both")
    given = parser.parse_args()
    for world in ("told", "other") if given.world == "both" else (given.world,):
        play(world, given.riders, given.seed)


if __name__ == "__main__":
    main()
