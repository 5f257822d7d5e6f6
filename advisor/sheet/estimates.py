"""What stands in where a sheet is silent: the rules of `trees/estimates.yaml`, applied in their order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import hypot
from typing import Any, NamedTuple

from advisor.knowledge.tables import entry_fault, number_of
from advisor.knowledge.trees import Trees, of_trees
from advisor.sheet.readings import Reading

_FILE = "estimates.yaml"


class Rule(NamedTuple):
    """One estimate: `gives` = `times` x `takes` + `plus`, give or take `plus_minus`.

    A rule without `takes` is a convention; `plus_minus_of` names a number that serves as its ±.
    """

    gives: str
    takes: str
    times: float
    plus: float
    plus_minus: float
    plus_minus_of: str
    source: str
    words: str

    @property
    def note(self) -> str:
        """What the estimate rests on, with the source's id."""
        return f"{self.words} [{self.source}]"


class Believable(NamedTuple):
    """The range outside which a pair of readings is refused."""

    least: float
    most: float
    words: str


class Estimates(NamedTuple):
    """The content of `trees/estimates.yaml`."""

    reading_error: Mapping[str, float]
    believable: Mapping[str, Believable]
    row_pitch_mm: Mapping[str, float]
    row_pitch_note: str
    rules: tuple[Rule, ...]


@of_trees
def load_estimates(trees: Trees) -> Estimates:
    """Return the estimates.

    Raises
    ------
    KnowledgeError
        When the file is not of the shape that its comments describe.

    """
    table = trees.table(_FILE)
    for part in ("reading_error", "believable", "row_pitch_mm", "rules"):
        if part not in table:
            raise entry_fault(_FILE, part, "expected this part, found nothing")
    errors = {path: number_of(_FILE, path, "±", raw) for path, raw in table["reading_error"]["fields"].items()}
    pitch = table["row_pitch_mm"]
    pitches = {str(name): number_of(_FILE, "row_pitch_mm", str(name), raw) for name, raw in pitch["patterns"].items()}
    pairs = {name: _believable(name, entry) for name, entry in table["believable"].items()}
    rules = tuple(_rule(place, entry) for place, entry in enumerate(table["rules"], 1))
    return Estimates(errors, pairs, pitches, f"{pitch['words']} [{pitch['source']}]", rules)


def _believable(name: str, entry: Mapping[str, Any]) -> Believable:
    return Believable(
        number_of(_FILE, name, "least", entry.get("least", 0)),
        number_of(_FILE, name, "most", entry.get("most")),
        str(entry.get("words", "")),
    )


def _rule(place: int, entry: Mapping[str, Any]) -> Rule:
    name = f"rule {place} (gives {entry.get('gives', '?')})"
    for key in ("gives", "source", "words"):
        if not isinstance(entry.get(key), str):
            raise entry_fault(_FILE, name, f"expected {key} as text")
    takes = str(entry.get("takes", ""))
    if takes and "times" not in entry:
        raise entry_fault(_FILE, name, "expected times, the factor on what it takes")
    return Rule(
        entry["gives"],
        takes,
        number_of(_FILE, name, "times", entry.get("times", 0)),
        number_of(_FILE, name, "plus", entry.get("plus", 0)),
        number_of(_FILE, name, "plus_minus", entry.get("plus_minus", 0)),
        str(entry.get("plus_minus_of", "")),
        entry["source"],
        entry["words"],
    )


def apply_rules(known: dict[str, Reading], rules: Iterable[Rule], sheet_paths: Mapping[str, str]) -> None:
    """Fill the gaps of `known`, in place: the first rule for a number whose input is known fills it.

    Parameters
    ----------
    known
        Readings by set-up path.
    rules
        In their order; later rules may take what earlier ones gave.
    sheet_paths
        The sheet's field for set-up paths that a rule may give; a number without a field of its own stands under
        the field that it was estimated from.

    """
    for rule in rules:
        if rule.gives in known or (rule.takes and rule.takes not in known):
            continue
        value, spread, behind = rule.plus, rule.plus_minus, rule.gives
        if rule.takes:
            source = known[rule.takes]
            value += rule.times * source.value
            spread = hypot(spread, rule.times * source.plus_minus)
            behind = source.sheet_path
        if rule.plus_minus_of in known:
            spread += known[rule.plus_minus_of].value
        known[rule.gives] = Reading(value, "assumed", spread, sheet_paths.get(rule.gives, behind), rule.note)
