"""How often the first set-up contradicts the entries: mounted by its answer, then asked everything with sound answers.

    PYTHONPATH=. python tests/bench/bench_fixed_point.py [RIDERS]     (by default 1000, a fifth of each style)

Prints what still moves, entry by entry, with an example; asserts nothing.
"""

from __future__ import annotations

import sys
from collections import Counter
from random import Random

from advisor.workshop.fixed_point import mounted_rider, what_still_moves

_STYLES = ("all_mountain", "carving", "freestyle", "powder", "first_season")


def main(riders: int) -> None:
    """Print the figures."""
    random = Random(13)
    mounted, moved, example, unsettled = 0, Counter[tuple[str, str]](), {}, 0
    for number in range(riders):
        sheet = mounted_rider(random, _STYLES[number % len(_STYLES)])
        if sheet is None:
            continue
        mounted += 1
        found = list(what_still_moves(sheet))
        unsettled += bool(found)
        for one in found:
            moved[one.entry, one.cause] += 1
            example.setdefault((one.entry, one.cause), (sheet.value("rider.style"), one.words))
    print(f"{riders} riders drawn, {mounted} mounted; {unsettled} of them would be changed by at least one entry")
    for key, count in moved.most_common():
        print(f"{count:6}  {key[0]} {key[1]}  such as {example[key]}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
