"""The branches of a check cover every number once: no gap, no overlap, ends equal to the last bit."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from advisor.graph.nodes import Check, Span
from advisor.graph.window_branches import spans_of
from advisor.knowledge.fault import Fault
from advisor.solve.window_states import STATES, regions
from advisor.solve.windows import Interval, Window, ordinary_rider
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Spot, Subject


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            if not isinstance(node, Check):
                continue
            spots = [subject.at(entry, name, "branches", i) for i in range(len(node.branches))]
            each = _for_each_style(subject, node)
            told = dict.fromkeys(fault for spans in each for fault in _of_ranges(node, spans, spots))
            yield from told or _of_states(subject, node, spots)


def _for_each_style(subject: Subject, node: Check) -> Iterator[tuple[Span, ...]]:
    """Yield a check's ranges for riders of each riding style that has a window of its own."""
    yield node.spans
    if node.by_window and not node.style:
        windows = subject.windows
        for style in windows.styles(node.measure):
            yield spans_of(node.branches, windows.window(node.measure, ordinary_rider(subject.trees), style))


def _of_states(subject: Subject, node: Check, spots: list[Spot]) -> Iterator[Fault]:
    """Yield where a state has no branch that today's window does not have: it may be corrected tomorrow."""
    if not node.by_window:
        return
    wide = Window(Interval(-1e6, 1e6), Interval(-2e6, 2e6), None, 1, 1, "", "")
    taken = {
        state
        for state, (low, high) in regions(wide).items()
        for span in spans_of(node.branches, wide)
        if span.low <= (max(low, -3e6) + min(high, 3e6)) / 2 < span.high
    }
    window = subject.windows.window(node.measure, ordinary_rider(subject.trees), node.style)
    open_below = window is not None and window.good.low > -inf
    open_above = window is not None and window.good.high < inf
    for state in STATES:
        side = ("below" in state and open_below) or ("above" in state and open_above) or state == "good"
        if side and state not in taken:
            words = f"what of a {node.measure} that is {state} of its window? No branch takes it"
            yield spots[-1].fault(f"{words}; name it in 'is'")


def _of_ranges(node: Check, spans: tuple[Span, ...], spots: list[Spot]) -> Iterator[Fault]:
    order = sorted(spans, key=lambda span: (span.low, span.high))
    if not order:
        yield spots[0].fault(
            f"where does a {node.measure} go? trees/windows.yaml has no window for it to be looked up in"
        )
        return
    first, last = order[0], max(order, key=lambda span: span.high)
    if first.low != -inf:
        words = f"what of a {node.measure} below {_end(first.low)}? No branch takes it; leave 'from' out of the lowest"
        yield spots[first.branch].fault(words)
    if last.high != inf:
        words = (
            f"what of a {node.measure} from {_end(last.high)} on? No branch takes it; leave 'below' out of the highest"
        )
        yield spots[last.branch].fault(words)
    before = first
    for span in order[1:]:
        here, other = spots[span.branch], spots[before.branch].beside(spots[span.branch])
        if span.low > before.high:
            words = f"what of a {node.measure} from {_end(before.high)} to {_end(span.low)}?"
            yield here.fault(f"{words} Neither this branch nor {other} takes it; make both ends equal")
        elif span.low < before.high:
            upper = min(before.high, span.high)
            words = (
                f"which branch takes a {node.measure} from {_end(span.low)} to {_end(upper)}? This one and {other} do"
            )
            yield here.fault(f"{words}; make both ends equal")
        if span.high > before.high:
            before = span


def _end(number: float) -> str:
    """Return a range's end in words: a window's as it stands there, a number to the last bit."""
    near = round(number, 6)
    return repr(near if near != number and abs(near - number) < 3e-9 and abs(near - number) > 1e-10 else number)


RULE = Rule(7, "Do the branches of every check cover all numbers, without overlap?", _check)
