"""How many riders feel it how far out: the spread of thresholds, and what the shop's outcomes teach of it.

A severity of 0 is the near end of what is aimed at, 1 is where nearly all riders feel it. The spread is a share for
each tenth between. An outcome says that a rider's own threshold lies between two severities: one who felt it at 0.8
and was cured at 0.3 has it between. Each such rider counts once, shared among the tenths between by what is thought
of them so far.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from advisor.knowledge.trees import Trees, of_trees
from advisor.solve.chance.doses import load_doses

_ROUNDS = 12


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a rider's return tells of the threshold: it lies over `low` and at or under `high`, both severities.

    Cured at `low` after it was felt at `high`; or still felt at `high`, with `low` 0.
    """

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Felt:
    """The share of riders who feel a severity, by tenths, and how many riders of the shop it counts."""

    by_tenths: tuple[float, ...]
    riders: int = 0

    def share(self, severity: float) -> float:
        """Return the share of riders who feel a severity.

        Examples
        --------
        >>> even = Felt(tuple(n / 10 for n in range(1, 11)))
        >>> even.share(-1), round(even.share(0.25), 3), even.share(7)
        (0.0, 0.25, 1.0)

        """
        if severity <= 0:
            return 0.0
        if severity >= 1:
            return 1.0
        place = severity * len(self.by_tenths)
        at = int(place)
        below = self.by_tenths[at - 1] if at else 0.0
        return below + (self.by_tenths[at] - below) * (place - at)


@of_trees
def felt_by(trees: Trees) -> Felt:
    """Return the spread before any outcome."""
    return Felt(load_doses(trees).felt)


def learned(outcomes: Iterable[Outcome], trees: Trees) -> Felt:
    """Return the spread with a shop's outcomes counted beside the common one.

    Parameters
    ----------
    outcomes
        One for each rider who came back, or was heard of.
    trees
        The knowledge with the common spread, which counts as many riders as it says.

    Examples
    --------
    >>> from advisor.knowledge.trees import authors
    >>> late = learned([Outcome(0.7, 1.0)] * 40, authors())
    >>> late.riders, late.share(0.5) < 0.25
    (40, True)

    """
    told = [one for one in outcomes if one.low < one.high]
    start = felt_by(trees)
    if not told:
        return start
    weight = load_doses(trees).felt_cases
    count = len(start.by_tenths)
    common = [share - below for share, below in zip(start.by_tenths, (0.0, *start.by_tenths[:-1]), strict=True)]
    shares = list(common)
    for _ in range(_ROUNDS):
        counts = [weight * one for one in common]
        for one in told:
            parts = [_within(one, place, count) * shares[place] for place in range(count)]
            total = sum(parts)
            if total > 0:
                counts = [had + part / total for had, part in zip(counts, parts, strict=True)]
        whole = sum(counts)
        shares = [had / whole for had in counts]
    return Felt(_summed(shares), start.riders + len(told))


def _within(one: Outcome, place: int, count: int) -> float:
    """Return the part of a tenth that lies within an outcome's ends."""
    low, high = place / count, (place + 1) / count
    return max(0.0, min(high, one.high) - max(low, one.low)) * count


def _summed(shares: Sequence[float]) -> tuple[float, ...]:
    total, found = 0.0, []
    for share in shares:
        total += share
        found.append(min(total, 1.0))
    found[-1] = 1.0
    return tuple(found)
