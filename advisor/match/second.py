"""A second complaint in the same text: another clause that speaks clearly for another entry."""

from __future__ import annotations

from collections.abc import Sequence

_WHOLE = 0.15


def second_complaint(
    whole: Sequence[float], clauses: Sequence[Sequence[float]], first: int, out: int
) -> tuple[int, float]:
    """Return the class most likely told besides the first, and how clearly [0..1].

    A clause counts by its share for another class than the first, times the share of the first in another clause, a
    little more the larger the other class's share in the whole text is.

    Parameters
    ----------
    whole
        Shares of the classes in the whole text.
    clauses
        The same for each clause.
    first
        The class taken for the whole text.
    out
        The class of what is none of ours.

    Returns
    -------
    tuple
        Class and clearness; (first, 0.0) when there is none.

    Examples
    --------
    >>> second_complaint([0.5, 0.4, 0.1], [[0.9, 0.05, 0.05], [0.1, 0.8, 0.1]], 0, 2)[0]
    1

    """
    best, clearness = first, 0.0
    if len(clauses) < 2:
        return best, clearness
    for place, one in enumerate(clauses):
        other = max((n for n in range(len(one)) if n not in (out, first)), key=lambda n: one[n])
        if one[other] <= one[first]:
            continue
        support = max(shares[first] for number, shares in enumerate(clauses) if number != place)
        value = one[other] * support * min(1.0, whole[other] / max(whole[first], 1e-9)) ** _WHOLE
        if value > clearness:
            best, clearness = other, value
    return best, clearness
