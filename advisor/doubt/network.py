"""Numbers that follow from one another with a spread, as one joint normal distribution.

Lines are walked in order, so each takes only what stands before it. Of a line x = sum(b y) + plus + sd e the covariance
with an earlier z is sum(b cov(y, z)), and its variance sum(b cov(x, y)) + sd^2. Then the usual conditional normal.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

from advisor.doubt.tables import Line


@dataclass(frozen=True, slots=True)
class Odd:
    """One number against all others.

    Parameters
    ----------
    field
        The sheet's field, or `label_mm`.
    far
        How many sd it lies from what the others make it.
    expected, sd
        What they make it, in the field's unit; of a logarithm the sd is that of the value nearby.

    """

    field: str
    far: float
    expected: float
    sd: float


class Joint:
    """A joint normal distribution over the fields of some lines."""

    def __init__(self, lines: Sequence[Line]) -> None:
        self.lines = {line.field: line for line in lines}
        self.order = [line.field for line in lines]
        self.mean: dict[str, float] = {}
        self.cov: dict[tuple[str, str], float] = {}
        for line in lines:
            self._add(line)

    def _add(self, line: Line) -> None:
        self.mean[line.field] = line.plus + sum(times * self.mean[taken] for taken, times in line.takes.items())
        for other in self.mean:
            if other != line.field:
                shared = sum(times * self.cov[taken, other] for taken, times in line.takes.items())
                self.cov[line.field, other] = self.cov[other, line.field] = shared
        own = sum(times * self.cov[line.field, taken] for taken, times in line.takes.items())
        self.cov[line.field, line.field] = own + line.sd**2

    def odd(self, values: Mapping[str, float], spreads: Mapping[str, float]) -> list[Odd]:
        """Return how odd each known number is given the other known ones, the oddest first.

        Parameters
        ----------
        values
            By field, in its unit; only those that the lines name count.
        spreads
            How far off a reading may be (one sd), same units; 0 where missing.

        """
        known = [path for path in self.order if path in values]
        if len(known) < 2:
            return []
        y = [self._in(path, values[path]) - self.mean[path] for path in known]
        inverse = _inverse([[self._entry(a, b, values, spreads) for b in known] for a in known])
        pulled = [sum(k * v for k, v in zip(row, y, strict=True)) for row in inverse]
        found = []
        for place, path in enumerate(known):
            precision = inverse[place][place]
            gap = pulled[place] / precision
            expected = self._out(path, self._in(path, values[path]) - gap)
            sd = 1 / sqrt(precision)
            found.append(Odd(path, gap / sd, expected, expected * sd if self.lines[path].log else sd))
        return sorted(found, key=lambda one: abs(one.far), reverse=True)

    def _entry(self, one: str, other: str, values: Mapping[str, float], spreads: Mapping[str, float]) -> float:
        spread = spreads.get(one, 0.0)
        if self.lines[one].log:
            spread /= values[one]
        return self.cov[one, other] + (spread**2 if one == other else 0.0)

    def _in(self, path: str, value: float) -> float:
        return log(value) if self.lines[path].log else value

    def _out(self, path: str, value: float) -> float:
        return exp(value) if self.lines[path].log else value


def _inverse(matrix: list[list[float]]) -> list[list[float]]:
    """Return the inverse of a small symmetric positive definite matrix, by elimination."""
    size = len(matrix)
    rows = [[*row, *(1.0 if i == j else 0.0 for j in range(size))] for i, row in enumerate(matrix)]
    for i in range(size):
        pivot = rows[i][i]
        rows[i] = [value / pivot for value in rows[i]]
        for j in range(size):
            if j != i and rows[j][i]:
                factor = rows[j][i]
                rows[j] = [a - factor * b for a, b in zip(rows[j], rows[i], strict=True)]
    return [row[size:] for row in rows]
