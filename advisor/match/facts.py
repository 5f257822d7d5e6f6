"""Facts told in a sentence: the sheet's fields are in `fields_told`; here are snow, side, foot and style."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from advisor.knowledge.trees import authors
from advisor.match.api import Told
from advisor.match.fields_told import FieldsTold, field_reader
from advisor.match.heard import Heard, hear
from advisor.match.reading import Reading
from advisor.match.said import Said, find


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
    edges = {-1, len(said.forms), *(n for n, form in enumerate(said.forms) if form in {",", ";", "."})}
    spans = []
    for style, expressions in data["style"].items():
        for start, end in find(said.forms, expressions):
            alone = start - 1 in edges and end in edges
            near = alone or any(-1 <= start - cue_end <= 3 or 0 <= cue_start - end <= 1 for cue_start, cue_end in cues)
            if style in data["style_tells_itself"] or near:
                spans.append((start, style))
    return spans


def _style(said: Said, data: Mapping[str, Any]) -> Iterable[Told]:
    for start, style in sorted(_style_spans(said, data))[:1]:
        yield Told("rider.style", style, said.words(start, start + 1))


def facts_told(
    reading: Reading, data: Mapping[str, Any], heard: Heard | None = None, leading: str | None = None
) -> FieldsTold:
    """Return every fact told in a text, and the words of numbers that have no place.

    Parameters
    ----------
    reading
        The text as the matcher read it.
    data
        The packed `trees/match/facts.yaml`.
    heard
        The same line as heard, where it was heard already.
    leading
        The foot in front, where it is known: it makes front and back of left and right.

    Returns
    -------
    FieldsTold
        Keys are paths of the setup sheet, or `snow` (hard, soft, powder, ice), `side` (heel, toe) and `foot`
        (front, back).

    """
    heard = heard or hear(reading.text)
    fields = field_reader(authors()).told(heard, leading)
    said = Said(heard.text, heard.tokens)
    facts = list(fields.facts)
    facts += _style(said, field_reader(authors()).data)
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
    return FieldsTold(tuple(facts), fields.not_placed)
