"""An independent reading of an answer: what its JSON and its words say, held against numbers and windows read here.

Windows are read from `trees/windows.yaml` by this file's own few lines, not by the program's; values with their ± come
from the measures as a program gets them. Each contradiction is a sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from math import inf
from typing import Any

import yaml

from advisor.cli.as_json import answer_json, measures_json
from advisor.cli.plain import plain_lines
from advisor.dialogue.answer import Answer
from advisor.explain.account import answer_text
from advisor.explain.counter import one_screen
from advisor.geometry.measuring import measure_all
from advisor.knowledge_home import trees_dir

_UNIT = re.compile(r"_(?:mm|deg|m|n|nm|teeth|kmh)$")
_TINY = 1e-6
_HELPED = {"leave", "coach", "fitter", "other_board", "other_part", "tuning"}
_MOVES = {"adjust", "partial", "handle", "tuning"}
_TOUCHES = re.compile(r"touch(?:es)? the snow at (.+?) of tilt, and your turn needs (\d+(?:\.\d+)?)°")
_IN_HAND_DEG = 5


@cache
def _table(name: str) -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((trees_dir() / name).read_text(encoding="utf-8"))
    return found


def _window(measure: str, style: str) -> list[Any] | str | None:
    row = _table("windows.yaml").get(measure)
    if row is None:
        return None
    return (row.get("by_style") or {}).get(style, row).get("good", row["good"])


def _end(end: Any, otherwise: float) -> float:
    if isinstance(end, str):
        return float(_table("practice.yaml")[end.partition(".")[2]]["value"])
    return otherwise if end is None else float(end)


def _good(measure: str, style: str, measures: Mapping[str, Any]) -> tuple[float, float] | None:
    raw = _window(measure, style)
    if raw is None:
        return None
    if isinstance(raw, str):
        ends = measures[raw].get("window")
        return (ends[0], ends[1]) if ends and None not in ends else None
    return _end(raw[0], -inf), _end(raw[1], inf)


def _outside(answer: Answer) -> Iterator[tuple[str, str]]:
    """Yield measure and foot of what is told and lies outside its good window wherever in its ± it is."""
    measures = measures_json(measure_all(answer.case.known))
    style = answer.case.known.setup.rider.style
    for name, told in measures.items():
        at = {foot: told[foot] for foot in ("front", "back") if foot in told} or {"": told}
        good = _good(name, style, measures)
        if good is None:
            continue
        for foot, one in at.items():
            if one["value"] is None or all(i["from"] == "assumed" or "." not in i["field"] for i in one["inputs"]):
                continue
            away = max(good[0] - one["value"], one["value"] - good[1])
            if away > one["plus_minus"] + _TINY:
                yield name, foot


def contradictions(answer: Answer) -> Iterator[str]:
    """Yield every way in which an answer speaks against itself or against its numbers."""
    told = answer_json(answer)
    screen, whole = (" ".join(plain_lines(text, 200)) for text in (one_screen(answer), answer_text(answer)))
    screen = re.sub(r"\s+", " ", screen)
    words = re.sub(r"\s+", " ", f"{whole} {screen}")
    verdict, moves = told["verdict"], told["adjustments"]
    if told["outcome"] == "needs":
        return
    symptom = answer.walk.entry.kind == "symptom"
    if told["cause"] and verdict == "leave":
        yield f"the cause {told['cause']} is shown, and the verdict is to leave it"
    if "LEAVE IT AS IT IS" in words.upper() and (told["cause"] or moves):
        yield "it says to leave it as it is beside a cause or a change"
    if verdict == "look_first" and (moves or "DO THIS" in words.upper()):
        yield "what is only not ruled out is told as an instruction"
    if told["look"] and verdict in _MOVES:
        yield f"{told['cause']} is only not ruled out, and the verdict is {verdict}"
    if verdict == "look_first" and not told["look"]:
        yield "a look comes first, and none is named"
    if verdict in {"adjust", "partial"} and not moves:
        yield f"the verdict is {verdict}, and nothing is moved"
    if moves and verdict not in _MOVES:
        yield f"something is moved, and the verdict is {verdict}"
    yield from _touches(words)
    if symptom and verdict in _HELPED and not moves:
        listed = {(one["measure"], one["foot"] or "") for one in told["out_of_window"]}
        for name, foot in _outside(answer):
            if (name, foot) not in listed:
                yield f"{verdict}, and {name} {foot} is outside its window and not in out_of_window"
            if f"{foot} {_UNIT.sub('', name).replace('_', ' ')}".strip() not in screen:
                yield f"{verdict}, and {name} {foot} is outside its window and unnamed in the text"
    if verdict == "adjust" and answer.aims and not answer.mount:
        yield from _aims(answer, told)


def _touches(words: str) -> Iterator[str]:
    for found in _TOUCHES.finditer(words):
        needs = float(found[2])
        at = [float(one) for one in re.findall(r"(\d+(?:\.\d+)?)°", found[1])]
        if at and min(at) >= needs + _IN_HAND_DEG + 0.06:
            yield f"it touches at {min(at)}, needs {needs}, and is called too early"


def _aims(answer: Answer, told: Mapping[str, Any]) -> Iterator[str]:
    """Yield the aims that were right before, all of them, or are not right after, though a change is advised."""
    before, after = told["before"], told["after"]
    style = answer.case.known.setup.rider.style
    missed = []
    for aim in told["aims"]:
        name, _, foot = aim["measure"].partition(".")
        if name not in before:
            return
        was, now = (_at(values[name], foot) for values in (before, after))
        low, high = aim["low"], aim["high"]
        if low is None and high is None:
            good = _good(name, style, measures_json(measure_all(answer.case.known)))
            if good is None:
                return
            low, high = good
        low, high = -inf if low is None else low, inf if high is None else high
        if was is None or now is None:
            return
        missed.append(not low - _TINY <= was <= high + _TINY)
        if "goal" not in told and not low - 1e-4 <= now <= high + 1e-4:
            yield f"{aim['measure']} is {now} after the change; wanted {low} to {high}"
    if missed and not any(missed):
        yield "everything aimed at was right before the change"


def _at(values: Mapping[str, Any], foot: str) -> float | None:
    found = values.get(foot, values) if foot else values
    return found.get("value")
