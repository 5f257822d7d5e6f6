"""A text as the matcher reads it: words written out and spelt right, sides settled, clauses cut, denials marked."""

from __future__ import annotations

from advisor.match.lexicon import Lexicon
from advisor.match.spelling import Speller
from advisor.match.text import clean, stem, tokens

_MARKS_THAT_CUT = frozenset(".!?;:,()\n\u2026")
_SHORTEST_CLAUSE_WORDS = 3


class Word:
    """One word as understood; `start` and `end` [characters] point into the cleaned text.

    `denied`: within reach of a negator. `dropped`: denied and no virtue, so it is not the complaint.
    """

    __slots__ = ("denied", "dropped", "end", "form", "start", "stem")

    def __init__(self, form: str, stem: str, start: int, end: int) -> None:
        self.form = form
        self.stem = stem
        self.start = start
        self.end = end
        self.denied = False
        self.dropped = False


class Clause:
    """A stretch of words that says one thing; `reassured` where it says that all is well."""

    __slots__ = ("reassured", "words")

    def __init__(self, words: list[Word]) -> None:
        self.words = words
        self.reassured = False


class Reading:
    """The whole text: cleaned characters, clauses, question or not, and which foot leads if it is told."""

    __slots__ = ("clauses", "leading_foot", "question_cues", "text")

    def __init__(self, text: str) -> None:
        self.text = text
        self.clauses: list[Clause] = []
        self.question_cues: tuple[str, ...] = ()
        self.leading_foot: str | None = None

    @property
    def words(self) -> list[Word]:
        """All words in order."""
        return [word for clause in self.clauses for word in clause.words]


def _spelt(text: str, lexicon: Lexicon, speller: Speller | None) -> list[Word]:
    """Write out short forms, correct spelling, join what is one word to us."""
    raw: list[Word] = []
    for token in tokens(text):
        form = token.form
        if form.endswith("n't") and form not in lexicon.shorthand:
            pieces = ["can", "not"] if form == "can't" else ["will", "not"] if form == "won't" else [form[:-3], "not"]
        elif form in lexicon.shorthand:
            pieces = lexicon.shorthand[form]
        else:
            if "'" in form:
                form = form.split("'")[0]
            if speller is not None:
                form = speller.correct(form)
            pieces = form.split(" ")
        raw.extend(Word(piece, "", token.start, token.end) for piece in pieces if piece)
    forms = [word.form for word in raw if word.form != "-"]
    raw = [word for word in raw if word.form != "-"]
    joined: list[Word] = []
    place = 0
    while place < len(raw):
        size, one = lexicon.joined_at(forms, place)
        joined.append(Word(one, stem(one), raw[place].start, raw[place + size - 1].end))
        place += size
    return joined


def _settle_sides(words: list[Word], lexicon: Lexicon) -> str | None:
    """With the stance told, make front and back of left and right; return the leading foot.

    The words that told the stance are taken out once they have settled a side: they are no complaint.
    """
    forms = [word.form for word in words]
    left_spans = lexicon.expressions(forms, lexicon.left_foot_leads)
    right_spans = lexicon.expressions(forms, lexicon.right_foot_leads)
    if bool(left_spans) == bool(right_spans):
        return None
    leading, trailing = (lexicon.left, lexicon.right) if left_spans else (lexicon.right, lexicon.left)
    told = {place for start, end in left_spans or right_spans for place in range(start, end)}
    settled = False
    for place, word in enumerate(words):
        if place in told or (word.form not in leading and word.form not in trailing):
            continue
        near = forms[place + 1 : place + 3]
        if not any(form in lexicon.sided for form in near) and place and forms[place - 1] in lexicon.not_a_side:
            continue
        word.form = "front" if word.form in leading else "back"
        if near and near[0] in ("foot", "knee", "leg"):
            word.form += "knee" if near[0] == "knee" else "foot"
            words[place + 1].form = ""
        word.stem = stem(word.form)
        settled = True
    words[:] = [word for place, word in enumerate(words) if word.form and not (settled and place in told)]
    return "left" if left_spans else "right"


def _cut(words: list[Word], lexicon: Lexicon) -> list[Clause]:
    """Cut at marks, at contrast words, and at joining words once a clause is long enough."""
    clauses: list[Clause] = []
    current: list[Word] = []

    def close() -> None:
        nonlocal current
        if any(word.form[0].isalnum() for word in current):
            clauses.append(Clause(current))
        current = []

    for word in words:
        form = word.form
        long_enough = len(current) >= _SHORTEST_CLAUSE_WORDS
        joins = form in lexicon.contrast or form in lexicon.breaks or form in lexicon.second_complaint
        if form in _MARKS_THAT_CUT or form == "but" or (joins and long_enough):
            close()
        if form[0].isalnum() or form in ("+", "/", "\u00b0", "%"):
            current.append(word)
    close()
    return clauses


def _mark(clause: Clause, lexicon: Lexicon, asked: bool) -> None:
    """Mark denied words, and whether the clause says that all is well."""
    words = clause.words
    forms = [word.form for word in words]
    denials = [place for place, form in enumerate(forms) if form in lexicon.negators]
    well = [] if asked else lexicon.expressions(forms, lexicon.reassuring)
    spoken_well: set[int] = set()
    for start, end in well:
        spoken_well.update(range(start, end))
        if not any(start - 4 <= place < start for place in denials):
            clause.reassured = True
    for place in denials:
        if place in spoken_well:
            continue
        reached = words[place + 1 : place + 1 + lexicon.negation_reach]
        virtue = any(word.form in lexicon.virtues for word in reached)
        for word in reached:
            word.denied = True
            word.dropped = not virtue


def read(text: str, lexicon: Lexicon, speller: Speller | None = None) -> Reading:
    """Read one text; see `Reading`."""
    reading = Reading(clean(text))
    words = _spelt(reading.text, lexicon, speller)
    reading.leading_foot = _settle_sides(words, lexicon)
    forms = [word.form for word in words]
    cues = ["?"] if "?" in forms else []
    cues += sorted({" ".join(forms[a:b]) for a, b in lexicon.expressions(forms, lexicon.question_phrases)})
    reading.clauses = _cut(words, lexicon)
    for clause in reading.clauses:
        first = clause.words[0].form
        if first in lexicon.question_start:
            cues.append("starts " + first)
    reading.question_cues = tuple(cues)
    for clause in reading.clauses:
        asked = "?" in cues or clause.words[0].form in ("what", "how", "which", "should", "where")
        _mark(clause, lexicon, asked)
    if reading.clauses and all(clause.reassured for clause in reading.clauses):
        for clause in reading.clauses:
            clause.reassured = False
    return reading
