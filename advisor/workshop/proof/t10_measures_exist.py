"""Every measure named exists, and is taken where it can be: at the board, or at a foot."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.geometry.register import MEASURES
from advisor.graph.nodes import Aim, Check
from advisor.knowledge.fault import Fault
from advisor.sheet.setup import Setup
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Spot, Subject, near


def _is_number(path: str) -> bool:
    try:
        value = Setup().get(path)
    except AttributeError:
        return False
    return isinstance(value, float | int)


def _at_its_foot(here: Spot, measure: str, foot: str) -> Iterator[Fault]:
    scope = MEASURES[measure].scope
    if scope == "foot and edge":
        yield here.fault(
            f"at which edge is {measure} meant? It has one number an edge; use one of the edge's own measures"
        )
    elif scope == "board" and foot != "board":
        yield here.fault(f"is {measure} taken at a foot? It is one number for the board; write foot: board")
    elif scope == "foot" and foot == "board":
        yield here.fault(f"at which foot is {measure} meant? Write foot: each, front, back or found")


def _target(here: Spot, name: str, foot: str) -> Iterator[Fault]:
    if name in MEASURES:
        yield from _at_its_foot(here, name, foot)
        return
    head, dot, tail = name.partition(".")
    if head == "foot" and dot:
        if not _is_number(f"front.{tail}"):
            known = [f"foot.{field}" for field in Setup().front.__slots__]
            yield here.fault(f"what is {name}? The set-up has no such number; {near(name, known)}")
        elif foot == "board":
            yield here.fault(f"at which foot is {name} meant? Write foot: each, front, back or found")
    elif head in {"front", "back"} or not _is_number(name):
        advice = f"write foot.{tail} with foot: {head}" if head in {"front", "back"} else near(name, MEASURES)
        yield here.fault(f"what is {name}? There is no such measure; {advice}")
    elif foot != "board":
        yield here.fault(f"is {name} taken at a foot? It is one number; write foot: board")


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            if isinstance(node, Check):
                where = "foot" if node.measure in MEASURES else "check"
                yield from _target(subject.at(entry, name, where), node.measure, node.foot)
            elif isinstance(node, Aim):
                for place, target in enumerate(node.targets):
                    yield from _target(subject.at(entry, name, "aim", place), target.measure, target.foot)


RULE = Rule(10, "Does every measure exist, and is it taken where it can be?", _check)
