"""The language data of `trees/match/`, in the packed form that the model file carries."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from advisor.match.text import stem, tokens

_LONGEST = 6
_LISTS = (
    "reassuring",
    "virtues",
    "negators",
    "contrast",
    "breaks",
    "second_complaint",
    "question_start",
    "question_phrases",
    "left",
    "right",
    "left_foot_leads",
    "right_foot_leads",
    "sided",
    "not_a_side",
)
_NO_CONCEPTS: dict[str, Any] = {"names": [], "table": {}}


def _forms(expression: str) -> list[str]:
    return [token.form for token in tokens(str(expression))]


def pack_language(language: Mapping[str, Any], concepts: Mapping[str, Iterable[str]]) -> dict[str, Any]:
    """Turn the YAML of `language.yaml` and `concepts.yaml` into plain tables that load fast.

    Parameters
    ----------
    language, concepts
        The parsed files (`concepts` is the mapping under its key of that name).

    Returns
    -------
    dict
        JSON-able; input of `Lexicon`.

    """
    shorthand = {str(key): _forms(value) for key, value in language["shorthand"].items()}

    def expand(forms: list[str]) -> list[str]:
        return [longer for form in forms for longer in shorthand.get(form, [form])]

    joined = {
        " ".join(expand(_forms(expression))): str(one)
        for one, expressions in language["joined"].items()
        for expression in expressions
    }
    packed: dict[str, Any] = {"shorthand": shorthand, "joined": joined}
    bare = Lexicon({**packed, **dict.fromkeys(_LISTS, ()), "negation_reach_words": 0, "concepts": _NO_CONCEPTS})
    for name in _LISTS:
        forms = [expand(_forms(expression)) for expression in language[name]]
        packed[name] = sorted({" ".join(one) for one in forms} | {" ".join(bare.join(one)) for one in forms})
    packed["negation_reach_words"] = int(language["negation_reach_words"])
    names = sorted(concepts)
    table: dict[str, list[int]] = {}
    for number, name in enumerate(names):
        for expression in concepts[name]:
            stems = [stem(form) for form in bare.join(bare.expand(_forms(expression)))]
            numbers = table.setdefault(" ".join(stems), [])
            if number not in numbers:
                numbers.append(number)
    packed["concepts"] = {"names": names, "table": table}
    return packed


def pack_facts(facts: Any) -> Any:
    """Write every expression of `facts.yaml` as its tokens with single spaces, as the readers of facts compare them."""
    if isinstance(facts, str):
        return facts if "_" in facts else " ".join(_forms(facts))
    if isinstance(facts, list):
        return [pack_facts(item) for item in facts]
    if isinstance(facts, Mapping):
        return {str(key): pack_facts(value) for key, value in facts.items()}
    return facts


class Lexicon:
    """Look-ups of the language data: short forms, joined words, cues, concepts."""

    def __init__(self, packed: Mapping[str, Any]) -> None:
        self.shorthand: dict[str, list[str]] = packed["shorthand"]
        self.joined: dict[str, str] = packed["joined"]
        self.reassuring = frozenset(packed["reassuring"])
        self.virtues = frozenset(packed["virtues"])
        self.negators = frozenset(packed["negators"])
        self.contrast = frozenset(packed["contrast"])
        self.breaks = frozenset(packed["breaks"])
        self.second_complaint = frozenset(packed["second_complaint"])
        self.question_start = frozenset(packed["question_start"])
        self.question_phrases = frozenset(packed["question_phrases"])
        self.left = frozenset(packed["left"])
        self.right = frozenset(packed["right"])
        self.left_foot_leads = frozenset(packed["left_foot_leads"])
        self.right_foot_leads = frozenset(packed["right_foot_leads"])
        self.sided = frozenset(packed["sided"])
        self.not_a_side = frozenset(packed["not_a_side"])
        self.negation_reach: int = packed["negation_reach_words"]
        self.concept_names: list[str] = packed["concepts"]["names"]
        self.concept_table: dict[str, list[int]] = packed["concepts"]["table"]

    def expand(self, forms: Iterable[str]) -> list[str]:
        """Write short forms out, word by word."""
        return [longer for form in forms for longer in self.shorthand.get(form, [form])]

    def join(self, forms: list[str]) -> list[str]:
        """Make one word of each expression that is one word to us (positions are not kept here)."""
        out: list[str] = []
        place = 0
        while place < len(forms):
            size, one = self.joined_at(forms, place)
            out.append(one)
            place += size
        return out

    def joined_at(self, forms: list[str], place: int) -> tuple[int, str]:
        """Return how many words from `place` on make one word, and that word."""
        for size in (4, 3, 2):
            if place + size <= len(forms):
                one = self.joined.get(" ".join(forms[place : place + size]))
                if one is not None:
                    return size, one
        return 1, forms[place]

    def expressions(self, forms: list[str], table: frozenset[str]) -> list[tuple[int, int]]:
        """Return the spans [start, end) of the expressions of `table` in `forms`, longest first at a place."""
        found = []
        for place in range(len(forms)):
            for size in range(min(_LONGEST, len(forms) - place), 0, -1):
                if " ".join(forms[place : place + size]) in table:
                    found.append((place, place + size))
                    break
        return found

    def concepts(self, stems: list[str]) -> list[tuple[int, int, int]]:
        """Return (start, end, concept number) for every concept named in `stems`."""
        table = self.concept_table
        found: list[tuple[int, int, int]] = []
        for place in range(len(stems)):
            for size in range(1, min(_LONGEST, len(stems) - place) + 1):
                numbers = table.get(" ".join(stems[place : place + size]))
                if numbers:
                    found.extend((place, place + size, number) for number in numbers)
        return found
