"""The judge: a linear model beside the rules, for signs told in words that no list has.

It reads the rules' own finds beside the words, and gives each class a share. Where it is sure, its word counts; in
between, one question is asked.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from math import exp, sqrt
from typing import Any, NamedTuple

from advisor.match.model_file import Rows, load

__all__ = ["FILE", "Judge", "Judged", "load_judge"]

FILE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "model.bin")  # noqa: PTH100, PTH118, PTH120 - pathlib costs start-up


class Judged(NamedTuple):
    """What a line was judged to be: the likeliest kind of sign, the share [0 to 1] of any sign, and of each kind."""

    level: str
    share: float
    shares: Mapping[str, float]


class Judge:
    """Judges lines by their features; made from a model file."""

    def __init__(self, header: Mapping[str, Any], rows: Rows) -> None:
        self._classes: tuple[str, ...] = tuple(header["classes"])
        self._step, self._share_step = float(header["step"]), float(header["share_step"])
        self._bias = [float(one) for one in header["bias"]]
        self.limits: Mapping[str, float] = header["limits"]
        self.sure: frozenset[str] = frozenset(header["sure"])
        self._rows = rows

    def judge(self, pieces: Iterable[set[str]]) -> Judged:
        """Return the gravest judgement of a line's pieces."""
        return max((self._one(piece) for piece in pieces), key=lambda one: one.share)

    def _one(self, piece: set[str]) -> Judged:
        rows = self._rows
        found = [row for row in map(rows.find, piece) if row >= 0]
        totals, shares = rows.total(found)
        length = sqrt(shares * self._share_step) or 1.0
        logits = [
            total * self._step / length + bias for total, bias in zip(totals, self._bias, strict=True)
        ]  # fmt: skip
        top = max(logits)
        powers = [exp(one - top) for one in logits]
        whole = sum(powers)
        by_class = {name: power / whole for name, power in zip(self._classes, powers, strict=True)}
        level = max((name for name in self._classes if name != "none"), key=by_class.__getitem__)
        return Judged(level, 1 - by_class["none"], by_class)


def load_judge(file: str = FILE) -> Judge:
    """Load the judge.

    Raises
    ------
    KnowledgeError
        When its file is missing or is none of ours.

    """
    return Judge(*load(file, "python -m advisor.workshop.signs.train"))
