"""Every number in braces exists and is known where the text is told; other texts have no braces."""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.geometry.one_number import field_as_measure
from advisor.geometry.register import MEASURES, SIDES
from advisor.graph.nodes import Aim, Ask, Check, Do, Entry, Mount, Refer, Tell
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.contexts import Context, contexts
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import ENDS, Spot, Subject, near

_HOLDER = re.compile(r"\{(good:|size:)?([a-z_]+(?:\.[a-z_]+)*)\}")
_ONE_OR_BOTH = re.compile(r"\{[^{}|]*\|[^{}|]*\}")
_PARTS = ("foot", "heel_part", "toe_part")
_OF_THE_RIDER = ("sizes_of_boot", "sizes_of_foot", "rider.style")


def _placed(name: str) -> tuple[str, str]:
    """Split a holder's name into the measure, the number (`foot.lean_deg`) or the word, and the foot that it names."""
    for foot in SIDES:
        if name.endswith(f".{foot}"):
            return name.removesuffix(f".{foot}"), foot
        if name.startswith(f"{foot}."):
            return f"foot.{name.removeprefix(f'{foot}.')}", foot
    return name, ""


def _numbers(subject: Subject, here: Spot, text: str) -> Iterator[Fault]:
    """Yield what is wrong with the names in a text's braces."""
    for match in _HOLDER.finditer(text):
        name, foot = _placed(match[2])
        if match[1] == "good:":
            windows = subject.raw("windows")
            if name not in windows and match[2] not in windows:
                yield here.fault(
                    f"what is good for {match[2]}? trees/windows.yaml has no window; {near(name, windows)}"
                )
            continue
        if name in _PARTS:
            if name == "foot" and foot:
                yield here.fault(f"what is {match[0]}? The foot's name stands there; write {{foot}} or the word itself")
            continue
        if name in _OF_THE_RIDER:
            continue
        measure = MEASURES.get(name) or field_as_measure(name)
        if measure is None:
            known = (*MEASURES, *_PARTS, *_OF_THE_RIDER)
            yield here.fault(f"what is {match[0]}? There is no such measure; {near(name, known)}")
        elif measure.scope == "board" and foot:
            yield here.fault(f"is {match[0]} taken at a foot? It is one number for the board; write {{{name}}}")
        elif measure.scope == "foot and edge":
            yield here.fault(f"at which edge is {match[0]} meant? It has one number an edge; name another measure")
    left = _ONE_OR_BOTH.sub("", _HOLDER.sub("", text))
    if "{" in left or "}" in left:
        yield here.fault(
            "what do the braces hold? A number is written {MEASURE}, {MEASURE.front}, {back.FIELD}, {size:MEASURE} or "
            "{good:MEASURE}, words for one foot or both {ONE|BOTH}; mend it"
        )


def _of_a_foot(text: str) -> str:
    """Return the first holder in a text that needs a found foot, or an empty text."""
    for match in _HOLDER.finditer(text):
        name, foot = _placed(match[2])
        measure = MEASURES.get(name) or field_as_measure(name)
        if not (foot or match[1] == "good:") and (name in _PARTS or (measure is not None and measure.scope == "foot")):
            return match[0]
    return ""


def _blind(subject: Subject, entry: Entry, node: str, here: Spot, text: str, states: set[Context]) -> Iterator[Fault]:
    """Yield a fault where a text speaks of a foot that some walk to it has not found."""
    holder = _of_a_foot(text)
    blind = next((context for context in sorted(states, key=str) if not context.foot), None)
    if holder and blind:
        there = subject.at(entry, node)
        by = f"the walk from '{blind.root}' to '{node}' ({there.beside(here)})"
        advice = (
            "check a foot before" if holder == "{foot}" else f"write {holder[:-1]}.front}} and {holder[:-1]}.back}}"
        )
        yield here.fault(f"which foot is {holder} here? In {entry.id}, {by} has found none; {advice}")


def _nodes(subject: Subject, entry: Entry) -> Iterator[Fault]:
    states = contexts(entry)
    for name, node in entry.nodes.items():
        texts = {}
        if isinstance(node, Check | Ask):
            texts = {"says": node.says, "how_so": node.how_so}
        elif isinstance(node, Aim | Do | Mount):
            texts = {"says": node.says, "feel": node.feel}
        elif isinstance(node, Tell):
            texts = {"tell": node.says, "feel": node.feel}
        for key, text in texts.items():
            here = subject.at(entry, name, key)
            yield from _numbers(subject, here, text)
            yield from _blind(subject, entry, name, here, text, states[name])
        if isinstance(node, Refer) and node.referral in subject.compiled["referrals"]:
            here = subject.table("referrals", node.referral, "says")
            text = subject.compiled["referrals"][node.referral]["says"]
            yield from _blind(subject, entry, name, here, text, states[name])
        if isinstance(node, ENDS):
            yield from _shown(subject, entry, name, states[name])


def _shown(subject: Subject, entry: Entry, end: str, states: set[Context]) -> Iterator[Fault]:
    """Yield what is wrong with the texts of the causes that a walk has shown when it ends here."""
    for cause in {context.cause for context in states if context.cause}:
        shown = entry.nodes[cause]
        raw = subject.compiled["causes"].get(getattr(shown, "cause", ""))
        for key in ("because", "how_so", "feel") if raw else ():
            here = subject.table(f"causes/{raw['cause']}", key)
            yield from _blind(subject, entry, end, here, raw[key], {c for c in states if c.cause == cause})


def _tables(subject: Subject) -> Iterator[Fault]:
    for name, raw in subject.compiled["causes"].items():
        for key in ("because", "how_so", "feel"):
            yield from _numbers(subject, subject.table(f"causes/{name}", key), raw[key])
        yield from _bare(subject.table(f"causes/{name}", "title"), raw["title"])
    for name, raw in subject.compiled["referrals"].items():
        yield from _numbers(subject, subject.table("referrals", name, "says"), raw["says"])
        yield from _bare(subject.table("referrals", name, "to"), raw["to"])
    for name, raw in subject.compiled["cautions"].items():
        yield from _bare(subject.table("cautions", name), raw)
    for name, raw in subject.compiled["facts"].items():
        question = raw["question"].replace("{foot}", "") if "{foot}" in name else raw["question"]
        yield from _bare(subject.table("facts", name, "question"), question)
        yield from _bare(subject.table("facts", name, "how"), raw["how"])


def _bare(here: Spot, text: str) -> Iterator[Fault]:
    if "{" in text or "}" in text:
        yield here.fault("what do the braces hold? No number is put into this text; write it without")


def _check(subject: Subject) -> Iterator[Fault]:
    yield from _tables(subject)
    for entry in subject.entries:
        for key in ("title", "means", "opening"):
            yield from _bare(subject.of(entry, key), getattr(entry, key))
        for place, suspect in enumerate(entry.suspects):
            yield from _bare(subject.of(entry, "suspects", place, "words"), suspect.words)
        yield from _nodes(subject, entry)


RULE = Rule(21, "Does every number in braces exist, and is it known where it is told?", _check)
