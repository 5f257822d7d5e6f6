"""The case log with many cases: look-up by alias, saving with full durability, searching, counting, exporting, size.

usage: python tests/bench/bench_cases.py [--cases 20000] [--folder FOLDER] [--url URL]

The cases are real ones (an answer with its sheet and trail) under a hundred aliases for every 250 of them, over five
winters. Each look-up is by another alias, drawn at random; times are medians and the worst of 100, in ms.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.cases.engine import sqlite_path
from advisor.cases.of_answer import record_of
from advisor.cases.record import CaseRecord, Done, Result, new_id
from advisor.cases.store import Search, Store
from advisor.dialogue.answer import answer_case
from advisor.dialogue.case import Case
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import read_sheet

_SHEET = Path(__file__).parents[2] / "transcripts_demo" / "larchfall_heel.yaml"
_BATCH = 20_000
_SAID = ("my heel edge lets go on hard snow", "no, it is sharp", "done", "thanks")


def _cases(count: int, chance: random.Random) -> Iterator[CaseRecord]:
    answer = answer_case(load_knowledge(), Case("heel_washout", read_sheet(_SHEET), {"binding_play": "no"}))
    pattern = record_of(answer, "pattern", said=_SAID)
    suspects = [line["suspect"] for line in pattern.trail]
    for number in range(count):
        came_back = chance.random() < 0.4
        yield replace(
            pattern,
            id=new_id(),
            alias=f"Rider {chance.randrange(max(1, count * 2 // 5))}",
            at=f"202{chance.randrange(5)}-{chance.randrange(1, 13):02d}-{1 + number % 28:02d}T10:00:00.000Z",
            board=f"hire {chance.randrange(400)}",
            suspect=chance.choice(suspects),
            done=Done("as_advised") if came_back else None,
            result=Result(chance.choice(("better", "better", "same", "worse"))) if came_back else None,
        )


def _timed(what: str, times: int, action: Callable[[int], object]) -> None:
    taken = []
    for number in range(times):
        start = time.perf_counter()
        action(number)
        taken.append((time.perf_counter() - start) * 1000)
    taken.sort()
    print(f"{what}: median {taken[len(taken) // 2]:.2f} ms, worst of {times} {taken[-1]:.2f} ms", flush=True)


def main() -> None:
    """Fill a log and time it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--cases", type=int, default=20_000)
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--url")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(dir=given.folder) as folder:
        url = given.url or f"sqlite:///{Path(folder) / 'cases.sqlite'}"
        _run(url, given.cases, Path(folder))


def _run(url: str, count: int, folder: Path) -> None:
    chance = random.Random(1)
    store = Store(url)
    start = time.perf_counter()
    cases = _cases(count, chance)
    extra = []
    for first in range(0, count, _BATCH):
        batch = [case for case, _ in zip(cases, range(min(_BATCH, count - first)), strict=False)]
        store.save_all(batch)
        extra = batch
    print(f"{count} cases filled in {time.perf_counter() - start:.0f} s", flush=True)
    path = sqlite_path(url)
    if path:
        store.close()
        store = Store(url)
        size = sum(file.stat().st_size for file in path.parent.iterdir())
        print(f"size: {size / 1e6:.0f} MB, {size / count:.0f} bytes a case")
    aliases = [f"Rider {chance.randrange(max(1, count * 2 // 5))}" for _ in range(100)]
    _timed("look-up of the last visit by alias", 100, lambda n: store.last(aliases[n]))
    _timed("all visits by alias", 100, lambda n: store.of(aliases[n]))
    _timed("look-up by number", 100, lambda n: store.get(extra[n % len(extra)].id))
    _timed("save, full durability", 100, lambda n: store.save(replace(extra[n % len(extra)], id=new_id())))
    _timed("note how it went", 100, lambda n: store.set_result(extra[n % len(extra)].id, Result("better")))
    _timed("newest 20 of a complaint", 20, lambda n: store.find(Search(complaint="heel_washout", most=20)))
    _timed("20 by board", 5, lambda n: store.find(Search(board=f"hire {n}", most=20)))
    _timed("no case with these words", 1, lambda n: store.find(Search(complaint="no such words", most=20)))
    _timed("counts by cause", 3, lambda n: store.tallies())
    start, lines, signs = time.perf_counter(), 0, 0
    with (folder / "export.jsonl").open("w", encoding="ascii") as out:
        for line in store.lines():
            signs += out.write(line + "\n")
            lines += 1
    taken = time.perf_counter() - start
    print(f"export: {lines / taken:.0f} cases/s, {signs / taken / 1e6:.0f} MB/s, {signs / lines:.0f} bytes a line")
    store.close()


if __name__ == "__main__":
    main()
