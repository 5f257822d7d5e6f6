"""What can hurt carries a caution: by the signs and the cautions of `trees/dangers.yaml`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from advisor.graph.nodes import Aim, Cause, Check, Do, Entry, Mount, Node
from advisor.knowledge.fault import Fault
from advisor.solve.bench_order import load_bench_order
from advisor.workshop.proof.contexts import contexts
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject
from advisor.workshop.proof.t20_aims_can_be_met import serving


def _speaks_of(danger: dict[str, Any], text: str) -> str:
    """Return the first of a danger's words with which a word of the text begins, or an empty text."""
    for phrase in danger["but_not"]:
        text = re.sub(re.escape(phrase), " ", text, flags=re.IGNORECASE)
    return next((word for word in danger["words"] if re.search(rf"\b{re.escape(word)}", text, re.IGNORECASE)), "")


def _touches(subject: Subject, danger: dict[str, Any], node: Node) -> str:
    """Return the adjustment or the measure of a danger that a node deals with, or an empty text."""
    if isinstance(node, Check):
        return node.measure if node.measure in danger["measures"] else ""
    if isinstance(node, Mount):
        sets = {name for step in load_bench_order(subject.trees).steps.values() for name in step.sets}
        return next((one for one in danger["adjustments"] if one in sets), "")
    made = [node.adjustment] if isinstance(node, Do) else []
    for target in node.targets if isinstance(node, Aim) else ():
        if target.measure in danger["measures"]:
            return target.measure
        serve = serving(subject, target.measure)
        made += [one for one in serve if not node.allowed or one in node.allowed] if isinstance(node, Aim) else []
    return next((one for one in made if one in danger["adjustments"]), "")


def _entry(subject: Subject, entry: Entry, name: str, danger: dict[str, Any]) -> Iterator[Fault]:
    said, wanted = set(entry.cautions), set(danger["cautions"])
    asked = f"write one of {', '.join(danger['cautions'])} into its cautions"
    word = _speaks_of(danger, f"{entry.title} {entry.means}")
    if word and not said & wanted:
        here = subject.of(entry, "cautions")
        there = subject.table("dangers", name)
        yield here.fault(
            f"can this hurt? It speaks of '{word}', and {danger['why']} ({there.file}:{there.line}); {asked}"
        )
        return
    states = contexts(entry)
    for place, node in entry.nodes.items():
        touched = _touches(subject, danger, node)
        if not touched or said & wanted:
            continue
        here = subject.at(entry, place)
        if isinstance(node, Check):
            shown = _causes_behind(subject, entry, place)
        else:
            shown = {getattr(entry.nodes[c.cause], "cause", "") if c.cause else "" for c in states[place]}
        for cause in sorted(shown):
            raw = subject.compiled["causes"].get(cause)
            if cause and (raw is None or set(raw["cautions"]) & wanted):
                continue
            if raw is None:
                yield here.fault(f"can this hurt? It is about {touched}, and {danger['why']}; {asked} in {entry.id}")
                continue
            there = subject.table(f"causes/{cause}", "cautions")
            words = f"can this hurt? {here.beside(there)} in {entry.id} is about {touched}, and {danger['why']}"
            yield there.fault(f"{words}; {asked}")


def _causes_behind(subject: Subject, entry: Entry, place: str) -> set[str]:
    import networkx as nx

    behind = nx.descendants(subject.graph(entry), place)
    return {node.cause for name in behind if isinstance(node := entry.nodes.get(name), Cause)}


def _check(subject: Subject) -> Iterator[Fault]:
    for name, danger in subject.compiled["dangers"].items():
        for entry in subject.entries:
            yield from _entry(subject, entry, name, danger)
        for cause, raw in subject.compiled["causes"].items():
            word = _speaks_of(danger, raw["title"])
            if word and not set(raw["cautions"]) & set(danger["cautions"]):
                here = subject.table(f"causes/{cause}", "cautions")
                asked = f"write one of {', '.join(danger['cautions'])} into its cautions"
                there = subject.table("dangers", name)
                words = f"can this hurt? Its title speaks of '{word}', and {danger['why']}"
                yield here.fault(f"{words} ({there.file}:{there.line}); {asked}")


RULE = Rule(24, "Does everything carry a caution that can hurt?", _check)
