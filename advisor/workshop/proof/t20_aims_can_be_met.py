"""Every aim says how far, by its own bounds or a good window, and some adjustment serves it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.graph.nodes import Aim, AimTarget
from advisor.knowledge.fault import Fault
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject


def serving(subject: Subject, measure: str) -> list[str]:
    """Return the adjustments that a tech reaches for to put a measure or a field right."""
    adjustments = subject.raw("adjustments").get("adjustments", {})
    return [
        name
        for name, raw in adjustments.items()
        if any(measure in (way.get("for") or ()) or measure in _moved(way) for way in raw.get("ways", []))
    ]


def _moved(way: dict[str, dict[str, float]]) -> set[str]:
    return {path.removeprefix("mount.").replace("{foot}", "foot") for path in way.get("moves", {})}


def _has_window(subject: Subject, target: AimTarget) -> bool:
    windows = subject.raw("windows")
    if target.measure in windows:
        return True
    feet = {"front", "back"} if target.foot in {"each", "found"} else {target.foot}
    return target.measure.startswith("foot.") and all(f"{foot}.{target.measure[5:]}" in windows for foot in feet)


def _check(subject: Subject) -> Iterator[Fault]:
    for entry in subject.entries:
        for name, node in entry.nodes.items():
            for place, target in enumerate(node.targets if isinstance(node, Aim) else ()):
                here = subject.at(entry, name, "aim", place)
                if target.low is None and target.high is None and not _has_window(subject, target):
                    words = f"where should {target.measure} lie? trees/windows.yaml has no window for it"
                    yield here.fault(f"{words}; write one, or give the aim 'from' or 'below'")
                low, high = target.low, target.high
                if isinstance(low, float | int) and isinstance(high, float | int) and low >= high:
                    yield here.fault(f"is {low:g} below {high:g}? Put the low end at 'from'")
                serve = serving(subject, target.measure)
                if not serve:
                    words = f"what moves {target.measure}? No adjustment is 'for' it in trees/adjustments.yaml"
                    yield here.fault(f"{words}; aim at another measure, or refer")
                elif isinstance(node, Aim) and node.allowed and not set(node.allowed) & set(serve):
                    words = f"what moves {target.measure}? None of {', '.join(node.allowed)} does"
                    advice = f"name one of {', '.join(serve)}"
                    yield subject.at(entry, name, "with").fault(f"{words}; {advice}")


RULE = Rule(20, "Can every aim be met?", _check)
