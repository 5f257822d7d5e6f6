"""A text as the matcher reads it: words written out and spelt right, sides settled, clauses cut, denials marked."""

from __future__ import annotations

from dataclasses import dataclass, field

from advisor.match.lexicon import Lexicon
from advisor.match.spelling import Speller
from advisor.match.text import clean, stem, tokens

__all__ = ["Clause", "Reading", "Word", "read"]

_MARKS_THAT_CUT = frozenset(".!?;:,()\n\u2026")
_SHORTEST_CLAUSE_WORDS = 3
SET_ASIDE = 0
DROP = 2


@dataclass(slots=True)
class Word:
    """One word as understood; `start` and `end` [characters] point into the cleaned text."""

    form: str
    stem: str
    start: int
    end: int
    denied: bool = False
    dropped: bool = False


@dataclass(slots=True)
class Clause:
    """A stretch of words that says one thing."""

    words: list[Word]
    reassured: bool = False
    after_contrast: bool = False
    opened_by: str = ""


@dataclass(slots=True)
class Reading:
    """The whole text: cleaned characters, clauses, question or not, and which foot leads if it is told."""

    text: str
    clauses: list[Clause] = field(default_factory=list)
    question_cues: tuple[str, ...] = ()
    leading_foot: str | None = None

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
    """With the stance told, make front and back of left and right; return the leading foot."""
    forms = [word.form for word in words]
    left_leads = bool(lexicon.expressions(forms, lexicon.left_foot_leads))
    right_leads = bool(lexicon.expressions(forms, lexicon.right_foot_leads))
    if left_leads == right_leads:
        return None
    leading, trailing = (lexicon.left, lexicon.right) if left_leads else (lexicon.right, lexicon.left)
    for place, word in enumerate(words):
        if word.form not in leading and word.form not in trailing:
            continue
        near = forms[place + 1 : place + 3]
        if not any(form in lexicon.sided for form in near) and place and forms[place - 1] in lexicon.not_a_side:
            continue
        word.form = "front" if word.form in leading else "back"
        if near and near[0] in ("foot", "knee", "leg"):
            word.form += "knee" if near[0] == "knee" else "foot"
            words[place + 1].form = ""
        word.stem = stem(word.form)
    words[:] = [word for word in words if word.form]
    return "left" if left_leads else "right"


def _cut(words: list[Word], lexicon: Lexicon) -> list[Clause]:
    """Cut at marks, at contrast words, and at joining words once a clause is long enough."""
    clauses: list[Clause] = []
    current: list[Word] = []
    contrast = False
    opened = ""

    def close() -> None:
        nonlocal current
        if any(word.form[0].isalnum() for word in current):
            clauses.append(Clause(current, after_contrast=contrast, opened_by=opened))
        current = []

    for word in words:
        form = word.form
        if form in _MARKS_THAT_CUT:
            close()
            contrast, opened = False, form
        elif form in lexicon.contrast and (form == "but" or len(current) >= _SHORTEST_CLAUSE_WORDS or not current):
            close()
            contrast, opened = True, form
        elif (form in lexicon.breaks or form in lexicon.second_complaint) and len(current) >= _SHORTEST_CLAUSE_WORDS:
            close()
            contrast, opened = False, form
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
    spoken_well = set()
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
            word.dropped = DROP == 1 or (DROP == 2 and not virtue)
        if SET_ASIDE and not asked and reached and not virtue:
            if place <= 4 or SET_ASIDE > 1:
                clause.reassured = True


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
