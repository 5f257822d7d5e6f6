"""What a line says of a body in danger or of a part that may let go: told, denied, long over, or another's.

A sign is a part and what is said of it, heard in one clause or in clauses side by side. It counts as told unless
what is said of it is denied, is long over, or is about somebody who is not here; what is half said is asked about.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple
from zlib import crc32

from advisor.knowledge.tables import entry_fault
from advisor.knowledge.trees import Trees, of_trees
from advisor.signs.features import Said, pieces
from advisor.signs.judge import Judge, Judged, load_judge
from advisor.signs.lexicon import Found, Lexicon
from advisor.signs.line import Word, folded, words_of

__all__ = ["Heard", "Listener", "Sign", "load_listener", "load_rules"]

_WORDS, _BODY, _GEAR = "signs/words.yaml", "signs/body.yaml", "signs/gear.yaml"
_JUDGED = "signs/judged.yaml"
_FARTHEST_BACK = 3
_REMEMBERED = frozenset({"body", "gear", "kept"})
_KEPT_STATES = frozenset({"pain", "numb"})
_SPLIT = re.compile(r"[ ,|]+")
_NAMED, _NOT = "named_", "not_"
_LINKED = 4
_TOLD, _ENTRY = "told_sign", "danger_sign"
Level = Literal["emergency", "clinician", "not_ridden", "ask"]
_LEVELS: tuple[Level, ...] = ("emergency", "clinician", "not_ridden", "ask")


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign of harm.

    Parameters
    ----------
    id
        Its name.
    level
        What it calls for.
    groups
        Concepts that must all be heard, one of each group.
    unless
        Concepts with which it is not meant.
    entry
        The complaint that it is answered in.
    facts
        The answers that it gives there and elsewhere.
    denies
        The answers that it gives where it is denied.
    words
        The sign in plain words.
    bound
        Whether what is said must be said of the part itself, no other thing standing nearer.
    reach
        How many clauses apart its concepts may stand.
    source
        Where it comes from.

    """

    id: str
    level: Level
    groups: tuple[frozenset[str], ...]
    unless: frozenset[str]
    entry: str
    facts: Mapping[str, str]
    denies: Mapping[str, str]
    words: str
    bound: bool
    reach: int
    source: str


@dataclass(frozen=True, slots=True)
class Heard:
    """What a line was heard to say of signs.

    Parameters
    ----------
    told
        Signs told, the gravest first.
    denied
        Signs that were clearly denied.
    others
        Signs of somebody who is not here.
    concepts
        Parts and states named, for what the next line leaves unsaid.
    rest
        What is left of the line where no sign stands.

    """

    told: tuple[Sign, ...] = ()
    denied: tuple[Sign, ...] = ()
    others: tuple[Sign, ...] = ()
    concepts: frozenset[str] = frozenset()
    rest: str = ""


class _Hit(NamedTuple):
    concept: str
    start: int
    end: int
    clause: int
    denied: bool
    implied: bool = False


class _Ruled(NamedTuple):
    words: tuple[Word, ...]
    said: Said
    told: list[tuple[Sign, int]]
    denied: tuple[Sign, ...]
    others: tuple[Sign, ...]
    kept: frozenset[str]


class Listener:
    """Hears signs; made once from `trees/signs`.

    Parameters
    ----------
    words
        `words.yaml`: concepts, their kinds, and the small words that deny or part.
    signs
        The signs, gravest first where levels are equal.
    stamp
        What tells these words from others, to keep what is built of them.
    judged
        The signs that a line is judged to tell where no rule hears one: the first that goes with what is named.
    judge
        The model beside the rules; None: the rules alone.

    """

    def __init__(
        self,
        words: Mapping[str, Any],
        signs: Sequence[Sign],
        stamp: str = "",
        judged: Sequence[Sign] = (),
        judge: Judge | None = None,
    ) -> None:
        self._kinds: dict[str, str] = {name: kind for kind, rows in words["concepts"].items() for name in rows}
        rows = {name: row for rows in words["concepts"].values() for name, row in rows.items()}
        hidden = frozenset(name for name, kind in self._kinds.items() if kind == "hidden")
        self._lexicon = Lexicon(
            lambda: {name: _listed(row) for name, row in rows.items()},
            hidden,
            frozenset(_listed(words["slips"])),
            stamp,
        )
        self._signs = tuple(signs)
        self._judged, self._judge = tuple(judged), judge
        self._breaks = frozenset(_listed(words["breaks"]))
        self._denials = frozenset(_listed(words["denials"]))
        self._said_by_denial = {name for name, row in rows.items() if self._denials & set(_SPLIT.split(row))}
        self._no_denial = tuple(tuple(one.split()) for one in _listed(words["no_denial"]))
        self._lone_no = frozenset(_listed(words["lone_no"]))
        self._after_no = frozenset(_listed(words["after_lone_no"]))
        self._stops = frozenset(_listed(words["stops_denial"]))
        self._denied_after = tuple(tuple(one.split()) for one in _listed(words["denied_after"]))
        self._unclear = tuple(f" {one} " for one in _listed(words["unclear"]))
        self._joins = frozenset(_listed(words["joins"]))

    def kind(self, concept: str) -> str:
        """Return the kind of a concept."""
        return self._kinds.get(concept, "")

    def unclear(self, line: str) -> bool:
        """Return whether a line leaves open what it answers."""
        told = f" {' '.join(word.text for word in words_of(folded(line), self._breaks))} "
        return any(words in told for words in self._unclear)

    def named(self, ids: Iterable[str]) -> tuple[Sign, ...]:
        """Return signs by their names; a name that is gone is left out."""
        wanted = set(ids)
        return tuple(sign for sign in (*self._signs, *self._judged) if sign.id in wanted)

    def hear(self, line: str, context: Iterable[str] = ()) -> Heard:
        """Return what a line says of signs.

        Parameters
        ----------
        line
            What was typed.
        context
            Parts and states that the talk is about, for a line that names none.

        """
        ruled = self._ruled(line, context)
        if ruled is None:
            return Heard()
        told = ruled.told
        if self._judge is not None and ruled.words:
            told = self._settled(self._judge, ruled)
        clauses = {clause for _, clause in told}
        rest = " ".join(word.text for word in ruled.words if word.clause not in clauses) if told else line
        ranked = tuple(sorted((sign for sign, _ in told), key=lambda sign: _LEVELS.index(sign.level)))
        return Heard(ranked, ruled.denied, ruled.others, ruled.kept, rest)

    def spoken(self, line: str, context: Iterable[str] = ()) -> tuple[list[set[str]], tuple[str, ...], frozenset[str]]:
        """Return what the judge is given of a line, the signs that the rules hear in it, and what it is about."""
        ruled = self._ruled(line, context)
        if ruled is None or not ruled.words:
            return [set()], (), frozenset()
        graver = tuple(sign.id for sign, _ in ruled.told if sign.level != "ask")
        return list(pieces(ruled.words, ruled.said)), graver, ruled.kept

    def judged(self, line: str, context: Iterable[str] = ()) -> Judged | None:
        """Return what the judge alone makes of a line; None without a judge or without words."""
        ruled = self._ruled(line, context)
        if self._judge is None or ruled is None or not ruled.words:
            return None
        return self._judge.judge(pieces(ruled.words, ruled.said))

    def _ruled(self, line: str, context: Iterable[str]) -> _Ruled | None:
        """Return what the rules hear in a line; None where it has no words."""
        text = folded(line)
        words = words_of(text, self._breaks)
        found, unspaced = self._lexicon.find(words, text)
        if not found and not unspaced and not words:
            return None
        hits = self._hits(words, found, unspaced)
        here = {hit.concept for hit in hits}
        named = {self.kind(hit.concept) for hit in hits}
        for concept in context:
            kind = self.kind(concept)
            if concept not in here and not (kind == "gear" and named & {"gear", "thing"}):
                hits += [_Hit(concept, -1, -1, -1, False, True)]
        told, denied, others, untold = [], [], [], []
        by_concept: dict[str, list[_Hit]] = {}
        for hit in hits:
            by_concept.setdefault(hit.concept, []).append(hit)
        for sign in self._signs:
            state, clause = self._state_of(sign, by_concept, hits)
            if state == "told":
                told.append((sign, clause))
            elif state in {"past", "other_here"}:
                told.append((_asked_about(sign), clause))
            elif state == "denied":
                denied.append(sign)
            elif state == "other":
                others.append(sign)
            if state and state != "told":
                untold.append(state + sign.id)
        kept = frozenset(
            hit.concept
            for hit in hits
            if not hit.implied
            and (self.kind(hit.concept) in _REMEMBERED or (hit.concept in _KEPT_STATES and not hit.denied))
        )
        said = Said(
            tuple((hit.concept, hit.clause, hit.denied) for hit in hits if not hit.implied),
            tuple(hit.concept for hit in hits if hit.implied),
            tuple((f"{sign.level[0]}{sign.id}", clause) for sign, clause in told),
            tuple(untold),
        )
        return _Ruled(tuple(words), said, told, tuple(denied), tuple(others), kept)

    # ------------------------------------------------------------------ rules and judge together

    def _settled(self, judge: Judge, ruled: _Ruled) -> list[tuple[Sign, int]]:
        """Return the signs that stand: the rules' where they are precise, the judge's where it is sure."""
        judged = judge.judge(pieces(ruled.words, ruled.said))
        limits = judge.limits
        told = []
        for sign, clause in ruled.told:
            least = limits["ask"] if sign.id in judge.sure else limits["keep"]
            if sign.level == "ask" or judged.share >= least:
                told.append((sign, clause))
            elif judged.share >= limits["drop"]:
                told.append((_asked_about(sign), clause))
        graver = {sign.level for sign, _ in told}
        if judged.shares["emergency"] >= limits["tell"] and "emergency" not in graver:
            told += self._judged_as("emergency", ruled)
        elif not graver - {"ask"} and judged.share >= limits["tell"]:
            told += self._judged_as(judged.level, ruled)
        elif not graver and judged.share >= limits["ask"]:
            told += self._judged_as("ask", ruled, judged.shares["not_ridden"] > judged.share / 2)
        elif graver == {"ask"} and judged.share < limits["drop_ask"]:
            told = []
        return told

    def _judged_as(self, level: str, ruled: _Ruled, gear: bool = False) -> list[tuple[Sign, int]]:
        """Return the first judged sign of a level that goes with what the line names or is about."""
        concepts = {name for name, _, _ in ruled.said.concepts}
        for named in (concepts, {*concepts, *ruled.said.about}):
            for sign in self._judged:
                if sign.level != level or (level == "ask" and gear != (sign.entry != _ENTRY)):
                    continue
                goes = not sign.groups[0].isdisjoint(named) if sign.groups else named is not concepts
                if goes:
                    return [(sign, 0)]
        return []

    # ------------------------------------------------------------------ concepts in the line

    def _hits(self, words: Sequence[Word], found: Sequence[Found], unspaced: frozenset[str]) -> list[_Hit]:
        found = [one._replace(concept=one.concept.removeprefix(_NAMED)) for one in found]
        scopes = self._denied_words(words, found)
        hits = []
        for one in self._without_shadowed(found):
            denied = one.start in scopes and self.kind(one.concept) not in {"body", "gear", "thing", "marker"}
            denied = denied or self._denied_behind(words, one) or self._denied_inside(words, one)
            hits.append(_Hit(one.concept, one.start, one.end, words[one.start].clause, denied))
        return hits + [_Hit(concept, 0, 0, 0, False) for concept in unspaced]

    def _without_shadowed(self, found: Sequence[Found]) -> list[Found]:
        """Leave out what longer words show to be meant otherwise: `not_spine` in "the back binding"."""
        shadows = [one for one in found if one.concept.startswith(_NOT)]
        return [
            one for one in found
            if not any(
                shade.concept == _NOT + one.concept and shade.start < one.end and one.start < shade.end
                for shade in shadows
            )
        ]  # fmt: skip

    def _denied_words(self, words: Sequence[Word], found: Sequence[Found]) -> set[int]:
        """Return the words that a denial before them covers, to the end of its clause or of the list it opens."""
        inside = {at for one in found if self.kind(one.concept) != "marker" for at in range(one.start, one.end)}
        starts = {one.start for one in found}
        covered: set[int] = set()
        open_in = -1
        for at, word in enumerate(words):
            if word.clause != open_in:
                listed = open_in >= 0 and word.clause == open_in + 1 and self._goes_on(words, at, starts)
                open_in = word.clause if listed else -1
            if open_in >= 0:
                if word.text in self._stops:
                    open_in = -1
                else:
                    covered.add(at)
            if word.text in self._denials and at not in inside and not self._is_no_denial(words, at):
                open_in = word.clause
        return covered

    def _goes_on(self, words: Sequence[Word], at: int, starts: set[int]) -> bool:
        """Return whether a clause goes on with a list that was denied: "no swelling, fall or locking"."""
        clause = [i for i in range(at, len(words)) if words[i].clause == words[at].clause]
        return all(i in starts or words[i].text in self._joins for i in clause) or words[at].text in {"or", "nor"}

    def _is_no_denial(self, words: Sequence[Word], at: int) -> bool:
        told = [word.text for word in words[at : at + 4] if word.clause == words[at].clause]
        if any(tuple(told[: len(phrase)]) == phrase for phrase in self._no_denial):
            return True
        return words[at].text in self._lone_no and (len(told) == 1 or told[1] in self._after_no)

    def _denied_behind(self, words: Sequence[Word], one: Found) -> bool:
        """Return whether a denial follows what is said: "the swelling is gone"."""
        if self.kind(one.concept) in {"body", "gear", "thing", "marker"}:
            return False
        clause = words[one.start].clause
        behind = [word.text for word in words[one.end : one.end + 5] if word.clause == clause]
        return any(
            tuple(behind[i : i + len(phrase)]) == phrase
            for phrase in self._denied_after
            for i in range(min(2, len(behind)))
        )

    def _denied_inside(self, words: Sequence[Word], one: Found) -> bool:
        """Return whether a denial stands within what is said: "head fine, never hit it"."""
        if one.concept in self._said_by_denial:
            return False
        return any(word.text in self._denials for word in words[one.start + 1 : one.end - 1])

    # ------------------------------------------------------------------ signs

    def _state_of(self, sign: Sign, spoken: Mapping[str, list[_Hit]], hits: Sequence[_Hit]) -> tuple[str, int]:
        if any(group.isdisjoint(spoken) for group in sign.groups):
            return "", 0
        groups = [[hit for concept in group for hit in spoken.get(concept, ())] for group in sign.groups]
        if not all(groups):
            return "", 0
        if all(hit.implied for group in groups for hit in group):
            return "", 0
        best = ""
        where = 0
        for last in groups[-1]:
            others = [self._nearest(group, last, sign, hits) for group in groups[:-1]]
            if any(one is None for one in others) or (last.implied and all(one.implied for one in others if one)):
                continue
            chosen = [one for one in (*others, last) if one]
            state = self._told(sign, chosen, spoken)
            if state == "told":
                return state, last.clause if last.clause >= 0 else chosen[0].clause
            best = best or state
        return best, where

    def _nearest(self, group: Sequence[_Hit], last: _Hit, sign: Sign, hits: Sequence[_Hit]) -> _Hit | None:
        """Return the hit of a group that goes with what is said, or None where none stands near enough."""

        def goes_with(hit: _Hit) -> bool:
            if hit.implied or last.implied or abs(hit.clause - last.clause) <= sign.reach:
                return hit is not last
            return self._linked(hit, last, hits)

        near = [hit for hit in group if goes_with(hit)]
        if not near:
            return None
        chosen = min(near, key=lambda hit: (hit.denied, *self._distance(hit, last)))
        kind = self.kind(chosen.concept)
        if sign.bound and kind in {"body", "gear"} and not last.implied:
            things = [hit for hit in hits if self.kind(hit.concept) in {"body", "gear", "thing"} and hit is not last]
            first = min(things, key=lambda hit: self._distance(hit, last), default=chosen)
            same = self._distance(first, last) == self._distance(chosen, last)
            if not same and first.concept not in {hit.concept for hit in group}:
                return None
        return chosen

    def _linked(self, hit: _Hit, last: _Hit, hits: Sequence[_Hit]) -> bool:
        """Return whether what is said some clauses later still is about a part: no other part named since."""
        if self.kind(hit.concept) not in {"body", "gear"} or not 0 < last.clause - hit.clause <= _LINKED:
            return False
        return not any(
            hit.clause < other.clause <= last.clause and self.kind(other.concept) in {"body", "gear", "thing"}
            for other in hits
        )

    def _distance(self, hit: _Hit, last: _Hit) -> tuple[int, int]:
        """Return how far a part stands from what is said: in clauses, then in words; before it counts as nearer."""
        if hit.implied:
            return (_FARTHEST_BACK, 0)
        apart = last.clause - hit.clause
        clauses = apart if apart >= 0 else -apart + 1
        words = last.start - hit.end if hit.end <= last.start else (hit.start - last.end) + 1
        return (clauses, max(words, 0))

    def _told(self, sign: Sign, chosen: Sequence[_Hit], spoken: Mapping[str, list[_Hit]]) -> str:
        clauses = {hit.clause for hit in chosen if hit.clause >= 0}
        if any(hit.denied for hit in chosen):
            return "denied"

        def beside(concept: str, reach: int) -> bool:
            return any(
                hit.implied is False and min(abs(hit.clause - clause) for clause in clauses) <= reach and not hit.denied
                for hit in spoken.get(concept, ())
            )

        if any(beside(concept, 1) for concept in sign.unless) or beside("joking", 1):
            return ""
        gear = sign.level == "not_ridden"
        if beside("mended", 3) if gear else beside("over", 1) and not beside("still", 1):
            return "over"
        if beside("absent", 1):
            return "other"
        if beside("used_to", 0) and not gear and sign.level != "ask" and not beside("still", 1):
            return "past"
        if beside("asking", 0) and not beside("still", 0):
            return ""
        if beside("other_person", 0) and not gear:
            return "other_here"
        return "told"


def _asked_about(sign: Sign) -> Sign:
    """Return a sign half told, of long ago or of somebody else, as one to ask about."""
    if sign.level == "not_ridden":
        return replace(sign, level="ask", facts={})
    return replace(sign, level="ask", entry=_ENTRY, facts={_TOLD: "ask_body"})


def _listed(told: Any) -> tuple[str, ...]:
    """Return words written in one text, parted by commas."""
    return tuple(word for one in str(told or "").split(",") if (word := one.strip().replace("'", "")))


def _sign(name: str, raw: Mapping[str, Any], file: str) -> Sign:
    try:
        level, words, source = raw["level"], str(raw["words"]), str(raw["source"])
        groups = tuple(frozenset(map(str, group)) for group in raw["hear"])
    except (KeyError, TypeError) as error:
        raise entry_fault(file, name, f"expected level, hear, words and source; {error} is not there") from None
    if level not in _LEVELS:
        raise entry_fault(file, name, f"expected level as one of {', '.join(_LEVELS)}, found {level!r}")
    facts = {str(fact): str(option) for fact, option in raw.get("facts", {}).items()}
    if raw.get("tells"):
        facts[_TOLD] = str(raw["tells"])
    if not facts and not raw.get("entry"):
        raise entry_fault(file, name, "expected what it tells, or the entry that it leads to")
    return Sign(
        name, level, groups, frozenset(raw.get("unless") or ()), str(raw.get("entry") or _ENTRY), facts,
        {str(fact): str(option) for fact, option in (raw.get("denies") or {}).items()}, words,
        bool(raw.get("bound", False)), int(raw.get("reach", 1)), source,
    )  # fmt: skip


def _signs(concepts: frozenset[str], trees: Trees, *files: str) -> Iterator[Sign]:
    for file in files:
        for name, raw in trees.table(file).items():
            sign = _sign(name, raw, file)
            for concept in frozenset().union(*sign.groups, sign.unless):
                if concept not in concepts:
                    raise entry_fault(file, name, f"there is no concept '{concept}' in trees/{_WORDS}")
            yield sign


@of_trees
def load_rules(trees: Trees) -> Listener:
    """Load the listener without its judge: the rules alone, as the judge is trained beside them."""
    return _listener(trees, None)


@of_trees
def load_listener(trees: Trees) -> Listener:
    """Load the listener.

    Raises
    ------
    KnowledgeError
        When a file of `trees/signs` cannot be read, or a sign names a concept that has no words.

    """
    return _listener(trees, load_judge())


def _listener(trees: Trees, judge: Judge | None) -> Listener:
    words = trees.table(_WORDS)
    concepts = frozenset(name for rows in words["concepts"].values() for name in rows)
    stamp = f"{crc32(repr(words['concepts']).encode()):08x}"
    signs, judged = tuple(_signs(concepts, trees, _BODY, _GEAR)), tuple(_signs(concepts, trees, _JUDGED))
    return Listener(words, signs, stamp, judged, judge)
