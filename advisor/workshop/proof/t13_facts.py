"""Every fact asked is written; every fact written is asked, or sharpens a measure; a field's fact fits its field."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.doubt.tables import load_plausibility
from advisor.geometry.one_number import field_as_measure
from advisor.geometry.register import MEASURES
from advisor.graph.nodes import Aim, Ask, Check, Fact
from advisor.knowledge.fault import Fault
from advisor.knowledge.trees import authors
from advisor.sheet.fields import FieldRow, field_rows
from advisor.workshop.proof.obtaining import fields_read
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Spot, Subject, near

_COUNTS = {"", "rows", "steps", "teeth"}


def _check(subject: Subject) -> Iterator[Fault]:
    facts, used = subject.knowledge.facts, _bounds(subject) | _looked_at() | _by_ruler()
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            if isinstance(node, Ask):
                used.add(node.fact)
                if node.fact not in facts:
                    here = subject.at(entry, name, "look" if node.look else "ask")
                    yield here.fault(f"what is '{node.fact}'? No fact has that name; {near(node.fact, facts)}")
            elif isinstance(node, Check):
                used |= set(node.settle_with) | _read(node.measure)
                for place, fact in enumerate(node.settle_with):
                    yield from _settling(subject.at(entry, name, "settle_with", place), node, fact, facts)
            elif isinstance(node, Aim):
                used |= {field for target in node.targets for field in _read(target.measure)}
    for name in subject.compiled["facts"]:
        here = subject.table("facts", name)
        ids = [name.replace("{foot}", foot) for foot in ("front", "back")]
        if "." in name:
            row = field_rows().get(ids[0])
            if row is None:
                words = f"is '{name}' a field of the sheet? There is none of that name; {near(ids[0], field_rows())}"
                yield here.fault(words)
                continue
            yield from _fits(subject, name, facts[ids[0]], row)
        if not used & set(ids):
            yield here.fault(f"who asks for '{name}'? No entry uses it; use it, or take it out", loose=True)


def _looked_at() -> set[str]:
    """Return the facts that one look before a large move asks for."""
    return {
        look.fact.replace("{foot}", foot) for look in load_plausibility(authors()).looks for foot in ("front", "back")
    }


def _by_ruler() -> set[str]:
    """Return the facts that the ruler settles in the place of others."""
    told = authors().table("intake.yaml")["ruler_instead_of"].values()
    return {one.replace("{foot}", foot) for wanted in told for one in wanted for foot in ("front", "back")}


def _read(measure: str) -> frozenset[str]:
    if measure in MEASURES or field_as_measure(measure):
        return fields_read(measure)
    return frozenset({measure, f"mount.{measure}"})


def _bounds(subject: Subject) -> set[str]:
    """Return the fields that say how far an adjustment goes."""
    named: list[object] = []
    for adjustment in subject.raw("adjustments").get("adjustments", {}).values():
        for way in adjustment.get("ways", []):
            bounds = way.get("bounds")
            named += [way.get("step"), way.get("shows"), *(bounds if isinstance(bounds, list) else [bounds])]
    return {
        path.lstrip("-").replace("{foot}", foot)
        for path in named
        if isinstance(path, str)
        for foot in ("front", "back")
    }


def _settling(here: Spot, node: Check, fact: str, facts: dict[str, Fact]) -> Iterator[Fault]:
    if fact not in facts:
        yield here.fault(f"what is '{fact}'? No fact has that name; {near(fact, facts)}")
    elif facts[fact].kind != "number" or fact not in _read(node.measure):
        yield here.fault(f"how does '{fact}' settle {node.measure}? It is no number that the measure reads; name one")


def _fits(subject: Subject, name: str, fact: Fact, row: FieldRow) -> Iterator[Fault]:
    if row.kind in {"number", "integer"}:
        if fact.kind != "number":
            words = f"is '{name}' a choice? On the sheet it is a number; write kind: number"
            yield subject.table("facts", name, "kind").fault(words)
        elif fact.unit != row.unit and not {fact.unit, row.unit} <= _COUNTS:
            words = f"is '{name}' in {fact.unit}? On the sheet it is in {row.unit or 'counts'}; write the sheet's unit"
            yield subject.table("facts", name, "unit").fault(words)
    elif row.kind == "choice":
        if set(fact.options) != set(row.choices):
            words = f"are these the answers for '{name}'? The sheet knows {', '.join(row.choices)}; name just these"
            yield subject.table("facts", name, "options").fault(words)
    else:
        words = f"can '{name}' be asked? On the sheet it is neither number nor choice; ask for something else"
        yield subject.table("facts", name).fault(words)


RULE = Rule(13, "Is every fact written that is asked, and asked that is written?", _check)
