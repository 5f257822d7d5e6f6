"""How long the search for an adjustment takes, and whether it equals trying everything.

    python tests/bench/bench_solve.py [--sheets 1000] [--compared 300] [--doubted 100] [--seed 0]

All on seeded random sheets; no figure here is checked by the test suite. Exit code 1 if a result differs from trying
everything.
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from math import inf
from pathlib import Path
from random import Random
from time import perf_counter, process_time

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.sheet.practice import load_practice
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.adjustments import load_adjustments
from advisor.solve.aims import Aim
from advisor.solve.confidence import confidence
from advisor.solve.counterfactual import counterfactual
from advisor.solve.search import Search, find
from advisor.solve.tradeoff import trade_off
from advisor.solve.windows import load_windows
from tests.solve.brute_force import brute_force, value_at
from tests.solve.random_sheets import random_document, random_sheet, sheet_from
from tests.solve.test_exhaustive import as_answer, number_of_trials, random_case, with_gaps

COMPLAINTS = (
    ("heel_margin_deg.back",), ("heel_margin_deg.front", "heel_margin_deg.back"), ("toe_margin_deg.front",),
    ("toe_margin_deg.back", "heel_margin_deg.back"), ("overhang_split_mm.front", "overhang_split_mm.back"),
    ("turnout_gap_deg.back", "heel_margin_deg.back"), ("knee_offset_mm.back", "leg_lean_deg.back"),
    ("stance_width_mm",),
    ("front_load_share",), ("highback_gap_deg.front", "highback_gap_deg.back"), ("splay_deg", "turnout_gap_deg.front"),
)  # fmt: skip


def unmet(random: Random, known: Known) -> list[Aim]:
    """Return a complaint that is not met: its windows, or where they are met already a narrower part of them.

    A window with two ends is narrowed to its inner third, one with an open end is raised over what there is.
    """
    while True:
        aims = [_aim(random, known, key) for key in random.choice(COMPLAINTS)]
        for aim in aims:
            if not aim.interval(load_windows().window(aim.key, known.setup)).has(value_at(known.setup, aim.key)):
                return aims


def _aim(random: Random, known: Known, key: str) -> Aim:
    window, now = load_windows().window(key, known.setup), value_at(known.setup, key)
    assert window is not None
    if not window.good.has(now):
        return Aim(key)
    if window.good.high == inf:
        return Aim(key, low=now + random.uniform(0.2, 1.5) * window.scale)
    middle, third = (window.good.low + window.good.high) / 2, (window.good.high - window.good.low) / 6
    return Aim(key, low=middle - third, high=middle + third)


def cases(count: int, seed: int) -> list[tuple[Sheet, Known, list[Aim]]]:
    """Return random sheets of full size, each with something to put right."""
    random = Random(seed)
    found = []
    for _ in range(count):
        sheet = random_sheet(random)
        known = resolve(sheet, load_practice())
        found.append((sheet, known, unmet(random, known)))
    return found


def spread(name: str, seconds: Sequence[float]) -> None:
    """Print the middle and the tail of some times."""
    ranked = sorted(seconds)
    at = lambda share: ranked[min(len(ranked) - 1, int(share * len(ranked)))] * 1000  # noqa: E731
    print(f"{name:<50} p50 {at(0.5):7.2f} ms   p99 {at(0.99):7.2f} ms   max {ranked[-1] * 1000:7.2f} ms")


def timed(work: Callable[[], object]) -> float:
    """Return how long something takes."""
    start = perf_counter()
    work()
    return perf_counter() - start


def worked(work: Callable[[], object]) -> float:
    """Return how much processor time something takes."""
    start = process_time()
    work()
    return process_time() - start


def everything_said(search: Search) -> None:
    """Ask for all that an answer can say beyond the choice itself."""
    search.runners_up  # noqa: B018
    search.shortfall  # noqa: B018


def bench_times(count: int, seed: int) -> None:
    """Print the times over many sheets."""
    found = cases(count, seed)
    find(found[0][0], found[0][2], known=found[0][1])
    gc.collect()
    gc.freeze()  # the thousand sheets kept here are no part of a search
    for at_most, name in ((1, "one adjustment"), (2, "up to two"), (3, "up to three (the full search)")):
        seconds, cpu, said, outcomes = [], [], [], Counter[str]()
        for sheet, known, aims in found:
            start, worked = perf_counter(), process_time()
            search = find(sheet, aims, at_most=at_most, known=known)
            seconds.append(perf_counter() - start)
            cpu.append(process_time() - worked)
            said.append(timed(lambda search=search: everything_said(search)))
            price = len(search.found.spoiled) if search.found else 0
            outcomes[f"{search.outcome}{' at a price' if price else ''}"] += 1
        spread(name, seconds)
        spread("  the same in processor time", cpu)
        spread("  runners-up, reasons and shortfall on top", said)
        print("  outcomes:", ", ".join(f"{outcome} {number}" for outcome, number in sorted(outcomes.items())))


def bench_doubt(count: int, seed: int) -> None:
    """Print how long it takes to say how sure, what would flip it, and what each choice gains where aims compete."""
    sure, flips, trades, all_of_it = [], [], [], []
    for sheet, known, aims in cases(count, seed + 2):
        search = find(sheet, aims, known=known)
        if search.outcome == "leave" or search.needs:
            continue
        sure.append(worked(lambda search=search: confidence(search)))
        flips.append(worked(lambda search=search: counterfactual(search)))
        all_of_it.append(sure[-1] + flips[-1])
        if len(aims) > 1:
            complaints = {aim.key: [aim] for aim in aims}
            trades.append(worked(lambda s=sheet, c=complaints, k=known: trade_off(s, c, known=k)))
    print(f"in processor time, {len(sure)} searches that are not met, {len(trades)} of several aims:")
    for name, seconds in (
        ("  how sure (confidence, and what would settle it)", sure),
        ("  the nearest change that flips it", flips),
        ("  both, as the conversation says them", all_of_it),
        ("  trade-off of several complaints", trades),
    ):
        spread(name, seconds)


def bench_against_everything(count: int, seed: int) -> bool:
    """Compare with trying everything on small sheets, and on a few of full size; print the ratio of the times."""
    random = Random(seed)
    differing = compared = 0
    fast = slow = 0.0
    kinds = Counter[str]()
    while compared < count:
        sheet = with_gaps(random, random_sheet(random, small=True))
        known = resolve(sheet, load_practice())
        (aims, allowed), at_most = random_case(random, sheet, known), random.choice([1, 2, 3, 3])
        start = perf_counter()
        search = find(sheet, aims, at_most=at_most, allowed=allowed, known=known)
        middle = perf_counter()
        if search.outcome == "leave" or number_of_trials(search, at_most) > 5000:
            continue
        expected = brute_force(known, search.hunt.levers, aims, at_most)
        slow += perf_counter() - middle
        fast += middle - start
        compared += 1
        kinds["none" if expected is None else f"{len(expected.picks)} adjustments"] += 1
        differing += (search.found and as_answer(search.found, expected.price if expected else 0)) != expected
    print(f"against trying everything, {compared} small sheets: {differing} differ; {slow / fast:.0f} times faster")
    print("  answers:", ", ".join(f"{kind} {number}" for kind, number in sorted(kinds.items())))
    fast = slow = trials = 0.0
    for sheet, known, aims in cases(6, seed + 1):
        start = perf_counter()
        search = find(sheet, aims, at_most=2, known=known)
        middle = perf_counter()
        expected = brute_force(known, search.hunt.levers, aims, 2)
        slow += perf_counter() - middle
        fast += middle - start
        trials += number_of_trials(search, 2)
        differing += (search.found and as_answer(search.found, expected.price if expected else 0)) != expected
    print(
        f"  6 full sheets, all adjustments, up to two: {trials / 6:.0f} combinations each, {slow / 6:.2f} s a sheet by "
        f"trying everything, {slow / fast:.0f} times faster; {differing} differ in all"
    )
    return differing == 0


def bench_growth(seed: int) -> None:
    """Print how the time grows with the number of adjustments and of their steps."""
    aims = [Aim("heel_margin_deg.back", low=35), Aim("heel_margin_deg.front", low=35)]
    names = [name for name, adjustment in load_adjustments().items() if adjustment.ways]
    names.sort(key=lambda name: not any("heel_margin_deg" in way.serves for way in load_adjustments()[name].ways))
    print("growth, full search for something out of reach (nothing ends it early):")
    random = Random(seed)
    sheets = [random_sheet(random) for _ in range(20)]
    for count in (2, 4, 6, 8, 12, len(names)):
        allowed = set(names[:count])
        print(f"  {count:2d} adjustments     {_mean(sheets, aims, allowed):7.2f} ms")
    for travel, notch in ((2, 6), (4, 3), (8, 3), (16, 3), (16, 1)):
        random = Random(seed)
        finer = []
        for _ in range(20):
            document = random_document(random)
            document["bindings"] |= {"slot_travel_mm": travel, "notch_deg": notch}
            for side in ("front", "back"):
                document["mount"][side] |= {"slot_mm": 0, "angle_deg": 0, "slots": "across"}
            finer.append(sheet_from(document))
        steps = sum(len(lever.options) for lever in find(finer[0], aims).hunt.levers)
        print(
            f"  travel {travel:2d} mm, notch {notch} deg ({steps:3d} values in all) {_mean(finer, aims, None):7.2f} ms"
        )


def _mean(sheets: Sequence[Sheet], aims: list[Aim], allowed: set[str] | None) -> float:
    known = [resolve(sheet, load_practice()) for sheet in sheets]
    seconds = [
        timed(lambda sheet=sheet, k=k: find(sheet, aims, allowed=allowed, known=k))
        for sheet, k in zip(sheets, known, strict=True)
    ]
    return sum(seconds) / len(seconds) * 1000


def main() -> int:
    """Run all of it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sheets", type=int, default=1000)
    parser.add_argument("--compared", type=int, default=300)
    parser.add_argument("--doubted", type=int, default=100)
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    if hasattr(os, "getloadavg"):
        print(f"load of the machine at the start: {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    bench_times(given.sheets, given.seed)
    bench_doubt(given.doubted, given.seed)
    same = bench_against_everything(given.compared, given.seed)
    bench_growth(given.seed)
    return 0 if same else 1


if __name__ == "__main__":
    raise SystemExit(main())
