"""One line as every listener reads it: cleaned, cut into words, numbers and clauses, each with its owner and its time.

>>> heard = hear("My back knee hurts, front is on fifteen; my mate rides 30.")
>>> [(number.value, clause.owner) for clause in heard.clauses for number in heard.numbers_in(clause)]
[(15.0, ''), (30.0, 'other')]
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any, Literal

from advisor.knowledge.trees import Trees, authors, of_trees
from advisor.match.expressions import Expressions, Found
from advisor.match.numbers import Number, NumberReader
from advisor.match.text import Token, clean, stem, tokens

Owner = Literal["", "own", "other"]
When = Literal["", "past", "planned"]

_FRACTIONS = {
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
    "⅛": " 1/8",
    "⅜": " 3/8",
    "⅝": " 5/8",
    "⅞": " 7/8",
    "⅓": " 1/3",
    "⅔": " 2/3",
}
_FRACTION_MARKS = str.maketrans(_FRACTIONS)
_MARKS = frozenset(",;.!?:()\n…|")
_ENDS = frozenset(".!?;…")
_SHORT_FORMS = frozenset({"ca", "approx", "nr", "no", "e", "g", "i", "vs", "incl"})


class Clause:
    """A stretch of a line that says one thing: tokens `start` to before `end`.

    `owner` tells whose it is: `own` where it says so, `other` of somebody or something else, empty where it is not
    said. `when` is `past` or `planned` where it is not as things stand. `joined` is the word that begins it, if any.
    """

    __slots__ = ("asked", "end", "joined", "owner", "start", "when")

    def __init__(self, start: int, end: int, joined: str = "") -> None:
        self.start = start
        self.end = end
        self.joined = joined
        self.owner: Owner = ""
        self.when: When = ""
        self.asked = False


class Heard:
    """One line.

    Parameters
    ----------
    text
        The cleaned line.
    tokens
        Its words, numbers and marks with their places.

    """

    __slots__ = ("bare", "clauses", "forms", "numbers", "stems", "text", "tokens")

    def __init__(self, text: str, found: list[Token], numbers: list[Number], clauses: list[Clause]) -> None:
        self.text = text
        self.tokens = found
        self.forms = [token.form for token in found]
        self.bare = [form[:-2] if form.endswith("'s") else form for form in self.forms]
        self.stems = [stem(form) for form in self.bare]
        self.numbers = numbers
        self.clauses = clauses

    def words(self, start: int, end: int) -> str:
        """Return the tokens [start, end) as they were typed."""
        return self.text[self.tokens[start].start : self.tokens[end - 1].end] if end > start else ""

    def of(self, clause: Clause) -> str:
        """Return a clause as it was typed."""
        return self.words(clause.start, clause.end)

    def numbers_in(self, clause: Clause) -> list[Number]:
        """Return the numbers of a clause."""
        return [one for one in self.numbers if clause.start <= one.start < clause.end]

    def clause_at(self, place: int) -> Clause | None:
        """Return the clause that a token stands in."""
        return next((one for one in self.clauses if one.start <= place < one.end), None)


class Hearing:
    """Cuts lines, with the words of `trees/hearing.yaml`."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.data = data
        self.reader = NumberReader(data["numbers"], data["units"])
        self.contrast = frozenset(data["contrast"])
        self.joins = Expressions.of([*data["joins"], *data["contrast"]])
        self._others = Expressions.of([*data["others"], *data["other_things"]])
        self._own = Expressions.of(data["own"])
        self._past = Expressions.of(data["past"])
        self._now = Expressions.of(data["now"])
        self._planned = Expressions.of(data["planned"])
        self._written = Expressions.of(data["written"])
        self.denials = frozenset(data["denials"])
        self.fillers = frozenset(data["fillers"])
        self._first = frozenset(data["first_person"])
        self._third = frozenset(data["third_person"])
        self._children = frozenset(data["rider_children"])
        self._denied_saying = Expressions.of(data["denied_saying"])
        words = data["numbers"]
        self.counting = frozenset([*words["ones"], *words["teens"], *words["tens"]])
        units = [unit for ways in data["units"].values() for unit in ways]
        self._ishes = frozenset([*words["ones"], *words["teens"], *words["tens"], *units])

    def hear(self, line: str) -> Heard:
        """Return one line as heard."""
        text = clean(line.translate(_FRACTION_MARKS))
        found = _without_hyphens(tokens(text))
        found = [piece for token in found if token.form not in self.fillers for piece in self._split(token)]
        numbers = self.reader.read(found)
        heard = Heard(text, found, numbers, [])
        heard.clauses = self._cut(heard)
        self._own_and_time(heard)
        return heard

    def _split(self, token: Token) -> list[Token]:
        """Return a word, and the "ish" behind a number or a unit apart: "fifteenish", "degreesish"."""
        form = token.form
        if form.endswith("ish") and form[:-3] in self._ishes:
            middle = token.end - 3
            return [Token(form[:-3], token.start, middle), Token("ish", middle, token.end)]
        return [token]

    def _cut(self, heard: Heard) -> list[Clause]:
        forms = heard.forms
        inside = {place for one in heard.numbers for place in range(one.start, one.end)}
        clauses: list[Clause] = []
        start, joined = 0, ""
        place = 0
        while place < len(forms):
            if place in inside:
                place += 1
                continue
            if (forms[place] in _MARKS or self._adds(forms, place)) and not self._no_end(heard, place):
                if place > start:
                    clauses.append(Clause(start, place, joined))
                start, joined = place + 1, ""
                place += 1
                continue
            if forms[place] in self._first and place > start and self._others.find(heard.bare, start, place):
                clauses.append(Clause(start, place, joined))
                start, joined = place, ""
            join = self.joins.at(forms, place)
            if join and self._cuts(heard, join, start):
                if place > start:
                    clauses.append(Clause(start, place, joined))
                start, joined = (join.end, join.means)
                place = join.end
                continue
            place += 1
        if start < len(forms):
            clauses.append(Clause(start, len(forms), joined))
        return clauses

    def _adds(self, forms: Sequence[str], place: int) -> bool:
        """Tell whether a plus stands for "and": before a word that is no number."""
        after = forms[place + 1 : place + 2]
        return forms[place] in {"+", "&"} and bool(after) and after[0].isalpha() and after[0] not in self.counting

    def _no_end(self, heard: Heard, place: int) -> bool:
        """Tell whether a mark ends nothing: a full stop behind a short form or inside a word."""
        forms, found = heard.forms, heard.tokens
        if forms[place] != "." or not place:
            return False
        tight = place + 1 < len(found) and found[place].end == found[place + 1].start
        return tight or forms[place - 1] in _SHORT_FORMS

    def _cuts(self, heard: Heard, join: Found[str], start: int) -> bool:
        """Tell whether a joining word begins a clause of its own: not in "5 and a half", "front and back"."""
        if join.start == start and join.means not in self.contrast:
            return join.means in {"and", "also", "plus", "so", "then", "because"}
        words = (
            heard.forms[join.start - 1] if join.start else "",
            heard.forms[join.end] if join.end < len(heard.forms) else "",
        )
        if join.means in {"and", "or"} and words in _PAIRS:
            return False
        if join.means in {
            "only",
            "as",
            "like",
            "once",
            "cause",
            "now",
            "rather",
            "that",
            "actually",
            "who",
            "before",
            "after",
        }:
            return join.means in {"only", "who"} or join.end - join.start > 1 or self._finite_behind(heard, join.end)
        return True

    def _finite_behind(self, heard: Heard, place: int) -> bool:
        return place + 2 < len(heard.forms)

    def _own_and_time(self, heard: Heard) -> None:
        forms = heard.forms
        before: Clause | None = None
        for clause in heard.clauses:
            start, end = clause.start, clause.end
            written = self._written.find(forms, start, end)
            clause.asked = end < len(forms) and forms[end] == "?"
            if self._others.find(heard.bare, start, end):
                clause.owner = "other"
            elif self._own.find(forms, start, end):
                clause.owner = "own"
            elif before and before.owner == "other" and self._goes_on(forms, before, clause):
                clause.owner = "other"
            past, now = self._past.find(forms, start, end), self._now.find(forms, start, end)
            if past and not now:
                clause.when = "past"
            if (self._planned.find(forms, start, end) and not written) or self._denied_saying.find(forms, start, end):
                clause.when = "planned"
            before = clause
        self._two_people(heard)

    def _two_people(self, heard: Heard) -> None:
        """Where a speaker tells numbers of their own and of another, no child brought along, those are another's."""
        told = [one for one in heard.clauses if heard.numbers_in(one)]
        words = [set(heard.forms[one.start : one.end]) for one in told]
        if not any(self._first & one for one in words) or self._children.intersection(heard.bare):
            return
        for clause, one in zip(told, words, strict=True):
            if self._third & one and not self._first & one and clause.owner != "own":
                clause.owner = "other"

    def _goes_on(self, forms: Sequence[str], before: Clause, clause: Clause) -> bool:
        """Tell whether a clause goes on about the same person: "my mate rides 162 and his waist is 250"."""
        gap = forms[before.end : clause.start]
        if any(mark in _ENDS for mark in gap) or clause.joined in {"but", "though", "while", "whereas"}:
            return False
        if clause.joined == "and" and clause.end - clause.start <= 3 and len(gap) == 1:
            return True
        return bool({"his", "her", "he", "she", "they", "their", "its"}.intersection(forms[clause.start : clause.end]))


def _without_hyphens(found: list[Token]) -> list[Token]:
    """Leave out hyphens inside words: "all-mountain" is two words."""
    return [
        token
        for place, token in enumerate(found)
        if token.form != "-"
        or not 0 < place < len(found) - 1
        or not (found[place - 1].form.isalpha() and found[place + 1].form.isalpha())
        or token.start != found[place - 1].end
        or token.end != found[place + 1].start
    ]


_PAIRS = frozenset(
    (one, other)
    for pair in (
        ("front", "back"),
        ("toe", "heel"),
        ("left", "right"),
        ("front", "rear"),
        ("nose", "tail"),
        ("ankle", "toe"),
        ("both", "both"),
    )
    for one, other in (pair, pair[::-1])
)


@of_trees
def hearing(trees: Trees) -> Hearing:
    """Return the cutter with the words of `trees/hearing.yaml`.

    Raises
    ------
    KnowledgeError
        When the file cannot be read.

    """
    return Hearing(trees.table("hearing.yaml"))


@lru_cache(maxsize=64)
def hear(line: str) -> Heard:
    """Return one line as every listener reads it; it is made once and never changed."""
    return hearing(authors()).hear(line)
