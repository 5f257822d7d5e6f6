"""The branches of a check, and the bounds of an aim, as numbers: what they say of a window is looked up in it."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from advisor.graph.nodes import AimTarget, Branch, Check, Edge, Span
from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.sheet.setup import Setup
from advisor.solve.window_states import ranges_of
from advisor.solve.windows import Window, load_windows


def spans_of(branches: Sequence[Branch], window: Window | None) -> tuple[Span, ...]:
    """Return the ranges of all branches, in their order; a state that the window does not have has none.

    Parameters
    ----------
    branches
        As written.
    window
        The measure's window; without one a branch that names its states has no range.

    """
    found = []
    for place, branch in enumerate(branches):
        ranges = [(-inf, inf)] if not branch.states else list(ranges_of(branch.states, window)) if window else []
        for low, high in ranges:
            span = Span(max(low, branch.low), min(high, branch.high), branch.go, place)
            if span.low < span.high:
                found.append(span)
    return tuple(found)


def spans_at(check: Check, setup: Setup, trees: Trees) -> tuple[Span, ...]:
    """Return the ranges of a check's branches for one rider."""
    if not check.by_window:
        return check.spans
    return spans_of(check.branches, load_windows(trees).window(check.measure, setup, check.style))


def bounds_of(target: AimTarget, key: str, known: Known) -> tuple[float | None, float | None]:
    """Return the bounds of an aim for one rider; None for an end that is not bounded.

    Parameters
    ----------
    target
        As written.
    key
        The measure or field at its foot.
    known
        The rider's.

    """
    low, high = target.low, target.high
    style_alone = bool(target.style) and low is None and high is None
    if not (isinstance(low, str) or isinstance(high, str) or style_alone):
        return low, high
    window = load_windows(known.trees).window(key, known.setup, target.style)
    if style_alone:
        low = high = "good"
    return (_end(low, window, 0), _end(high, window, 1))


def _end(end: float | Edge | None, window: Window | None, which: int) -> float | None:
    if not isinstance(end, str):
        return end
    if window is None:
        return None
    interval = window.good if end == "good" else window.close
    found = (interval.low, interval.high)[which]
    return None if abs(found) == inf else found
