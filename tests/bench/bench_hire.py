"""A hire list of many riders to settings and labels: seconds on one process and on two.

Usage: python tests/bench/bench_hire.py [RIDERS]. Riders are Larchfall's (invented): heights 120 to 200 cm, sizes in
three systems, five styles.
"""

from __future__ import annotations

import random
import sys
import time

from advisor.intake.hire_list import read_list
from advisor.intake.hire_page import labels_page
from advisor.intake.hire_settings import settings_for_all

STYLES = ("beginner", "park", "carving", "powder", "all mountain")


def riders(number: int) -> str:
    """Return a list's text."""
    drawn = random.Random(4)
    lines = ["name,height,weight,shoe,style,leads"]
    for place in range(number):
        height = drawn.randint(120, 200)
        foot = 1.53 * height
        size = drawn.choice(
            [
                f"EU {round((foot + 15) / 20 * 3 * 2) / 2:g}",
                f"mondo {round(foot / 5) * 0.5:.1f}",
                f"US M {max(1, round(((foot + 15) / 25.4 * 3 - 23.5) * 2) / 2):g}",
            ]
        )
        weight = round((height / 100) ** 2 * drawn.uniform(18, 27))
        leads = drawn.choice(["regular", "goofy", ""])
        lines.append(f"R{place},{height},{weight},{size},{drawn.choice(STYLES)},{leads}")
    return "\n".join(lines) + "\n"


def main(number: int) -> None:
    """Print seconds, and how many riders have a doubt."""
    listed = read_list(riders(number), "list.csv")
    for processes in (2, 1):
        start, used = time.perf_counter(), time.process_time()
        made = settings_for_all(listed, processes=processes)
        page = sum(map(len, labels_page(made)))
        took = time.perf_counter() - start
        own = time.process_time() - used
        print(
            f"{number} riders, {processes} processes: {took:.1f} s ({own:.1f} s CPU here), labels {page / 1e6:.2f} MB"
        )
    doubted = sum(any("not told" not in doubt for doubt in one.doubts) for one in made)
    print(f"with a doubt about size or body: {doubted}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
