"""A shelf of many things: taking them in, opening it, and finding by a few letters, median and worst in milliseconds.

Usage: python tests/bench/bench_shelf.py [ITEMS]. Labels are invented; the letters typed are drawn from them.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

from advisor.sheet.sheet import Leaf
from advisor.shelf.items import Item
from advisor.shelf.store import Shelf

TREES = ("Larch", "Fern", "Alder", "Rowan", "Hazel", "Birch", "Sorrel", "Thistle", "Juniper", "Sedge")
KINDS = ("board", "boots", "bindings")


def things(number: int) -> list[Item]:
    """Return invented things, a third of each kind."""
    drawn = random.Random(7)
    return [
        Item(
            KINDS[place % 3],
            " ".join((drawn.choice(TREES), f"{drawn.choice('ABCDEFGH')}{place}", str(drawn.randint(130, 170)))),
            {"board.length_cm": Leaf(float(drawn.randint(130, 170)))} if place % 3 == 0 else {},
        )
        for place in range(number)
    ]


def main(number: int) -> None:
    """Print the figures."""
    items = things(number)
    drawn = random.Random(8)
    with tempfile.TemporaryDirectory() as folder:
        environ = {"ADVISOR_SHOP": folder}
        start = time.perf_counter()
        with Shelf(environ) as shelf:
            shelf.put(items)
        size = Path(folder, "shelf", "shelf.sqlite").stat().st_size / 1e6
        print(f"{number} taken in: {time.perf_counter() - start:.1f} s, {size:.0f} MB")
        start = time.perf_counter()
        with Shelf(environ) as shelf:
            print(f"opened: {(time.perf_counter() - start) * 1000:.1f} ms")
            for what in (
                "one letter",
                "three letters",
                "a word within",
                "two words turned round",
                "exact label",
                "nothing like it",
            ):
                times = []
                for _ in range(200):
                    label = drawn.choice(items).label
                    words = label.split()
                    letters = {
                        "one letter": label[:1],
                        "three letters": label[:3],
                        "a word within": words[1][:4],
                        "two words turned round": f"{words[2]} {words[0][:3]}",
                        "exact label": label,
                        "nothing like it": "zz" + label[:2],
                    }[what]
                    start = time.perf_counter()
                    found = shelf.find(letters)
                    times.append((time.perf_counter() - start) * 1000)
                    assert bool(found) == (what != "nothing like it")
                print(f"{what}: median {statistics.median(times):.2f} ms, worst {max(times):.2f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
