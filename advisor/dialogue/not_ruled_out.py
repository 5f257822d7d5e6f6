"""What to do where every suspect has been passed over, but not every one by facts.

Nothing found means that an answer was missing or wrong. So, in this order, each by the odds of its suspect:

1. A suspect for which an answer speaks, and that was passed over only for one answer before it: that one is doubted
   ("it eases with the straps off" against a heel seen lifting).
2. A suspect that was passed over for a "don't know": it is still possible.
3. A look that one doubtful answer kept from being made: it is asked for.
4. A "don't know" further up a line, such as signs that belong to a clinician.

What is found so is told as not ruled out, never as shown.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from typing import TYPE_CHECKING

from advisor.dialogue.lines import Line, Question
from advisor.graph.nodes import CLEARED, Ask, Check, Span

if TYPE_CHECKING:
    from advisor.geometry.measuring import Measured
    from advisor.graph.nodes import Check, Fact, Span

_AGAINST_ANSWER, _UNKNOWN, _ASKED_FOR, _UNKNOWN_BEFORE = 3, 2, 1, 0


def likeliest_left(
    lines: Sequence[Line],
    suppose: Callable[[Line, int, str], Line],
    options: Callable[[str], Sequence[str]],
    weak: Collection[str] = (),
    least_habit: float = 0.0,
) -> Line | None:
    """Return the likeliest line that facts do not rule out, found or with its question open; None without one.

    Parameters
    ----------
    lines
        Every suspect, followed as far as the facts reach.
    suppose
        Follows a line again from one of its steps, with an option taken for the fact that was asked there.
    options
        The options of a fact.
    weak
        Facts whose answer was hedged: it rules nothing out for good.
    least_habit
        The odds from which a habit that nobody could tell is named; what the bench can look at always is.

    """
    best: tuple[int, float, Line] | None = None
    for line in lines:
        if line.status != "cleared":
            continue
        for rank, led in _possible(line, suppose, options, weak):
            if rank == _UNKNOWN and line.suspect.odds < least_habit and not _looked_at(led):
                continue
            if best is None or (rank, line.suspect.odds) > best[:2]:
                best = rank, line.suspect.odds, led
    return best[2] if best else None


def doubted_fact(line: Line) -> str:
    """Return the fact whose answer was supposed on a line that `likeliest_left` gave."""
    return next(step.node.fact for step in line.steps if isinstance(step.node, Ask) and not step.sure)


def _possible(
    line: Line,
    suppose: Callable[[Line, int, str], Line],
    options: Callable[[str], Sequence[str]],
    weak: Collection[str] = (),
) -> Iterator[tuple[int, Line]]:
    """Yield what a line would lead to if one answer on it were another, with how much speaks for that."""
    for at, step in enumerate(line.steps):
        if not isinstance(step.node, Ask) or step.moot:
            continue
        last = at == len(line.steps) - 1
        for option in options(step.node.fact):
            if option == step.answer or not (last or step.answer is None):
                continue
            led = suppose(line, at, option)
            doubted = led._replace(steps=(*led.steps[:at], led.steps[at]._replace(sure=False), *led.steps[at + 1 :]))
            if led.status == "found" and led.cause and last:
                if any(isinstance(one.node, Ask) and one.answer is not None for one in led.steps[at + 1 :]):
                    yield _AGAINST_ANSWER, doubted
                elif step.answer is None or step.node.fact in weak:
                    yield _UNKNOWN, doubted
            elif led.status == "open" and last and step.answer is not None:
                yield _ASKED_FOR, doubted
            elif led.status in {"found", "open"} and step.answer is None and not last and _at_once(led, at):
                yield _UNKNOWN_BEFORE, doubted


def _looked_at(line: Line) -> bool:
    """Return whether what nobody could tell is a look at the bench, and no question about the rider's ways."""
    return next(step.node.look for step in line.steps if isinstance(step.node, Ask) and not step.sure)


def _at_once(line: Line, at: int) -> bool:
    """Return whether nothing that is known lies between a step and where the line ends."""
    return not any(one.sure for one in line.steps[at + 1 :])


def number_to_measure(
    lines: Sequence[Line],
    sharper: Callable[[Measured], Sequence[tuple[Fact, float]]],
    spans: Callable[[Check], Sequence[Span]],
) -> Question | None:
    """Return the question for a number that was only assumed, and that could bring up a suspect if it is unusual.

    A usual value with its usual ± clears a suspect; where nothing else is found, twice that ± is believed.

    Parameters
    ----------
    lines
        Every suspect, followed as far as the facts reach.
    sharper
        The facts that would take the place of what a measure assumes, with what each does to its value.
    spans
        The ranges of a check's branches for this rider.

    """
    best: tuple[float, Question] | None = None
    for line in lines:
        last = line.steps[-1] if line.steps else None
        if line.status != "cleared" or last is None or not isinstance(last.node, Check):
            continue
        for one in last.measured:
            for fact, effect in sharper(one):
                low, high = one.value - 2 * effect, one.value + 2 * effect
                reached = [span for span in spans(last.node) if span.low < high and low < span.high]
                if all(span.go == CLEARED for span in reached):
                    continue
                if best is None or line.suspect.odds > best[0]:
                    question = Question(fact, last.node, line.suspect, (), (one,), minutes=fact.minutes)
                    best = line.suspect.odds, question
    return best[1] if best else None
