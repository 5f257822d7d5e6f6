"""Facts told in the sentence: snow, side, foot, style, leading foot; numbers are in `quantities` and `angles`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from advisor.match.angles import angles_told
from advisor.match.api import Told
from advisor.match.quantities import quantities_told
from advisor.match.reading import Reading
from advisor.match.said import Said, find, in_figures
from advisor.match.text import tokens

__all__ = ["facts_told"]


def _one_of(reading: Reading, groups: Mapping[str, Iterable[str]]) -> dict[str, tuple[int, str]]:
    """Return which groups are named in clauses that do not say that all is well: group to (place, words)."""
    found: dict[str, tuple[int, str]] = {}
    for clause in reading.clauses:
        if clause.reassured:
            continue
        forms = [word.form for word in clause.words]
        for group, expressions in groups.items():
            for start, end in find(forms, expressions):
                if any(word.denied for word in clause.words[start:end]) and "can" not in forms:
                    continue
                words = clause.words[start:end]
                found.setdefault(group, (words[0].start, reading.text[words[0].start : words[-1].end]))
    return found


def _snow(said: Said, reading: Reading, data: Mapping[str, Any]) -> Iterable[Told]:
    well = [(c.words[0].start, c.words[-1].end) for c in reading.clauses if c.reassured]
    not_snow = frozenset(data["not_snow"])
    styled = {start for start, _ in _style_spans(said, data)}
    found = []
    for snow, expressions in data["snow"].items():
        for start, end in find(said.forms, expressions):
            at = said.tokens[start].start
            alone = end - start == 1 and said.forms[start] in ("hard", "soft", "firm", "powder", "groomed", "frozen")
            after = said.forms[end] if end < len(said.forms) else ""
            before = said.forms[start - 1] if start else ""
            on_it = before in ("on", "in") and after not in ("boots", "flex", "board", "boot")
            if (
                alone
                and not on_it
                and (after in not_snow or before in not_snow or said.forms[start] in ("hard", "soft"))
            ):
                continue
            if start in styled or any(a <= at < b for a, b in well) or _not_there(said.forms[:start], data):
                continue
            found.append((at, snow, said.words(start, end)))
    if found:
        _, snow, words = min(found)
        yield Told("snow", snow, words)


def _not_there(before: list[str], data: Mapping[str, Any]) -> bool:
    """Tell whether words end in a denial of what comes next: "it's not icy", "no ice"; but not "won't hold on ice"."""
    place = len(before) - 1
    while place >= 0 and before[place] in data["between_denial"]:
        place -= 1
    return place >= 0 and before[place] in data["denies_next"]


def _style_spans(said: Said, data: Mapping[str, Any]) -> list[tuple[int, str]]:
    cues = find(said.forms, data["style_cues"])
    spans = []
    for style, expressions in data["style"].items():
        for start, end in find(said.forms, expressions):
            near = any(-1 <= start - cue_end <= 3 or 0 <= cue_start - end <= 1 for cue_start, cue_end in cues)
            if style in data["style_tells_itself"] or near:
                spans.append((start, style))
    return spans


def _style(said: Said, data: Mapping[str, Any]) -> Iterable[Told]:
    for start, style in sorted(_style_spans(said, data))[:1]:
        yield Told("rider.style", style, said.words(start, start + 1))


def _leading_foot(said: Said, data: Mapping[str, Any]) -> str | None:
    leads = set()
    for foot, expressions in data["leads"].items():
        for start, end in find(said.forms, expressions):
            if start and said.forms[start - 1] in data["not_leading"]:
                continue
            if end < len(said.forms) and said.forms[end] in data["not_leading_after"]:
                continue
            leads.add(foot)
    return leads.pop() if len(leads) == 1 else None


def facts_told(reading: Reading, data: Mapping[str, Any]) -> tuple[Told, ...]:
    """Return every fact told in a text.

    Parameters
    ----------
    reading
        The text as read.
    data
        The packed `trees/match/facts.yaml`.

    Returns
    -------
    tuple of Told
        Keys are paths of the setup sheet, or `snow` (hard, soft, powder, ice), `side` (heel, toe) and `foot`
        (front, back).

    """
    said = Said(reading.text, in_figures(tokens(reading.text), data["numbers"]))
    facts = [*angles_told(said, data), *quantities_told(said, data)]
    leading = _leading_foot(said, data)
    if leading:
        names = list(data["leads"][leading])
        start, end = find(said.forms, names)[0]
        facts.append(Told("rider.leading_foot", leading, said.words(start, end)))
    facts += _style(said, data)
    facts += _snow(said, reading, data)
    sides = _one_of(reading, data["edge_words"])
    if len(sides) == 1:
        side, (_, words) = next(iter(sides.items()))
        facts.append(Told("side", side, words))
    feet = _one_of(
        reading,
        {
            foot: [foot + "foot", foot + "knee", *(f"{foot} {word}" for word in data["foot_words"])]
            for foot in ("front", "back")
        },
    )
    if len(feet) == 1:
        foot, (_, words) = next(iter(feet.items()))
        facts.append(Told("foot", foot, words))
    return tuple(facts)
