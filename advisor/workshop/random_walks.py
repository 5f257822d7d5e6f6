"""A random walker of the graph alone: takes any branch at every node, so that with enough walks it sees every one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from random import Random

from advisor.graph.nodes import CLEARED, Ask, Cause, Check, Entry, Fact
from advisor.workshop.proof.subject import ENDS, ways_on

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
    """Walk an entry at random: suspects in any order, any branch at each node, answers kept within a walk.

    Every other walk is curious: where it can, it takes a way to a node that no walk has come to yet.

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
    walker = _Walker(entry, facts, random)
    for _ in range(walks):
        walker.walk()
    return walker.found


class _Walker:
    """Walks one entry, and remembers what it came by."""

    def __init__(self, entry: Entry, facts: dict[str, Fact], random: Random) -> None:
        self.entry = entry
        self.facts = facts
        self.random = random
        self.found = Walked()
        self.curious = False
        self.clearing = 0.0
        self.answers: dict[str, str | None] = {}

    def walk(self) -> None:
        """Make one walk."""
        self.curious = self.random.random() < 0.5
        self.clearing = self.random.choice(_CLEARING)
        self.answers = {}
        suspects = list(self.entry.suspects)
        self.random.shuffle(suspects)
        if self.curious:
            suspects.sort(key=lambda suspect: not self._leads_to_new(suspect.start))
        if not any(self._follow(suspect.start) for suspect in suspects):
            self.found.nothing += 1
            self._follow(self.entry.nothing_left)
        self.found.questions.append(len(self.answers))

    def _follow(self, place: str) -> bool:
        """Follow one line; return whether it came to an end, not to `cleared` or to a number nobody can tell."""
        while place != CLEARED:
            node = self.entry.nodes[place]
            self.found.visits[place] += 1
            ways = [way.to for way in ways_on(node)]
            if isinstance(node, Cause):
                self.found.causes[node.cause] += 1
            if isinstance(node, Check) and not node.unknown and self.random.random() < _UNKNOWN:
                return False
            if isinstance(node, ENDS) and (not ways or self.random.random() < 0.5):
                return True
            if isinstance(node, Ask):
                if node.fact not in self.answers:
                    self.answers[node.fact] = self._answer(node)
                told = self.answers[node.fact]
                place = next((choice.go for choice in node.choices if told in choice.answers), node.unsure)
            else:
                place = self._chosen(ways)
        return False

    def _answer(self, node: Ask) -> str | None:
        options: list[str | None] = [None, *self.facts[node.fact].options]
        to = {option: next((c.go for c in node.choices if option in c.answers), node.unsure) for option in options}
        way = self._chosen(list(to.values()))
        return self.random.choice([option for option in options if to[option] == way])

    def _chosen(self, ways: list[str]) -> str:
        if self.curious:
            new = [way for way in ways if self._leads_to_new(way)]
            ways = new or [way for way in ways if way == CLEARED] or ways
        elif CLEARED in ways and self.random.random() < self.clearing:
            return CLEARED
        return self.random.choice(ways)

    def _leads_to_new(self, place: str) -> bool:
        return any(name not in self.found.visits for name in self._reach.get(place, ()))

    @cached_property
    def _reach(self) -> dict[str, frozenset[str]]:
        """Return every node that can be come to from each node, itself among them."""
        found: dict[str, frozenset[str]] = {}

        def reach(place: str) -> frozenset[str]:
            if place not in found and place in self.entry.nodes:
                found[place] = frozenset({place})
                behind = (reach(way.to) for way in ways_on(self.entry.nodes[place]))
                found[place] = frozenset({place}).union(*behind)
            return found.get(place, frozenset())

        for name in self.entry.nodes:
            reach(name)
        return found


def can_come_to(entry: Entry) -> tuple[str, ...]:
    """Return every node that a walk can come to, in the order in which they are written.

    What is said when nothing is left does not count where some suspect always ends: it has no check, whose number might
    not be told, and no answer clears it.
    """
    behind = {suspect.start: _behind(entry, suspect.start) for suspect in entry.suspects}
    found = set().union(*behind.values())
    if all(CLEARED in nodes or any(_is_check(entry, name) for name in nodes) for nodes in behind.values()):
        found |= _behind(entry, entry.nothing_left)
    return tuple(name for name in entry.nodes if name in found)


def _is_check(entry: Entry, name: str) -> bool:
    node = entry.nodes.get(name)
    return isinstance(node, Check) and not node.unknown


def _behind(entry: Entry, start: str) -> set[str]:
    found: set[str] = set()
    waiting = [start]
    while waiting:
        place = waiting.pop()
        if place not in found:
            found.add(place)
            waiting += [way.to for way in ways_on(entry.nodes[place])] if place in entry.nodes else []
    return found


def never_seen(entry: Entry, seen: Iterable[str]) -> tuple[str, ...]:
    """Return the nodes that a walk can come to and none came to, in the order in which they are written."""
    came = set(seen)
    return tuple(name for name in can_come_to(entry) if name not in came)
