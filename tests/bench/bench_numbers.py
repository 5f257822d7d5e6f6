"""The numbers against brute force on random set-ups, and what share of draws each ± holds.

    PYTHONPATH=. python tests/bench/bench_numbers.py --sheets 2000

Contact, overhang and width are compared with points sampled on a surface that is built from the frame alone
(`tests/geometry/test_outline.py`): angles from -45 to 72, risers, wedges, slots either way, discs turned round.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterator
from math import nan
from random import Random
from time import process_time

import numpy as np

from advisor.geometry.contact import contact_deg
from advisor.geometry.measuring import measure_all
from advisor.geometry.overhang import local_width_mm, overhang_mm
from advisor.sheet.readings import Known
from advisor.sheet.setup import Setup
from tests.geometry.test_outline import EDGES, _beyond, _centre, _contact_by_sampling, _edge, _sole
from tests.make_setup import example_known, example_setup


def _random_setup(chance: Random) -> Setup:
    s = example_setup(chance.choice(("all_mountain", "carving", "freestyle")))
    length = chance.uniform(230, 335)
    s.boots.outsole_length_mm, s.boots.ball_width_mm = length, length * chance.uniform(0.33, 0.38)
    s.boots.heel_width_mm = s.boots.ball_width_mm * chance.uniform(0.75, 0.92)
    s.boots.toe_rise_mm, s.boots.toe_rise_length_mm = chance.uniform(0, 25), chance.uniform(0, 45)
    s.boots.heel_rise_mm, s.boots.heel_rise_length_mm = chance.uniform(0, 15), chance.uniform(0, 25)
    board = s.board
    board.waist_width_mm, board.sidecut_radius_mm = chance.uniform(225, 285), chance.choice((nan, 6500, 8000, 11000))
    board.nose_width_mm, board.tail_width_mm = (board.waist_width_mm + chance.uniform(32, 55) for _ in range(2))
    board.reference_setback_mm, board.thickness_mm = chance.uniform(0, 40), chance.uniform(6, 13)
    s.bindings.base_length_mm, s.bindings.base_width_mm = chance.choice((nan, 215, 240, 260)), chance.uniform(80, 115)
    s.bindings.hole_offset_mm, s.ride.edge_sink_mm = chance.uniform(-6, 6), chance.choice((0, 0, 3, 5))
    for f in (s.front, s.back):
        f.angle_deg = chance.uniform(-45, 72)
        f.slots, f.slot_mm, f.disc_flipped = (
            chance.choice(("across", "along")),
            chance.uniform(-6, 6),
            chance.random() < 0.3,
        )
        f.riser_mm, f.cant_deg = chance.choice((0, 0, 3, 6)), chance.choice((0, 0, 1.5, 3, -3))
        f.seat_mm, f.toe_ramp = chance.uniform(-10, 10), chance.choice((0, 1, 3))
    return s


def _differences(s: Setup) -> Iterator[tuple[str, float]]:
    for f in (s.front, s.back):
        sole = _sole(s, f)
        _line, x, y = _edge(s, "toe")
        yield "local_width_mm", local_width_mm(s, f) - 2 * float(np.interp(_centre(s, f)[0], x, y))
        for edge in EDGES:
            yield f"{edge}_overhang_mm", overhang_mm(s, f, edge) - _beyond(s, edge, sole)
            yield f"{edge}_contact_deg", contact_deg(s, f, edge) - _contact_by_sampling(s, f, edge)


def _coverage(draws: int) -> dict[str, float]:
    k = example_known()
    taken = {key: x for key, x in measure_all(k).items() if x.plus_minus > 0.01 and not x.measure.safety}
    inside, s, chance = dict.fromkeys(taken, 0), k.setup.copy(), Random(11)
    for _ in range(draws):
        for path, half in k.moving.items():
            s.put(path, k.setup.get(path) + chance.gauss(0, 1) * half / 2)
        for key, x in taken.items():
            inside[key] += abs(x.measure.at(s, x.place) - x.value) <= x.plus_minus
    return {key: count / draws for key, count in inside.items()}


def main() -> None:
    """Print worst differences, coverage, and times."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--sheets", type=int, default=200)
    asked.add_argument("--draws", type=int, default=2000)
    told = asked.parse_args()
    chance, found = Random(5), defaultdict(list)
    for _ in range(told.sheets):
        for name, difference in _differences(_random_setup(chance)):
            found[name].append(abs(difference))
    print(f"{told.sheets} sheets: largest difference from brute force, and that of 999 in 1000")
    for name, all_of_it in sorted(found.items()):
        print(f"  {name:20} {max(all_of_it):8.4f} {np.quantile(all_of_it, 0.999):8.4f}")
    shares = _coverage(told.draws)
    low, high = min(shares, key=shares.__getitem__), max(shares, key=shares.__getitem__)
    aimed = sum(0.93 <= share <= 0.97 for share in shares.values())
    print(f"± of {len(shares)} measures, {told.draws} draws: {aimed} hold .93 to .97")
    print(f"  least {low} {shares[low]:.3f}, most {high} {shares[high]:.3f}")
    k = example_known()

    def everything() -> list[tuple[float, str]]:
        return [(x.plus_minus, x.formula) for x in measure_all(Known(k.setup, k.readings)).values()]

    for words, work in (("all measures", lambda: measure_all(k)), ("with ± and formula", everything)):
        times = []
        for _ in range(15):
            start = process_time()
            work()
            times.append(process_time() - start)
        print(f"  {words}: {min(times) * 1000:.2f} ms of CPU")


if __name__ == "__main__":
    main()
