"""The fitted weights as whole numbers of one byte."""

from __future__ import annotations

from typing import Any

import numpy as np

from advisor.match.features import common_word
from advisor.workshop.matcher.fit import Linear, Space
from advisor.workshop.matcher.meanings_of_words import WordVectors

__all__ = ["packed_rows", "whole_numbers"]


def whole_numbers(weights: Any, shares: Any) -> tuple[Any, float, float]:
    """Turn rows of weights into bytes: each row has its own multiplier of one common step."""
    tops = np.abs(weights).max(axis=1)
    step = float(tops.max()) / 127 / 255
    times = np.clip(np.ceil(tops / 127 / step), 1, 255)
    lanes = np.clip(np.rint(weights / (times * step)[:, None]), -127, 127) + 128
    share_step = float(shares.max()) / 255
    parts = np.clip(np.rint(shares / share_step), 0, 255)
    return np.hstack([lanes, times[:, None], parts[:, None]]).astype(np.uint8), step, share_step


def packed_rows(
    space: Space, vectors: WordVectors, linear: Linear, meaning_weight: float
) -> tuple[dict[str, Any], dict[str, float]]:
    """Return feature to bytes, and the steps that undo the rounding.

    Parameters
    ----------
    space, vectors, linear
        What was fitted.
    meaning_weight
        What the word vectors were multiplied by before fitting.

    """
    width = len(space.places)
    centred = linear.weights - linear.weights.mean(axis=1, keepdims=True)
    spoken, step, share_step = whole_numbers(centred[:width] * space.weights[:, None], space.weights**2)
    by_word = vectors.vectors @ centred[width:] * meaning_weight * vectors.weights[:, None]
    meant, meaning_step, meaning_share_step = whole_numbers(by_word, vectors.weights**2)
    rows: dict[str, Any] = {name: spoken[place].tolist() for name, place in space.places.items()}
    rows |= {common_word(word): meant[place].tolist() for word, place in vectors.places.items()}
    return rows, {
        "step": step,
        "share_step": share_step,
        "meaning_step": meaning_step,
        "meaning_share_step": meaning_share_step,
    }
