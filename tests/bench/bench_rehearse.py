"""How fast riders are rehearsed, how the cost grows with their number, and whether memory stays flat.

    python tests/bench/bench_rehearse.py [RIDERS ...]     (by default 300 1000 3000; 100000 takes its time)

Ratios count, not seconds: the time for one rider should be the same whatever their number, and twice the processes
should do twice the work. Prints a table; asserts nothing.
"""

from __future__ import annotations

import os
import resource
import sys
import time

from advisor.graph.knowledge import load_knowledge
from advisor.workshop.training.parallel import Plan, rehearse
from advisor.workshop.training.rider import Noise


def _memory_mb() -> float:
    """Return the most memory of this process and of the largest that it started [MB]."""
    most = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return most / 1024


def _worked_s() -> float:
    """Return the processor time of this process and of those that it started and that have ended [s]."""
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def main(sizes: list[int]) -> None:
    """Print the figures."""
    load_knowledge()
    noise = Noise(wrong=0.1, unsure=0.2, ruler=1.0)
    rehearse(Plan(50, noise=noise, beside=False), jobs=1)
    print(f"{'riders':>8} {'processes':>10} {'riders/s':>9} {'per core second':>16} {'memory MB':>10}")
    first: dict[int, float] = {}
    for jobs in dict.fromkeys((1, os.cpu_count() or 1)):
        for size in sizes:
            started, worked = time.perf_counter(), _worked_s()
            rehearse(Plan(size, noise=noise, beside=False), jobs)
            seconds, work = time.perf_counter() - started, _worked_s() - worked
            print(f"{size:>8} {jobs:>10} {size / seconds:>9.1f} {size / work:>16.1f} {_memory_mb():>10.0f}")
            first.setdefault(jobs, work / size)
            if size == sizes[-1]:
                growth = work / size / first[jobs]
                print(f"  work for a rider, at {size} over at {sizes[0]}: {growth:.2f}; load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main([int(one) for one in sys.argv[1:]] or [300, 1000, 3000])
