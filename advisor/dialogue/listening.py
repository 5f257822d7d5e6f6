"""What of a line is a complaint: clause by clause, with whose it is and when; what came before it; and what is vague.

Unknown words of a story never veto a clear complaint, and a complaint beside an answer needs a clause of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from advisor.dialogue.choosing import answer_words
from advisor.knowledge.trees import authors
from advisor.match.expressions import Expressions
from advisor.match.heard import Clause, Heard, hearing

if TYPE_CHECKING:
    from advisor.match import Matcher, Matching

_SURE_CLAUSE = 0.9
_CUED = 0.6
_UNCUED = 0.8
_OFFERED = 0.3
_FEWEST_WORDS = 3
_MOST_CLAUSES = 6


class Listened(NamedTuple):
    """What a line of free words comes to.

    Parameters
    ----------
    matching
        The entries it may mean; of the clause that tells the complaint where the whole line does not.
    second
        A second complaint, told now and of this rider.
    offered
        Entries to offer with "did you mean", where nothing is sure.

    """

    matching: Matching
    second: str = ""
    offered: tuple[str, ...] = ()


class Beside(NamedTuple):
    """A complaint beside an answer: its entry, and the words that are left for the answer."""

    entry: str
    rest: str


class _Words:
    def __init__(self, data: Mapping[str, Any]) -> None:
        self.also = Expressions.of(data["also_cues"])
        self.also_weak = Expressions.of(data["also_weak"])
        self.switch = Expressions.of(data["switch_cues"])
        self.switch_strong = frozenset(data["switch_strong"])
        self.because = frozenset(data["because"])
        self.diagnosing = Expressions.of(data["diagnosing"])
        self.vague = Expressions.of(data["vague"])
        self.around = answer_words().small | frozenset(data["vague_around"])
        self.small = frozenset(data["small_words"])
        self.changed = Expressions((words, what) for what, ways in data["changed"].items() for words in ways)
        self.since = Expressions((words, when) for when, ways in data["since"].items() for words in ways)
        self.subjects = frozenset(data["subjects"])
        self.since_joins = frozenset(["since", "after", "ever since"])


@cache
def _words() -> _Words:
    return _Words(hearing(authors()).data)


def listen(matcher: Matcher, heard: Heard, known: Collection[str]) -> Listened:
    """Return what a line of free words complains of.

    Parameters
    ----------
    matcher
        Ranks the entries.
    heard
        The line.
    known
        The entries that are written.

    """
    whole = matcher.match(heard.text)
    best = whole.matches[0]
    both = whole.second is not None and whole.second.id in {one.id for one in whole.matches[:2]}
    since = any(_tells_since(heard, clause) for clause in heard.clauses)
    if since or not whole.understood:
        clear = _clear(matcher, heard, known)
        told = {one.matches[0].id for one, when in clear if not when}
        two_told = whole.understood and both and told.issuperset(one.id for one in whole.matches[:2])
        if clear and not two_told:
            found = max((one for one, _ in clear), key=lambda one: one.matches[0].score)
            return Listened(found, _second(matcher, heard, found, known))
    if whole.understood and (whole.sure or both) and best.id in known:
        return Listened(whole, _second(matcher, heard, whole, known))
    if not whole.understood:
        offered = tuple(one.id for one in whole.matches[:3] if one.score >= _OFFERED and one.id in known)
        return Listened(whole, offered=offered)
    return Listened(whole, _second(matcher, heard, whole, known))


def _clear(matcher: Matcher, heard: Heard, known: Collection[str]) -> list[tuple[Matching, bool]]:
    """Return the matchings of the stretches that tell a complaint clearly, each with whether it tells since when."""
    made = []
    for text, when in _own_stretches(heard):
        found = matcher.match(text)
        if found.understood and found.sure and found.matches[0].id in known and found.matches[0].score >= _SURE_CLAUSE:
            made.append((found, when))
    return made


def _own_stretches(heard: Heard) -> list[tuple[str, bool]]:
    """Return the clauses about this rider and now; of one that tells since when (True), what stands behind that."""
    mixed = any(one.owner == "other" for one in heard.clauses)
    made = []
    for clause in heard.clauses[:_MOST_CLAUSES]:
        if clause.owner == "other" or clause.when == "past" or (mixed and clause.owner != "own"):
            continue
        denied = not hearing(authors()).denials.isdisjoint(heard.forms[clause.start : clause.end])
        if denied and not _denial_is_the_complaint(heard, clause):
            continue
        if clause.end - clause.start >= _FEWEST_WORDS:
            made.append((heard.of(clause), _tells_since(heard, clause)))
        if _tells_since(heard, clause):
            made += [(text, False) for text in _behind(heard, clause)]
    return made


def _tells_since(heard: Heard, clause: Clause) -> bool:
    joins = _words().since_joins
    return clause.joined in joins or heard.forms[clause.start] in joins


def _behind(heard: Heard, clause: Clause) -> list[str]:
    """Return the ends of a clause that may be a complaint of their own: "since I hit a rock the tail washes out"."""
    starts = [
        place for place in range(clause.start + 2, clause.end - 1) if heard.forms[place] in _words().subjects
    ]  # fmt: skip
    return [heard.words(place, clause.end) for place in starts[-3:]]


def _second(matcher: Matcher, heard: Heard, whole: Matching, known: Collection[str]) -> str:
    """Return the second complaint of a line where a clause about this rider tells it now and nothing denies it."""
    second = whole.second
    if second is None or second.id not in known:
        return ""
    for clause in heard.clauses:
        if len(heard.clauses) < 2 or second.id != matcher.match(heard.of(clause)).matches[0].id:
            continue
        denied = hearing(authors()).denials.intersection(heard.forms[clause.start : clause.end])
        virtue = _denial_is_the_complaint(heard, clause)
        if clause.owner == "other" or clause.when == "past" or (denied and not virtue):
            return ""
    return second.id


def _denial_is_the_complaint(heard: Heard, clause: Clause) -> bool:
    """Tell whether a denial is itself the complaint: "can't feel my toes", "won't hold", "no pop"."""
    forms = heard.forms[clause.start : clause.end]
    return any(form in {"can't", "cant", "cannot", "won't", "wont", "couldn't"} for form in forms) and not any(
        form in {"don't", "doesn't", "isn't", "aren't", "not", "dont", "doesnt", "isnt", "arent"} for form in forms
    )


def symptom_first(heard: Heard, matcher: Matcher, best: str, second: str) -> bool:
    """Return whether the second complaint is what is felt, and the first only the rider's own idea of why."""
    if not second:
        return False
    words = _words()
    for clause in heard.clauses:
        told = matcher.match(heard.of(clause)).matches[0].id
        if told == second and clause.joined in words.because:
            return True
        if told == best and words.diagnosing.find(heard.forms, clause.start, clause.end):
            return True
    return False


def beside_an_answer(
    matcher: Matcher,
    heard: Heard,
    current: str,
    known: Collection[str],
    answers: Callable[[str], bool],
) -> Beside | None:
    """Return the complaint that a line tells beside an answer, in a clause of its own.

    Parameters
    ----------
    matcher
        Ranks the entries.
    heard
        The line.
    current
        The complaint that is open.
    known
        The entries that are written.
    answers
        Whether words answer the open question by themselves: such a clause is no complaint.

    """
    words = _words()
    answered = answers(heard.text)
    for place, clause in enumerate(heard.clauses):
        start = clause.start if place == 0 else heard.clauses[place - 1].end
        cued = _cued(heard, clause, start, words.also)
        weakly = bool(words.also_weak.find(heard.forms, start, clause.end))
        if clause.owner == "other" or not (cued or (place and (weakly or not answered))):
            continue
        best: tuple[float, str, int] = (0.0, "", 0)
        for end in dict.fromkeys((clause.end, _sentence_end(heard, clause.end), len(heard.tokens))):
            told = heard.words(clause.start, end)
            if len(told.split()) < (2 if cued else _FEWEST_WORDS):
                continue
            found = matcher.match(told)
            one = found.matches[0]
            if not (cued and found.sure and one.score >= _UNCUED and len(told.split()) > _FEWEST_WORDS) and answers(
                told
            ):
                continue
            least = _CUED if cued else _UNCUED
            clear = found.understood and one.score >= least and (cued or found.sure)
            if clear and one.id != current and one.id in known and one.score > best[0]:
                best = one.score, one.id, end
        if best[1]:
            rest = f"{heard.words(0, start)} {heard.words(best[2], len(heard.tokens))}".strip(" ,.;!+")
            return Beside(best[1], rest)
    return None


def _cued(heard: Heard, clause: Clause, start: int, cues: Expressions[str]) -> bool:
    """Tell whether a clause says "also" or the like, or a short one right behind it does: "..., that too"."""
    if clause.joined == "also" or cues.find(heard.forms, start, clause.end):
        return True
    after = next((one for one in heard.clauses if one.start > clause.start), None)
    return after is not None and after.end - after.start <= 2 and bool(cues.find(heard.forms, after.start, after.end))


def _sentence_end(heard: Heard, place: int) -> int:
    return next((n for n in range(place, len(heard.forms)) if heard.forms[n] in {".", "!", "?", ";"}), len(heard.forms))


def instead(matcher: Matcher, heard: Heard, current: str, known: Collection[str], answered: bool) -> str:
    """Return the complaint that a line wants taken up in the place of the open one; empty where it wants none."""
    words = _words()
    found = words.switch.find(heard.forms)
    if answered:
        found = [one for one in found if one.means in words.switch_strong]
    if not found:
        return ""
    first = heard.clause_at(found[0].start)
    after = [one for one in heard.clauses if first is None or one.start > first.start]
    texts = [heard.of(one) for one in after if one.end - one.start >= _FEWEST_WORDS]
    texts.append(heard.words(found[0].end, len(heard.tokens)))
    texts.append(heard.text)
    best: tuple[float, str] = (0.0, "")
    for text in texts:
        if not text.strip():
            continue
        matching = matcher.match(text)
        one = matching.matches[0]
        if matching.understood and one.id != current and one.id in known and one.score > best[0]:
            best = one.score, one.id
    return best[1] if best[0] >= 0.5 else ""


def is_vague(heard: Heard) -> bool:
    """Return whether a line says that something is wrong and nothing that can be looked at."""
    words = _words()
    found = words.vague.find(heard.bare)
    if not found:
        return False
    said = {place for one in found for place in range(one.start, one.end)}
    left = [
        form for place, form in enumerate(heard.bare)
        if place not in said and form[0].isalpha() and form not in words.around
    ]  # fmt: skip
    return not left


def changes_told(heard: Heard) -> dict[str, str]:
    """Return what a line says was changed before it began, and since when: `what_changed`, `since_when`."""
    words = _words()
    made: dict[str, str] = {}
    for clause in heard.clauses:
        if clause.owner == "other":
            continue
        joined = clause.joined in words.since_joins
        inside = {"since", "after", "changed", "new", "remounted"}.intersection(heard.forms[clause.start : clause.end])
        if joined or inside:
            for one in words.changed.find(heard.bare, clause.start, clause.end):
                made.setdefault("what_changed", one.means)
        start = clause.start - 1 if joined and clause.start else clause.start
        for when in words.since.find(heard.forms, start, clause.end):
            made.setdefault("since_when", when.means)
    return made
