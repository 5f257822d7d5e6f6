"""A random walker of the graph alone: takes any branch at every node, so that with enough walks it sees every one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from random import Random

from advisor.graph.nodes import CLEARED, Ask, Cause, Check, Entry, Fact
from advisor.graph.proof.subject import ENDS, ways_on

__all__ = ["Walked", "never_seen", "walk_at_random"]

_UNKNOWN = 0.1
"""How often a check's number cannot be told, which leaves the suspect unchecked."""

_CLEARING = (0.0, 0.0, 0.5, 1.0)
"""How often a walk clears a suspect where it can; some walks always do, so that they come to what is left."""


@dataclass
class Walked:
    """What random walks of one entry came by.

    Parameters
    ----------
    visits
        How often each node was come to.
    questions
        Questions asked in each walk, over all the suspects that it took.
    causes
        How often each cause was shown.
    nothing
        How many walks showed no suspect.

    """

    visits: Counter[str] = field(default_factory=Counter)
    questions: list[int] = field(default_factory=list)
    causes: Counter[str] = field(default_factory=Counter)
    nothing: int = 0


def walk_at_random(entry: Entry, facts: dict[str, Fact], walks: int, random: Random) -> Walked:
    """Walk an entry at random: suspects in any order, one branch in so many at each node, answers kept within a walk.

    Parameters
    ----------
    entry
        With its parts; proven to have no circle.
    facts
        For the answers.
    walks
        How many.
    random
        Seeded by the caller, so that the same walks can be had again.

    """
    found = Walked()
    for _ in range(walks):
        clearing = random.choice(_CLEARING)
        answers: dict[str, str | None] = {}
        suspects = list(entry.suspects)
        random.shuffle(suspects)
        if not any(_follow(entry, suspect.start, facts, answers, found, random, clearing) for suspect in suspects):
            found.nothing += 1
            _follow(entry, entry.nothing_left, facts, answers, found, random, clearing)
        found.questions.append(len(answers))
    return found


def _follow(
    entry: Entry,
    place: str,
    facts: dict[str, Fact],
    answers: dict[str, str | None],
    found: Walked,
    random: Random,
    clearing: float,
) -> bool:
    """Follow one line; return whether it came to an end, rather than to `cleared` or to a number nobody can tell."""
    while place != CLEARED:
        node = entry.nodes[place]
        found.visits[place] += 1
        ways = [way.to for way in ways_on(node)]
        if isinstance(node, Cause):
            found.causes[node.cause] += 1
        if isinstance(node, Check) and random.random() < _UNKNOWN:
            return False
        if isinstance(node, ENDS) and (not ways or random.random() < 0.5):
            return True
        cleared = CLEARED in ways and random.random() < clearing
        if isinstance(node, Ask):
            if node.fact not in answers:
                answers[node.fact] = _answer(node, facts[node.fact], random, cleared)
            told = answers[node.fact]
            place = next((choice.go for choice in node.choices if told in choice.answers), node.unsure)
        else:
            place = CLEARED if cleared else random.choice(ways)
    return False


def _answer(node: Ask, fact: Fact, random: Random, cleared: bool) -> str | None:
    """Return any answer, or one that clears the suspect."""
    if not cleared:
        return random.choice((None, *fact.options))
    clearing: list[str | None] = [
        answer for choice in node.choices if choice.go == CLEARED for answer in choice.answers
    ]
    return random.choice(clearing + [None] * (node.unsure == CLEARED))


def never_seen(entry: Entry, seen: Iterable[str]) -> tuple[str, ...]:
    """Return the nodes of an entry that no walk came to, in the order in which they are written."""
    came = set(seen)
    return tuple(name for name in entry.nodes if name not in came)
