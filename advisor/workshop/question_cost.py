"""How much asking an entry costs: the best order of suspects, the expected and the worst number of questions.

With one fault among n suspects, each found at odds p for a cost C, the expected cost of finding it is least when the
suspects are taken by falling p / C (Kadane & Simon 1977). It holds for one fault and actions that do not depend on each
other; questions that several suspects share make it an approximation, which is why shared facts are counted once here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from advisor.graph.nodes import CLEARED, Ask, Entry, Fact
from advisor.workshop.proof.subject import ENDS, ways_on

_MOST_LINES = 4000


def expected_cost(parts: Sequence[tuple[float, float]]) -> float:
    """Return the expected cost of repair of suspects taken in this order.

    Parameters
    ----------
    parts
        Probability and cost of each; the probabilities add up to 1.

    Returns
    -------
    float
        Sum of each cost times the probability that it has to be paid, in the costs' unit.

    Examples
    --------
    >>> round(expected_cost([(0.2, 1), (0.3, 3), (0.5, 10)]), 6)
    8.4

    """
    total = gone = 0.0
    for odds, cost in parts:
        total += cost * (1 - gone)
        gone += odds
    return total


def best_order(parts: Sequence[tuple[float, float]]) -> list[int]:
    """Return the places of suspects by falling probability over cost; what costs nothing comes first.

    Examples
    --------
    >>> best_order([(0.5, 10), (0.3, 3), (0.2, 1)])
    [2, 1, 0]

    """
    return sorted(range(len(parts)), key=lambda i: -parts[i][0] / parts[i][1] if parts[i][1] > 0 else float("-inf"))


@dataclass(frozen=True, slots=True)
class Effort:
    """What an entry asks of tech and rider when the sheet answers every check.

    Parameters
    ----------
    nodes, longest
        Number of nodes with its parts, and of nodes on its longest walk.
    expected, worst
        Number of questions until the walk ends: on average over the suspects' odds, and at most.
    minutes
        Expected bench time of the questions in the best order [min].

    """

    nodes: int
    longest: int
    expected: float
    worst: int
    minutes: float


@dataclass(frozen=True, slots=True)
class _Line:
    """One way through a suspect's nodes: the facts asked on it in turn, whether it is cleared, and its nodes."""

    asked: tuple[str, ...]
    cleared: bool
    nodes: int


def _lines(entry: Entry, start: str) -> list[_Line]:
    """Return every way from a node to its first end or to `cleared`, at most so many."""
    found: list[_Line] = []
    waiting: list[tuple[str, tuple[str, ...], tuple[str, ...]]] = [(start, (), ())]
    while waiting and len(found) < _MOST_LINES:
        place, asked, path = waiting.pop()
        node = entry.nodes.get(place)
        if node is None or place in path or isinstance(node, ENDS):
            found.append(_Line(asked, place == CLEARED or place in path, len(path) + (node is not None)))
            continue
        if isinstance(node, Ask) and node.fact not in asked:
            asked = (*asked, node.fact)
        waiting += [(way.to, asked, (*path, place)) for way in ways_on(node)]
    return found


def effort(entry: Entry, facts: dict[str, Fact]) -> Effort:
    """Work out an entry's effort.

    Parameters
    ----------
    entry
        With its parts.
    facts
        For the minutes that each costs.

    Notes
    -----
    Every way through a suspect counts the same, for nothing is known of how often a check falls into which branch. A
    suspect that needs no question is decided before anything is asked, as the walk does it.

    """
    lines = [_lines(entry, suspect.start) for suspect in entry.suspects]
    longest = max(line.nodes for one in lines for line in one)
    firsts = [_first_minutes(one, facts) for one in lines]
    order = best_order([(suspect.odds, cost) for suspect, cost in zip(entry.suspects, firsts, strict=True)])
    expected = minutes = 0.0
    known: set[str] = set()
    worst_before = 0
    worst = 0
    before = before_minutes = 0.0
    for place in order:
        odds = entry.suspects[place].odds
        hits = [line for line in lines[place] if not line.cleared] or lines[place]
        misses = [line for line in lines[place] if line.cleared] or lines[place]
        expected += odds * (before + _mean(hits, known))
        minutes += odds * (before_minutes + _mean_minutes(hits, known, facts))
        worst = max(worst, worst_before + max((_new(line, known) for line in hits), default=0))
        before += _mean(misses, known)
        before_minutes += _mean_minutes(misses, known, facts)
        longest_miss = max(misses, key=lambda line: _new(line, known))
        worst_before += _new(longest_miss, known)
        known |= set(longest_miss.asked)
    return Effort(len(entry.nodes), longest, expected, max(worst, worst_before), minutes)


def _first_minutes(lines: Sequence[_Line], facts: dict[str, Fact]) -> float:
    asked = [line.asked[0] for line in lines if line.asked]
    return sum(facts[name].minutes for name in asked if name in facts) / len(asked) if asked else 0.0


def _asked(line: _Line, known: set[str]) -> Iterator[str]:
    return (fact for fact in line.asked if fact not in known)


def _new(line: _Line, known: set[str]) -> int:
    return sum(1 for _ in _asked(line, known))


def _mean(lines: Sequence[_Line], known: set[str]) -> float:
    return sum(_new(line, known) for line in lines) / len(lines)


def _mean_minutes(lines: Sequence[_Line], known: set[str], facts: dict[str, Fact]) -> float:
    return sum(facts[name].minutes for line in lines for name in _asked(line, known)) / len(lines)
