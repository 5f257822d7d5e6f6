"""The walk: which suspects the facts clear, which cause they show, and what to ask next.

Every suspect is followed as far as the facts reach. A check on a measure is decided by geometry; where its ± spans two
branches, all of them are followed, and a measurement is asked for only if they end differently. A question is put only
if its answers end differently. What is left open is ordered by probability over cost (Kadane & Simon 1977): free lines
first, then the likeliest for the least bench time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import inf

from advisor.dialogue.case import Case
from advisor.dialogue.gate_rules import load_gate
from advisor.dialogue.lines import Lead, Line, Question, Step, Walk
from advisor.dialogue.not_ruled_out import doubted_fact, likeliest_left, number_to_measure
from advisor.dialogue.wanting import wanted
from advisor.dialogue.worth import asking, worth
from advisor.geometry.measuring import Measured, measure, spread
from advisor.geometry.one_number import measure_or_field
from advisor.geometry.register import places
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import (
    CLEARED,
    NOT_ENOUGH_KNOWN,
    Aim,
    Ask,
    Cause,
    Check,
    Entry,
    Fact,
    Jump,
    Mount,
    Refer,
    Span,
    Suspect,
    feet_named,
)
from advisor.graph.window_branches import spans_at
from advisor.sheet.fields import field_rows
from advisor.sheet.readings import Reading
from advisor.sheet.setup import FootSide
from advisor.solve.windows import TINY, load_windows

__all__ = ["Lead", "Line", "Question", "Step", "Walk", "walk"]

_SETTINGS = ("mount.", "board.insert_pattern")
_MM_PER_UNIT = {"cm": 10.0, "m": 1000.0}


@dataclass(frozen=True, slots=True)
class _Assumed:
    """Answers and branches taken for the sake of argument."""

    answers: Mapping[str, str] = field(default_factory=dict)
    spans: Mapping[str, int] = field(default_factory=dict)


_TOUCH = 3 * TINY
_NOTHING_ASSUMED = _Assumed()
_NONE_SEEN: frozenset[str] = frozenset()


def walk(knowledge: Knowledge, case: Case) -> Walk:
    """Follow every suspect of a case's entry.

    Parameters
    ----------
    knowledge
        The compiled knowledge.
    case
        The complaint at this moment.

    Returns
    -------
    Walk
        With `found` where a cause is shown or nothing is left, else with the open `questions`, worth most first.

    """
    entry = knowledge.entry(case.entry)
    walker = _Walker(knowledge, case, entry)
    lines = tuple([walker.follow(s) for s in entry.suspects if s.name not in case.ruled_out])
    found = [line for line in lines if line.status == "found"]
    best = max(found, key=lambda line: line.suspect.odds) if found else None
    least_minutes = asking(case.trees).least_minutes
    asks = [line for line in lines if line.question]
    open_lines = sorted(asks, key=lambda line: worth(line, least_minutes), reverse=True)
    if best is not None:
        open_lines = [line for line in open_lines if walker.likelier_unread(line, best)]
        if not open_lines:
            return Walk(entry, lines, found=best)
    if open_lines:
        asked: dict[str, Question] = {}
        for line in open_lines:
            if line.question:
                asked.setdefault(line.question.fact.id, line.question)
        return Walk(entry, lines, questions=tuple(asked.values()))
    left = likeliest_left(
        lines,
        walker.suppose,
        lambda fact: tuple(knowledge.facts[fact].options),
        case.weak,
        asking(case.trees).least_habit,
    )
    if left is not None:
        doubted = knowledge.facts[doubted_fact(left)]
        if left.question:
            return Walk(entry, lines, questions=(left.question,), doubted=doubted)
        return Walk(entry, lines, found=left, doubted=doubted)
    number = number_to_measure(lines, walker.sharper, walker.spans_of)
    if number is not None:
        return Walk(entry, lines, questions=(number,))
    last = Suspect(entry.nothing_left, 1.0, "nothing left")
    if entry.kind == "symptom" and _mostly_unchecked(lines):
        unknown = Refer(NOT_ENOUGH_KNOWN, NOT_ENOUGH_KNOWN)
        return Walk(entry, lines, found=Line(last, "found", end=unknown))
    return Walk(entry, lines, found=walker.follow(last))


def _mostly_unchecked(lines: Sequence[Line]) -> bool:
    """Return whether what could not be looked at is likelier than what was ruled out."""
    unchecked = sum(line.suspect.odds for line in lines if line.status == "unchecked")
    return unchecked > sum(line.suspect.odds for line in lines if line.status == "cleared")


class _Walker:
    """Follows nodes with the facts of one case."""

    def __init__(self, knowledge: Knowledge, case: Case, entry: Entry) -> None:
        self.knowledge = knowledge
        self.case = case
        self.entry = entry
        self.taken: dict[str, Measured] = {}
        self.spans: dict[str, tuple[Span, ...]] = {}

    def follow(self, suspect: Suspect) -> Line:
        """Follow a suspect from its start."""
        return self._follow(suspect.start, Line(suspect, "open"), _NOTHING_ASSUMED, _NONE_SEEN)

    def likelier_unread(self, line: Line, found: Line) -> bool:
        """Return whether a likelier suspect than the one found waits only for a number that nobody has read off yet."""
        question = line.question
        if question is None or not isinstance(question.node, Check) or line.suspect.odds <= found.suspect.odds:
            return False
        name = question.fact.id
        return self.case.sheet.value(name) is None and name not in question.node.settle_with

    def suppose(self, line: Line, at: int, option: str) -> Line:
        """Follow a line again from one of its questions, with an answer supposed."""
        node = line.steps[at].node
        assert isinstance(node, Ask)
        assumed = _with_answer(_NOTHING_ASSUMED, node.fact, option)
        return self._follow(node.id, line._replace(status="open", steps=line.steps[:at]), assumed, _NONE_SEEN)

    def _follow(self, place: str, line: Line, assumed: _Assumed, seen: frozenset[str]) -> Line:
        nodes = self.entry.nodes
        while True:
            node = nodes.get(place)
            if node.__class__ is Ask:
                place, line = self._pass_answered(place, line, assumed, seen)
                node = nodes.get(place)
            if node is None:
                if place != CLEARED:
                    raise KeyError(place)
                return line.ended("cleared")
            if place in seen:
                return line.ended("unchecked")
            if isinstance(node, Cause):
                line = line.with_steps((*line.steps, Step(node)), node.cause)
            elif isinstance(node, Check):
                return self._check(node, line, assumed, seen | {place})
            elif isinstance(node, Ask):
                return self._ask(node, line, assumed, seen | {place})
            elif not isinstance(node, Jump):
                return line.ended("found", node)
            seen |= {place}
            place = node.go

    # ------------------------------------------------------------------ questions

    def _pass_answered(self, place: str, line: Line, assumed: _Assumed, seen: frozenset[str]) -> tuple[str, Line]:
        """Pass a run of questions that are answered already and name no foot, in one sweep: most of a walk is that."""
        nodes, told = self.entry.nodes, self.case.answers
        if assumed.answers:
            told = {**told, **assumed.answers}
        node = nodes.get(place)
        steps: list[Step] = []
        for _ in nodes:
            if node.__class__ is not Ask or node.feet or place in seen:
                break
            answer = told.get(node.fact)
            if answer is None:
                break
            steps.append(Step.answered(node, answer))
            place = node.ways.get(answer, node.unsure)
            node = nodes.get(place)
        if not steps:
            return place, line
        return place, line.with_steps((*line.steps, *steps))

    def _ask(self, node: Ask, line: Line, assumed: _Assumed, seen: frozenset[str]) -> Line:
        answer = assumed.answers.get(node.fact) or self._answer(node.fact)
        if answer is not None:
            step = Step(node, answer=answer)
            go = node.ways.get(answer, node.unsure)
            feet = (node.feet[answer],) if answer in node.feet else line.feet
            return self._follow(go, line._replace(steps=(*line.steps, step), feet=feet), assumed, seen)
        if node.fact in self.case.unsure:
            step = Step(node, sure=False)
            return self._follow(node.unsure, line._replace(steps=(*line.steps, step)), assumed, seen)
        fact = self.knowledge.facts[node.fact]
        same_numbers = True
        if node.fact in field_rows():
            leads, same_numbers = self._leads_on_the_sheet(fact, line, assumed)
        else:
            leads = tuple(
                Lead(option, self._follow(node.id, line, _with_answer(assumed, node.fact, option), seen - {node.id}))
                for option in fact.options
            )
        same_feet = not node.feet or len({lead.line.feet for lead in leads}) == 1
        if _all_alike(leads) and same_numbers and same_feet:
            return _regardless(line, Step(node, moot=True), leads)
        return line._replace(status="open", question=Question(fact, node, line.suspect, leads, minutes=fact.minutes))

    def _leads_on_the_sheet(self, fact: Fact, line: Line, assumed: _Assumed) -> tuple[tuple[Lead, ...], bool]:
        """Return what each option of a field leads to, and whether what is aimed at has the same numbers for all.

        Each is followed from the start, for the field moves numbers that were looked at before it.
        """
        leads: list[Lead] = []
        numbers = set()
        for option in fact.options:
            told = _Walker(self.knowledge, self.case.with_told(fact.id, option), self.entry)
            start = Line(line.suspect, "open")
            led = told._follow(line.suspect.start, start, assumed, _NONE_SEEN)
            leads.append(Lead(option, led))
            numbers.add(told.numbers_at(led))
        return tuple(leads), len(numbers) == 1

    def numbers_at(self, line: Line) -> tuple[object, ...]:
        """Return what an answer's size hangs on where a line ends in an aim; a whole mount differs for each sheet."""
        if isinstance(line.end, Mount):
            return (self,)
        if not isinstance(line.end, Aim):
            return ()
        found: list[object] = []
        for target in line.end.targets:
            for side in feet_named(target.foot, line.feet):
                one = self._measure(target.measure, side)
                window = load_windows(self.case.trees).window(one.key, self.case.known.setup)
                found += [round(one.value, 6) if one.known else None, window and window.good]
        return tuple(found)

    def _answer(self, fact: str) -> str | None:
        if fact in self.case.answers:
            return self.case.answers[fact]
        if "." not in fact:
            return self.knowledge.facts[fact].taken_as.get(str(self.case.sheet.value("bindings.kind")))
        value = self.case.sheet.value(fact)
        return str(value) if value is not None else None

    # ------------------------------------------------------------------ checks

    def _check(self, node: Check, line: Line, assumed: _Assumed, seen: frozenset[str]) -> Line:
        taken = [self._measure(node.measure, side) for side in feet_named(node.foot, line.feet)]
        spans = self.spans_of(node)
        forced = assumed.spans.get(node.id)
        if forced is None and not all(one.known for one in taken):
            return self._gap(node, line, assumed, seen, taken)
        if forced is not None:
            chosen, sure = forced, True
            feet = _feet_at(spans, taken, chosen)
        else:
            branches = [_branch(spans, one.value) for one in taken]
            chosen = min(branches)
            reach = [_reached(spans, one) for one in taken]
            possible = {min(pick, other) for pick in reach[0] for other in reach[-1]}
            sure = len(possible) == 1
            if not sure:
                if node.unknown and not _all_alike(self._leads(node, line, assumed, seen, possible)):
                    step = Step(node, measured=tuple(taken))
                    return self._follow(node.unknown, line._replace(steps=(*line.steps, step)), assumed, seen)
                question = self._settle(node, line, assumed, seen, possible, taken)
                if question:
                    return line._replace(status="open", question=question)
                deciding = [one for one, branch in zip(taken, branches, strict=True) if branch == chosen]
                if self._too_rough(deciding, spans):
                    return self._untellable(node, line, assumed, seen, taken, [spans[at].go for at in sorted(possible)])
            if spans[chosen].go != CLEARED:
                question = self._setting_first(node, line, assumed, seen, {chosen}, taken)
                if question:
                    return line._replace(status="open", question=question)
            feet = tuple(
                one.place.side
                for one, place in zip(taken, branches, strict=True)
                if spans[place].branch == spans[chosen].branch and one.place.side
            )
        step = Step(node, measured=tuple(taken), span=spans[chosen], sure=sure)
        line = line._replace(steps=(*line.steps, step), feet=feet or line.feet)
        return self._follow(spans[chosen].go, line, assumed, seen)

    def _gap(self, node: Check, line: Line, assumed: _Assumed, seen: frozenset[str], taken: Sequence[Measured]) -> Line:
        """Ask for what a measure lacks, where that can change what follows; else leave the suspect unchecked.

        What a foot without a number has may be anything up to the best that the other foot may have. A check that says
        where to go without the number asks for none.
        """
        spans = self.spans_of(node)
        worst = min((max(_reached(spans, one)) for one in taken if one.known), default=len(spans) - 1)
        gaps = tuple(one for one in taken if not one.known)
        leads = self._leads(node, line, assumed, seen, set(range(worst + 1)))
        if _all_alike(leads):
            return _regardless(line, Step(node, measured=tuple(taken), moot=True), leads)
        if node.unknown:
            step = Step(node, measured=tuple(taken))
            return self._follow(node.unknown, line._replace(steps=(*line.steps, step)), assumed, seen)
        facts = wanted(self.knowledge, self.case, dict.fromkeys(need for gap in gaps for need in gap.needs))
        if facts:
            minutes = sum(fact.minutes for fact in facts)
            question = Question(facts[0], node, line.suspect, leads, gaps, minutes, len(facts) - 1)
            return line._replace(status="open", question=question)
        step = Step(node, measured=tuple(taken), sure=False)
        return line._replace(status="unchecked", steps=(*line.steps, step))

    def _settle(
        self,
        node: Check,
        line: Line,
        assumed: _Assumed,
        seen: frozenset[str],
        possible: set[int],
        taken: Sequence[Measured],
    ) -> Question | None:
        """Return the measurement that would decide between branches that end differently, if one can be made."""
        leads = self._leads(node, line, assumed, seen, possible)
        if _all_alike(leads):
            return None
        for name in node.settle_with:
            if name not in self.case.unsure and self.case.sheet.value(name) is None:
                fact = self.knowledge.facts[name]
                return Question(fact, node, line.suspect, leads, tuple(taken), fact.minutes)
        doubtful = [one for one in taken if len(_reached(self.spans_of(node), one)) > 1]
        best: tuple[float, Fact, Measured] | None = None
        for one in doubtful:
            for reading, effect in self._improvable(one):
                fact = self.knowledge.facts[reading.sheet_path]
                if best is None or effect > best[0]:
                    best = effect, fact, one
        if best is None or best[0] <= 0:
            return None
        share = asking(self.case.trees).measuring_share
        if best[0] < share * best[2].plus_minus and not self._too_rough(taken, self.spans_of(node)):
            return None
        return Question(best[1], node, line.suspect, leads, tuple(doubtful), best[1].minutes)

    def _too_rough(self, taken: Sequence[Measured], spans: Sequence[Span]) -> bool:
        """Return whether the ± of a number in doubt is so large beside its window that it shows nothing."""
        rules = load_gate(self.case.trees)
        for one in taken:
            window = load_windows(self.case.trees).window(one.key, self.case.known.setup)
            if window is None or len(_reached(spans, one)) < 2:
                continue
            width = window.close.high - window.close.low
            most = rules.window_share * width if width < inf else rules.open_window_times * window.scale
            if one.plus_minus > most:
                return True
        return False

    def _untellable(
        self,
        node: Check,
        line: Line,
        assumed: _Assumed,
        seen: frozenset[str],
        taken: Sequence[Measured],
        ways: Sequence[str],
    ) -> Line:
        """Go on without a number that is too rough to tell: by a look or a question, else neither shown nor cleared."""
        line = line._replace(steps=(*line.steps, Step(node, measured=tuple(taken), sure=False)))
        asks = [way for way in ways if isinstance(self.entry.nodes.get(way), Ask)]
        go = node.unknown or (asks[0] if asks else "")
        return self._follow(go, line, assumed, seen) if go else line.ended("cleared")

    def _setting_first(
        self,
        node: Check,
        line: Line,
        assumed: _Assumed,
        seen: frozenset[str],
        possible: set[int],
        taken: Sequence[Measured],
    ) -> Question | None:
        """Return the question for a setting of the mount that was only assumed, where a suspect would be shown by it.

        A row, a lean or a slide that nobody has read is not the one that is usual.
        """
        found: list[tuple[float, Fact, Measured]] = []
        for one in taken:
            for reading, effect in self._improvable(one):
                counts = effect >= asking(self.case.trees).measuring_share * one.plus_minus
                if reading.origin == "assumed" and counts and reading.sheet_path.startswith(_SETTINGS):
                    found.append((effect, self.knowledge.facts[reading.sheet_path], one))
        if not found:
            return None
        _, fact, one = max(found, key=lambda asked: asked[0])
        leads = self._leads(node, line, assumed, seen, possible)
        return Question(fact, node, line.suspect, leads, (one,), fact.minutes)

    def _leads(
        self, node: Check, line: Line, assumed: _Assumed, seen: frozenset[str], possible: set[int]
    ) -> tuple[Lead, ...]:
        return tuple(
            Lead(
                str(index),
                self._follow(node.id, line, _with_span(assumed, node.id, index), seen - {node.id}),
            )
            for index in sorted(possible)
        )

    def sharper(self, one: Measured) -> list[tuple[Fact, float]]:
        """Return the facts that would take the place of what a measure assumes, with what each does to its value."""
        return [
            (self.knowledge.facts[reading.sheet_path], effect)
            for reading, effect in self._improvable(one)
            if reading.origin == "assumed"
        ]

    def _improvable(self, one: Measured) -> list[tuple[Reading, float]]:
        """Return the readings that a bench measurement would sharpen, with what each does to the value."""
        found = []
        for reading in one.inputs:
            fact = self.knowledge.facts.get(reading.sheet_path)
            if fact is None or fact.id in self.case.unsure or reading.plus_minus <= 0:
                continue
            bench = fact.plus_minus * _MM_PER_UNIT.get(fact.unit, 1.0)
            if reading.plus_minus <= asking(self.case.trees).measuring_times * bench:
                continue
            path = next(p for p, r in self.case.known.readings.items() if r is reading)
            effect = spread(
                lambda s: one.measure.at(s, one.place), self.case.known.scratch, [(path, reading.plus_minus)]
            )
            found.append((reading, effect))
        return found

    def spans_of(self, node: Check) -> tuple[Span, ...]:
        """Return the ranges of a check's branches for this rider."""
        if node.id not in self.spans:
            self.spans[node.id] = spans_at(node, self.case.known.setup, self.case.trees)
        return self.spans[node.id]

    def _measure(self, name: str, side: FootSide | None) -> Measured:
        wanted = measure_or_field(name)
        place = next(p for p in places(wanted) if p.side == side)
        key = f"{name}.{place}"
        if key not in self.taken:
            self.taken[key] = measure(self.case.known, wanted, place)
        return self.taken[key]


def _feet_at(spans: Sequence[Span], taken: Sequence[Measured], chosen: int) -> tuple[FootSide, ...]:
    """Return the feet whose value may lie in a branch: those with a value first, else those without."""
    may = [one for one in taken if one.known and chosen in _reached(spans, one)]
    return tuple(one.place.side for one in may or [one for one in taken if not one.known] if one.place.side)


def _all_alike(leads: Sequence[Lead]) -> bool:
    return len({lead.line.outcome for lead in leads}) == 1


def _regardless(line: Line, step: Step, leads: Sequence[Lead]) -> Line:
    """Return the line that all leads share, with a step that says that its answer makes no difference."""
    shared = leads[0].line
    causes = [one for one in shared.steps[len(line.steps) :] if isinstance(one.node, Cause)]
    return shared._replace(steps=(*line.steps, step, *causes))


def _branch(spans: Sequence[Span], value: float) -> int:
    return next(i for i, span in enumerate(spans) if span.low <= value < span.high)


def _reached(spans: Sequence[Span], one: Measured) -> set[int]:
    """Return the branches that a value's range reaches into; a touch at the very end does not count."""
    if one.plus_minus == 0:
        return {_branch(spans, one.value)}
    return {i for i, span in enumerate(spans) if span.low + _TOUCH < one.high and one.low < span.high - _TOUCH}


def _with_answer(assumed: _Assumed, fact: str, option: str) -> _Assumed:
    return replace(assumed, answers={**assumed.answers, fact: option})


def _with_span(assumed: _Assumed, node: str, index: int) -> _Assumed:
    return replace(assumed, spans={**assumed.spans, node: index})
