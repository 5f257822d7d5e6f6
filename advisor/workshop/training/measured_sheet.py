"""What the tech's sheet says of a true set-up: readings off by what a ruler gives, and fields left blank."""

from __future__ import annotations

from random import Random

from advisor.knowledge.trees import authors
from advisor.sheet.estimates import load_estimates
from advisor.sheet.sheet import Leaf, LeafValue, Sheet
from advisor.workshop.training.tables import training_table


def seen_sheet(true: Sheet, ruler: float, blank: float, random: Random) -> Sheet:
    """Return the sheet that a tech would have written.

    Parameters
    ----------
    true
        As it truly is.
    ruler
        How far readings are off: 0 not at all, 1 by normal errors whose two standard deviations are the ± that
        `trees/estimates.yaml` gives for the field.
    blank
        Share of the fields that a shop often leaves blank (`left_blank` in `trees/training/answers.yaml`).
    random
        Seeded by the caller.

    """
    if not ruler and not blank:
        return true
    errors = load_estimates(authors()).reading_error
    may_be_blank = set(training_table("answers")["left_blank"])
    leaves = {}
    for path, leaf in true.leaves.items():
        off, missing = random.gauss(0, 1), random.random()
        if path in may_be_blank and missing < blank:
            continue
        half = errors.get(path, 0.0)
        leaves[path] = Leaf(off_by_ruler(leaf.value, half * ruler, off)) if half and ruler else leaf
    return Sheet(true.name, leaves)


def off_by_ruler(value: LeafValue, half_mm: float, off: float) -> LeafValue:
    """Return a reading that is off by `off` standard errors, each half of its ±, read to a tenth."""
    if isinstance(value, bool | str | tuple):
        return value
    return round(float(value) + off * half_mm / 2, 1)
