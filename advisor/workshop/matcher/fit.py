"""Fitting: phrases to a sparse matrix, a softmax regression on it, and its whole-number form."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy.sparse as sparse  # type: ignore[import-untyped]
from scipy.optimize import minimize  # type: ignore[import-untyped]

from advisor.match.features import Spoken

KIND_WEIGHTS = {
    "w": 1.0,
    "b": 1.0,
    "s": 0.7,
    "c": 1.0,
    "d": 0.7,
    "n": 0.7,
    "m": 0.7,
    "r": 1.0,
    "t": 1.0,
    "g": 0.35,
    "q": 0.7,
    "u": 0.7,
    "f": 0.5,
}
"""How much each kind of feature counts before fitting; chosen by held-out parts of the phrases."""

LEAST_TEXTS = 2
PENALTY = 0.03
ROUNDS = 70


@dataclass(slots=True)
class Space:
    """The features kept, their places, and their weights (kind weight times rarity)."""

    places: dict[str, int]
    weights: Any

    @classmethod
    def of(cls, spoken: Sequence[Spoken]) -> Space:
        """Keep the features that stand in at least two texts."""
        counts = Counter(name for one in spoken for name in one)
        names = sorted(name for name, count in counts.items() if count >= LEAST_TEXTS)
        rarity = [KIND_WEIGHTS[name[0]] * (np.log((1 + len(spoken)) / (1 + counts[name])) + 1) for name in names]
        return cls({name: place for place, name in enumerate(names)}, np.array(rarity))

    def matrix(self, spoken: Sequence[Spoken]) -> Any:
        """Return one row a text, each of length 1."""
        ends: list[int] = [0]
        columns: list[int] = []
        for one in spoken:
            columns.extend(self.places[name] for name in one if name in self.places)
            ends.append(len(columns))
        values = self.weights[columns] if columns else np.zeros(0)
        rows = sparse.csr_matrix((values, columns, ends), shape=(len(spoken), len(self.places)))
        lengths = np.sqrt(np.asarray(rows.multiply(rows).sum(axis=1)).ravel())
        return sparse.diags(1 / np.maximum(lengths, 1e-9)) @ rows


@dataclass(slots=True)
class Linear:
    """A softmax regression: logits = x weights + bias."""

    weights: Any
    bias: Any

    def logits(self, matrix: Any) -> Any:
        """Return the logits of every row."""
        return matrix @ self.weights + self.bias


def fit_linear(matrix: Any, targets: Any, penalty: float = PENALTY) -> Linear:
    """Fit a softmax regression by L-BFGS.

    Parameters
    ----------
    matrix
        Texts by features.
    targets
        Texts by classes: the share of each class; rows sum to 1.
    penalty
        Weight of the sum of squares.

    """
    _, width = matrix.shape
    classes = targets.shape[1]
    turned = matrix.T.tocsr()

    def loss(flat: Any) -> tuple[float, Any]:
        weights = flat[: width * classes].reshape(width, classes)
        logits = matrix @ weights + flat[width * classes :]
        logits -= logits.max(axis=1, keepdims=True)
        powers = np.exp(logits)
        sums = powers.sum(axis=1, keepdims=True)
        value = -(targets * (logits - np.log(sums))).sum() + 0.5 * penalty * (weights * weights).sum()
        slope = powers / sums - targets
        return value, np.concatenate([(turned @ slope + penalty * weights).ravel(), slope.sum(axis=0)])

    start = np.zeros(width * classes + classes)
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": ROUNDS, "maxcor": 8})
    return Linear(found.x[: width * classes].reshape(width, classes), found.x[width * classes :])
