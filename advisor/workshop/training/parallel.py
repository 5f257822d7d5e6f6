"""A rehearsal over all cores: riders in small lots, each lot counted where it is ridden, so that memory stays flat."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from random import Random
from typing import Any

from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.knowledge.trees import authors
from advisor.workshop.training.questionnaire import ask_in_order
from advisor.workshop.training.rehearsal import rehearse_one
from advisor.workshop.training.rider import Noise, draw_rider
from advisor.workshop.training.scoring import Scores, Share
from advisor.workshop.training.tables import training_table

_LOT = 25


@dataclass(frozen=True)
class Plan:
    """What is rehearsed.

    Parameters
    ----------
    riders, seed
        How many, and which.
    noise
        How well is told.
    two
        Share of riders with two faults.
    only
        The fault to plant; any where it is empty.
    words
        Whether complaints are spoken in free words.
    beside
        Whether the naive questionnaire and the best possible are run beside it.

    """

    riders: int
    seed: int = 1
    noise: Noise = Noise()  # noqa: RUF009
    two: float = 0.0
    only: str = ""
    words: bool = False
    beside: bool = True


@dataclass
class Level:
    """What one level came to, with the naive questionnaire and the best possible beside it."""

    scores: Scores = field(default_factory=Scores)
    naive: Share = field(default_factory=Share)
    naive_questions: int = 0
    best: Share = field(default_factory=Share)

    def merge(self, other: Level) -> None:
        """Add what another process counted."""
        self.scores.merge(other.scores)
        self.naive.merge(other.naive)
        self.naive_questions += other.naive_questions
        self.best.merge(other.best)

    def as_json(self) -> dict[str, Any]:
        """Return all counts."""
        told = self.scores.as_json()
        if self.naive.of:
            mean = round(self.naive_questions / self.naive.of, 2)
            told["naive"] = {**self.naive.as_json(), "questions_mean": mean}
            told["best_possible"] = self.best.as_json()
        return told


Levels = dict[str, Noise]


def levels_of(names: list[str] | None = None) -> Levels:
    """Return the levels of `trees/training/answers.yaml`, all or those named."""
    rows = training_table("answers")["levels"]
    return {name: Noise(**row) for name, row in rows.items() if not names or name in names}


def rehearse(plan: Plan, jobs: int = 0, progress: Callable[[int], None] | None = None) -> Level:
    """Ride all riders of a plan.

    Parameters
    ----------
    plan
        What is rehearsed.
    jobs
        How many processes; as many as there are cores where it is 0.
    progress
        Called with how many riders are done.

    """
    lots = [(plan, first, min(plan.riders, first + _LOT)) for first in range(0, plan.riders, _LOT)]
    jobs = min(jobs or os.cpu_count() or 1, len(lots))
    whole = Level()
    for (_, first, last), part in zip(lots, _ridden(lots, jobs), strict=True):
        del first
        whole.merge(part)
        if progress:
            progress(last)
    return whole


def _ridden(lots: list[tuple[Plan, int, int]], jobs: int) -> Iterator[Level]:
    load_knowledge(authors())
    if jobs <= 1:
        yield from map(_ride_lot, lots)
        return
    from multiprocessing import get_context

    with get_context("fork" if hasattr(os, "fork") else "spawn").Pool(jobs) as pool:
        yield from pool.imap(_ride_lot, lots)


@cache
def _knowledge() -> Knowledge:
    return load_knowledge(authors())


def _ride_lot(lot: tuple[Plan, int, int]) -> Level:
    plan, first, last = lot
    found = Level()
    matcher = None
    if plan.words:
        from advisor.match import load_matcher

        matcher = load_matcher()
    only = plan.only or None
    for number in range(first, last):
        one = rehearse_one(
            _knowledge(), number, plan.seed, plan.noise, plan.two, only, matcher=matcher
        )  # fmt: skip
        found.scores.add(one)
        if plan.beside:
            rider = draw_rider(Random(f"{plan.seed} rider {number}"), plan.two, only)
            naive = ask_in_order(rider, plan.noise, number)
            found.naive.add(naive.found)
            found.naive_questions += naive.questions
            best = rehearse_one(_knowledge(), number, plan.seed, Noise(), plan.two, only, all_known=True)
            found.best.add(best.found)
    return found
