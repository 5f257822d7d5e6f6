"""What a rehearsal comes to: counts with 95 % Wilson intervals, by fault and complaint, in flat memory."""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from math import sqrt
from typing import Any

from advisor.workshop.training.rehearsal import Rehearsed

_Z = 1.959964
_WORST_KEPT = 20


def wilson(hits: int, of: int) -> tuple[float, float]:
    """Return the 95 % Wilson interval of a share.

    Examples
    --------
    >>> [round(end, 4) for end in wilson(95, 100)]
    [0.8882, 0.9785]
    >>> wilson(0, 0)
    (0.0, 1.0)

    """
    if of == 0:
        return 0.0, 1.0
    share, square = hits / of, _Z * _Z
    middle = (share + square / (2 * of)) / (1 + square / of)
    half = _Z * sqrt(share * (1 - share) / of + square / (4 * of * of)) / (1 + square / of)
    return max(0.0, middle - half), min(1.0, middle + half)


@dataclass
class Share:
    """So many of so many."""

    hits: int = 0
    of: int = 0

    def add(self, hit: bool) -> None:
        """Count one."""
        self.hits += hit
        self.of += 1

    def merge(self, other: Share) -> None:
        """Add another count."""
        self.hits += other.hits
        self.of += other.of

    @property
    def value(self) -> float:
        """Return the share, 0 of none."""
        return self.hits / self.of if self.of else 0.0

    def as_json(self) -> dict[str, Any]:
        """Return the count with its interval."""
        low, high = wilson(self.hits, self.of)
        return {
            "hits": self.hits,
            "of": self.of,
            "share": round(self.value, 4),
            "ci95": [round(low, 4), round(high, 4)],
        }


@dataclass
class Scores:
    """Everything that is counted of one level.

    Parameters
    ----------
    entry
        Whether the words led to the complaint's entry; only where words were spoken.
    found, found_later
        The planted cause named, at the first visit and at the latest when the rider came back.
    mended
        Of the faults that a hand can mend: the planted measure back in its window.
    aims
        Of the changes advised: every measure aimed at in its range on the true set-up.
    harmed
        Riders for whom the change broke something that was good.
    to_clinician
        Riders without such a fault who were sent to a clinician.
    questions, minutes
        How often so many questions were put; bench minutes in all.
    residual
        By measure: how many, sum and most of what is left outside the window.
    by_fault, by_complaint
        Found, of each.
    worst
        The worst walks, to look at.

    """

    riders: int = 0
    entry: Share = field(default_factory=Share)
    found: Share = field(default_factory=Share)
    found_later: Share = field(default_factory=Share)
    mended: Share = field(default_factory=Share)
    aims: Share = field(default_factory=Share)
    harmed: Share = field(default_factory=Share)
    to_clinician: Share = field(default_factory=Share)
    questions: Counter[int] = field(default_factory=Counter)
    minutes: float = 0.0
    residual: dict[str, list[float]] = field(default_factory=dict)
    by_fault: dict[str, Share] = field(default_factory=dict)
    by_complaint: dict[str, Share] = field(default_factory=dict)
    worst: list[tuple[float, int, Rehearsed]] = field(default_factory=list)

    def add(self, one: Rehearsed) -> None:
        """Count one rider."""
        self.riders += 1
        if one.entry_found is not None:
            self.entry.add(one.entry_found)
        self.found.add(one.found)
        self.found_later.add(one.found_later)
        if one.fixable:
            self.mended.add(one.right)
        if one.aims_met is not None:
            self.aims.add(one.aims_met)
        self.harmed.add(bool(one.harm))
        if not one.for_clinician:
            self.to_clinician.add("clinician" in one.cause)
        self.questions[one.questions] += 1
        self.minutes += one.minutes
        if one.fixable and one.found:
            for measure, left in one.residual.items():
                kept = self.residual.setdefault(measure, [0.0, 0.0, 0.0])
                kept[:] = [kept[0] + 1, kept[1] + left, max(kept[2], left)]
        self.by_fault.setdefault(one.faults[0], Share()).add(one.found)
        self.by_complaint.setdefault(one.complaint, Share()).add(one.found)
        self._keep(_badness(one), one)

    def _keep(self, badness: float, one: Rehearsed) -> None:
        if badness <= 0:
            return
        item = (badness, -one.number, one)
        if len(self.worst) < _WORST_KEPT:
            heapq.heappush(self.worst, item)
        elif item[:2] > self.worst[0][:2]:
            heapq.heapreplace(self.worst, item)

    def merge(self, other: Scores) -> None:
        """Add what another process counted."""
        self.riders += other.riders
        for name in ("entry", "found", "found_later", "mended", "aims", "harmed", "to_clinician"):
            getattr(self, name).merge(getattr(other, name))
        self.questions.update(other.questions)
        self.minutes += other.minutes
        for measure, (count, total, most) in other.residual.items():
            kept = self.residual.setdefault(measure, [0.0, 0.0, 0.0])
            kept[:] = [kept[0] + count, kept[1] + total, max(kept[2], most)]
        for mine, theirs in ((self.by_fault, other.by_fault), (self.by_complaint, other.by_complaint)):
            for name, share in theirs.items():
                mine.setdefault(name, Share()).merge(share)
        for badness, _, one in other.worst:
            self._keep(badness, one)

    @property
    def median_questions(self) -> float:
        """Return the middle of the numbers of questions; the mean of both middles for an even count."""
        return _middle(self.questions)

    @property
    def mean_questions(self) -> float:
        """Return the mean number of questions."""
        return sum(n * count for n, count in self.questions.items()) / self.riders if self.riders else 0.0

    def worst_first(self) -> list[Rehearsed]:
        """Return the worst walks, worst first."""
        return [one for _, _, one in sorted(self.worst, key=lambda item: item[:2], reverse=True)]

    def as_json(self) -> dict[str, Any]:
        """Return all counts."""
        shares = ("entry", "found", "found_later", "mended", "aims", "harmed", "to_clinician")
        return {
            "riders": self.riders,
            **{name: getattr(self, name).as_json() for name in shares if name != "entry" or self.entry.of},
            "questions": {
                "median": self.median_questions,
                "mean": round(self.mean_questions, 2),
                "most": max(self.questions, default=0),
                "counts": {str(n): self.questions[n] for n in sorted(self.questions)},
            },
            "minutes_mean": round(self.minutes / self.riders, 2) if self.riders else 0.0,
            "residual": {
                measure: {"of": int(count), "mean": round(total / count, 3), "most": most}
                for measure, (count, total, most) in sorted(self.residual.items())
            },
            "by_fault": {name: share.as_json() for name, share in sorted(self.by_fault.items())},
            "by_complaint": {name: share.as_json() for name, share in sorted(self.by_complaint.items())},
        }


def _badness(one: Rehearsed) -> float:
    """Return how bad a walk went; 0 for one that went well."""
    wrong_advice = one.outcome == "advice" and not one.found
    late = 0.0 if one.found_later else 1.0
    missed = 1.0 if one.fixable and not one.right else 0.0
    return 4.0 * bool(one.harm) + 2.0 * (not one.found) + wrong_advice + late + missed


def _middle(counts: Counter[int]) -> float:
    total = sum(counts.values())
    if not total:
        return 0.0
    places = ((total - 1) // 2, total // 2)
    found: list[int] = []
    seen = 0
    for value in sorted(counts):
        seen += counts[value]
        found.extend(value for place in places[len(found) :] if place < seen)
    return sum(found) / 2


def merged(parts: Iterable[Scores]) -> Scores:
    """Return the sum of several counts."""
    whole = Scores()
    for part in parts:
        whole.merge(part)
    return whole
