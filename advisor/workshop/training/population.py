"""Riders' bodies, drawn from the published figures of a population with their correlations.

A body is z = L e with independent standard normal e and L L' the correlation matrix (Cholesky), then mean + sd z for
each figure. A body with any figure beyond `most_sd` standard deviations is drawn again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from math import sqrt
from random import Random

from advisor.errors import KnowledgeError
from advisor.knowledge_home import trees_dir

_FILE = "training/population.json"


@dataclass(frozen=True)
class Figures:
    """One sex's figures.

    Parameters
    ----------
    columns
        Names, with their units.
    mean, sd
        In the column's unit.
    lower
        The lower triangle L of the correlation matrix.

    """

    columns: tuple[str, ...]
    mean: tuple[float, ...]
    sd: tuple[float, ...]
    lower: tuple[tuple[float, ...], ...]


@cache
def load_figures() -> Mapping[str, Figures]:
    """Return the figures of `trees/training/population.json`, by sex.

    Raises
    ------
    KnowledgeError
        When the file is missing or its matrix is none of correlations.

    """
    import json

    try:
        table = json.loads((trees_dir() / _FILE).read_text(encoding="utf-8"))
        columns = tuple(table["columns"])
        return {
            sex: Figures(columns, tuple(table[sex]["mean"]), tuple(table[sex]["sd"]), _lower(table[sex]["corr"]))
            for sex in ("male", "female")
        }
    except (OSError, KeyError, ValueError, TypeError) as error:
        raise KnowledgeError(
            f"trees/{_FILE}: expected columns and, for male and female, mean, sd and a matrix corr ({error})"
        ) from None


def _lower(corr: Sequence[Sequence[float]]) -> tuple[tuple[float, ...], ...]:
    """Return the lower triangle L with L L' = corr."""
    rows: list[list[float]] = []
    for i, given in enumerate(corr):
        row: list[float] = []
        for j in range(i + 1):
            rest = given[j] - sum(a * b for a, b in zip(row, rows[j] if j < i else row, strict=False))
            if i != j:
                row.append(rest / rows[j][j])
            elif rest > 0:
                row.append(sqrt(rest))
            else:
                raise ValueError(f"row {i + 1} of corr follows from the rows before it")
        rows.append(row)
    return tuple(map(tuple, rows))


def draw_body(random: Random, sex: str, most_sd: float) -> dict[str, float]:
    """Return one body by column.

    Parameters
    ----------
    random
        Seeded by the caller.
    sex
        `male` or `female`.
    most_sd
        Figures further than this from the mean, in standard deviations, are drawn again.

    """
    figures = load_figures()[sex]
    while True:
        free = [random.gauss(0, 1) for _ in figures.columns]
        bound = [sum(a * b for a, b in zip(row, free, strict=False)) for row in figures.lower]
        if all(abs(z) <= most_sd for z in bound):
            return {
                name: mean + sd * z
                for name, mean, sd, z in zip(figures.columns, figures.mean, figures.sd, bound, strict=True)
            }
