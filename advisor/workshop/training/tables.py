"""The data files of `trees/training`, and draws from the ranges that they give."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from random import Random
from typing import Any

from advisor.knowledge.tables import entry_fault, load_table


@cache
def training_table(name: str) -> dict[str, Any]:
    """Return one file of `trees/training`.

    Raises
    ------
    KnowledgeError
        When it is missing or no mapping.

    """
    return load_table(f"training/{name}.yaml")


def drawn(random: Random, given: Any, place: str = "") -> float:
    """Return a figure drawn from a range `[least, most]`, a cut-off normal figure, or a plain number as it is.

    Raises
    ------
    KnowledgeError
        When it is none of these.

    """
    if isinstance(given, int | float):
        return float(given)
    if isinstance(given, list) and len(given) == 2:
        return random.uniform(float(given[0]), float(given[1]))
    if isinstance(given, dict) and {"mean", "sd", "least", "most"} <= set(given):
        while True:
            value = random.gauss(given["mean"], given["sd"])
            if given["least"] <= value <= given["most"]:
                return value
    words = "expected a number, [least, most], or mean, sd, least and most"
    raise entry_fault("training", place or repr(given), words)


def chosen(random: Random, shares: Mapping[str, float]) -> str:
    """Return one of some names, each as often as its share."""
    return random.choices(list(shares), list(shares.values()))[0]
