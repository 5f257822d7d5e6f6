"""A window's numbers stand once, in `trees/windows.yaml`: no bare number of a check or an aim is one of its ends."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.knowledge.fault import Fault
from advisor.knowledge.lined_yaml import Place
from advisor.solve.windows import Window, ordinary_rider
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Page, Subject

_NEAR = 1e-9


def _check(subject: Subject) -> Iterator[Fault]:
    for page in subject.pages:
        for name, raw in page.nodes.items():
            for place, branch in enumerate(raw.get("branches", ())) if "check" in raw else ():
                yield from _bare(subject, page, ("nodes", name, "branches", place), raw["check"], branch)
            for place, target in enumerate(raw.get("aim", ())):
                yield from _bare(subject, page, ("nodes", name, "aim", place), target["measure"], target)


def _bare(subject: Subject, page: Page, at: Place, measure: str, raw: dict[str, Any]) -> Iterator[Fault]:
    """Yield each number of a branch or target that is an end of the measure's window and does not say why."""
    if raw.get("why"):
        return
    for key in ("from", "below"):
        number = raw.get(key)
        if not isinstance(number, float | int):
            continue
        end = next((words for window in _windows(subject, measure) for words in _ends(window, number)), None)
        if end is not None:
            here = page.spot(*at, key)
            where = subject.table("windows", measure).beside(here)
            words = f"is this {number:g} the {end} of the window ({where})? It would not follow when that is corrected"
            advice = "the state ('is: close')" if at[2] == "branches" else f"'{key}: good' or '{key}: close'"
            yield here.fault(f"{words}; write {advice}, or give a number that is another one its 'why'")


def _windows(subject: Subject, measure: str) -> Iterator[Window]:
    windows = subject.windows
    for style in ("", *windows.styles(measure)):
        window = windows.window(measure, ordinary_rider(subject.trees), style)
        if window:
            yield window


def _ends(window: Window, number: float) -> Iterator[str]:
    for name, interval in (("good", window.good), ("look_closer", window.close)):
        for end in (interval.low, interval.high):
            if abs(end - number) < _NEAR:
                yield f"end of '{name}'"


RULE = Rule(28, "Does every number of a window stand once?", _check)
