"""The search gives what trying everything gives."""

from __future__ import annotations

from itertools import combinations
from math import prod
from random import Random

import pytest

from advisor.sheet.practice import load_practice
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.adjustments import load_adjustments
from advisor.solve.aims import Aim, kind_of
from advisor.solve.found import Found
from advisor.solve.nearest import nearest
from advisor.solve.options import Lever, levers
from advisor.solve.search import Search, find
from advisor.solve.windows import load_windows
from tests.solve.brute_force import Answer, brute_force, brute_nearest, value_at, with_options
from tests.solve.random_sheets import random_sheet

# Few adjustments a sheet, drawn anew each time, keep trying everything affordable.
_ALL = (
    "strap_recentre", "strap_length", "tighten_screws", "forward_lean", "highback_turn", "toe_ramp_reach",
    "heelcup_step", "shift_across", "shift_along", "turn_disc_round", "angle_front", "angle_back", "stance_width",
    "one_foot_along", "stance_centre", "slots_direction", "cant_wedge", "riser", "screw_length", "edge_work_base",
    "edge_work_side",
)  # fmt: skip
_KEYS = (
    "heel_margin_deg", "toe_margin_deg", "overhang_split_mm", "boot_offset_mm", "turnout_gap_deg", "highback_gap_deg",
    "knee_offset_mm", "toe_past_ramp_mm", "heel_overhang_mm", "leg_lean_deg",
)  # fmt: skip
_BOARD_KEYS = ("stance_width_mm", "front_load_share", "splay_deg", "screw_gap_mm", "engage_tilt_deg")
_PLACED = (*(f"{key}.{side}" for key in _KEYS for side in ("front", "back")), *_BOARD_KEYS)


def random_aims(random: Random, known: Known) -> list[Aim]:
    """Return one to three aims: some with their window, most a little way off from where the measure stands."""
    keys = [f"{random.choice(_KEYS)}.{random.choice(['front', 'back'])}"]
    while random.random() < 0.35:
        foot_key = f"{random.choice(_KEYS)}.{random.choice(['front', 'back'])}"
        keys.append(random.choice([foot_key, random.choice(_BOARD_KEYS)]))
    aims = []
    for key in dict.fromkeys(keys):
        window, now = load_windows().window(key, known.setup), value_at(known.setup, key)
        assert window is not None
        if random.random() < 0.3:
            aims.append(Aim(key))
        elif random.random() < 0.5:
            aims.append(Aim(key, low=now + random.uniform(-0.3, 1.5) * window.scale))
        else:
            near = now - random.uniform(-0.3, 1.5) * window.scale
            aims.append(Aim(key, low=near - random.uniform(0.3, 3) * window.scale, high=near))
    return aims


def reachable_case(random: Random, sheet: Sheet, known: Known) -> tuple[list[Aim], set[str]]:
    """Return aims around where one to three adjustments lead, drawn at random, with a few adjustments for them.

    So two or three are often needed together; an end may lie right at what is reached, or a hair beside it.
    """
    while True:
        allowed = set(random.sample(_ALL, random.randint(2, 5)))
        offered = levers(sheet, known, allowed=allowed)
        chosen = random.sample(offered, min(len(offered), random.choice([1, 2, 2, 3, 3])))
        paths = [path for lever in chosen for path in lever.before]
        own = [[key for key in _PLACED if for_key(lever, key)] for lever in chosen]
        keys = {random.choice(served) for served in own if served}
        if random.random() < 0.3:
            keys.add(random.choice(_PLACED))
        with with_options(known, [random.choice(lever.options) for lever in chosen]) as setup:
            reached = {key: value_at(setup, key) for key in sorted(keys)}
        aims = [_around(random, known, key, there) for key, there in reached.items()]
        if aims and len(paths) == len(set(paths)):
            return aims, allowed


def for_key(lever: Lever, key: str) -> bool:
    """Return whether an adjustment is for a measure at its place."""
    kind, _, side = key.partition(".")
    return kind in lever.way.serves and (lever.foot is None or side in {"", lever.foot})


def _around(random: Random, known: Known, key: str, there: float) -> Aim:
    window, now = load_windows().window(key, known.setup), value_at(known.setup, key)
    assert window is not None
    room = random.uniform(0.02, 0.6) * window.scale
    if random.random() < 0.3:
        return Aim(key, there - room, there + room)
    room *= random.choice([1, 1e-3, 0])
    return Aim(key, low=there - room) if there >= now else Aim(key, high=there + room)


_LEFT_OUT = (
    "rider.turnout_deg.left", "rider.turnout_deg.right", "rider.inseam_cm", "mount.front.seat_mm", "mount.back.seat_mm",
    "mount.front.highback_turn_deg", "mount.back.slot_mm", "board.base_bevel_deg", "board.reference_setback_mm",
)  # fmt: skip


def with_gaps(random: Random, sheet: Sheet) -> Sheet:
    """Return a sheet on which, now and then, numbers are left out and so only assumed."""
    if random.random() < 0.5:
        for path in _LEFT_OUT:
            if random.random() < 0.4:
                sheet = sheet.without(path)
    return sheet


def as_answer(found: Found, price: int) -> Answer:
    return Answer(price, found.turns, found.minutes, found.left, found.steps, found.picks)


def some_adjustments(random: Random, aims: list[Aim]) -> set[str]:
    """Return a few adjustments, at least one of them for an aim."""
    kinds = {kind_of(aim.key) for aim in aims}
    useful = [a.id for a in load_adjustments().values() if any(kinds & way.serves for way in a.ways)]
    return {*random.sample(useful, min(len(useful), random.randint(1, 2))), *random.sample(_ALL, random.randint(1, 4))}


def random_case(random: Random, sheet: Sheet, known: Known) -> tuple[list[Aim], set[str]]:
    """Return aims and the adjustments that may be made for them, drawn either way."""
    if random.random() < 0.5:
        return reachable_case(random, sheet, known)
    aims = random_aims(random, known)
    return aims, some_adjustments(random, aims)


def number_of_trials(search: Search, at_most: int) -> int:
    """Return how many combinations of values trying everything goes through, at most."""
    sizes = [len(lever.options) for lever in search.hunt.levers]
    return sum(prod(chosen) for size in range(1, at_most + 1) for chosen in combinations(sizes, size))


@pytest.mark.slow
def test_the_answer_and_else_the_nearest_equal_those_of_trying_everything() -> None:
    """A few hundred small sheets here; `tests/bench/bench_solve.py` does the same on thousands."""
    random = Random(20)
    answers = nothing = paid = several = three = 0
    for _ in range(300):
        sheet = with_gaps(random, random_sheet(random, small=True))
        known = resolve(sheet, load_practice())
        aims, allowed = random_case(random, sheet, known)
        at_most = random.choice([1, 2, 3, 3])
        search = find(sheet, aims, allowed=allowed, at_most=at_most, known=known)
        if search.outcome == "leave" or number_of_trials(search, at_most) > 800:
            continue
        expected = brute_force(known, search.hunt.levers, aims, at_most)
        if expected is None:
            assert search.outcome == "none", aims
            near = nearest(search.hunt)
            expected_near = brute_nearest(known, search.hunt.levers, aims, at_most)
            assert near.picks == expected_near.picks, aims
            assert near.short == expected_near.short
            nothing += 1
        else:
            assert search.found is not None, (aims, expected)
            assert as_answer(search.found, expected.price) == expected, aims
            answers += 1
            paid += expected.price > 0
            several += len(expected.picks) > 1
            three += len(expected.picks) > 2
    assert answers > 20, "too few sheets with an answer to mean anything"
    assert nothing > 20, "too few sheets without an answer to mean anything"
    assert paid > 2, "too few answers that spoil something"
    assert several > 8, "too few answers of several adjustments"
    assert three > 2, "too few answers of three adjustments"
