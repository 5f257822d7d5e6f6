"""The gate between a walk's end and what the rider is told: no ending stands against its own numbers.

In this order:

1. A cause whose own measure is right is refuted: the walk goes on without it. Where a look had shown it, numbers and
   look disagree, and the numbers are measured again.
2. What facts do not show, but only do not rule out, is no instruction: the look that settles it comes first.
3. What is bought or sent away waits for the free looks that may find what a hand can put right.
4. What says that the set-up is right waits for the measures that it claims.
5. What comes nearer and breaks something else is left alone. "Not the set-up" never stands while a number of this
   sheet is outside its window and could be the cause, unless another number has shown the cause already.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.dialogue.gate_rules import GateRules, load_gate
from advisor.dialogue.lines import Line, Question
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.wanting import wanted
from advisor.dialogue.worth import asking
from advisor.geometry.measuring import Measured, measure, spread
from advisor.geometry.one_number import measure_or_field
from advisor.geometry.register import places
from advisor.graph.nodes import NOT_ENOUGH_KNOWN, Aim, Ask, Check, Do, Fact, Tell
from advisor.solve.windows import load_windows

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer
    from advisor.graph.knowledge import Knowledge
    from advisor.sheet.readings import Reading
    from advisor.solve.out_of_window import OutOfWindow

_SETTINGS = ("mount.", "board.insert_pattern")


def passed(knowledge: Knowledge, answer: Answer, again: Callable[[frozenset[str]], Answer]) -> Answer:
    """Return the answer that stands: the one given, a question that comes before it, or what is told in its place.

    Parameters
    ----------
    knowledge
        The compiled knowledge.
    answer
        What the walk's end came to.
    again
        Answers the same case with some more suspects ruled out.

    """
    return _Gate(knowledge, answer, again).passed()


class _Gate:
    """Holds one answer against what is known."""

    def __init__(self, knowledge: Knowledge, answer: Answer, again: Callable[[frozenset[str]], Answer]) -> None:
        self.knowledge = knowledge
        self.answer = answer
        self.again = again
        self.case = answer.case
        self.walk = answer.walk
        self.rules: GateRules = load_gate(answer.case.trees)

    def passed(self) -> Answer:
        answer = self.answer
        if answer.referral and answer.referral.verdict == "leave":
            answer = self.answer = replace(answer, cause=None)
        if answer.outcome == "needs" or answer.mount or self._stands_anyway:
            return answer
        if answer.partial and answer.beyond and self._breaks:
            answer = self.answer = replace(
                answer, outcome="refer", choice=None, referral=answer.beyond, says="", feel=""
            )
        if self._refuted:
            return self._without_the_refuted()
        if self.walk.doubted is not None:
            return self._by_the_sheet() or self._look_first()
        if answer.referral is None or self.walk.entry.kind != "symptom":
            return self._claims_known() or answer
        if answer.cause and answer.line and _by_number(answer.line):
            return self._free_looks() or answer
        return self._free_looks() or self._shown_by_number() or self._by_the_sheet() or self._claims_known() or answer

    @property
    def _stands_anyway(self) -> bool:
        referral = self.answer.referral
        return referral is not None and referral.verdict in self.rules.stands_unshown

    @property
    def _breaks(self) -> bool:
        """Whether what only comes nearer puts out of its window what was in it."""
        choice = self.answer.choice
        windows = load_windows(self.case.trees)
        for effect in choice.effects if choice else ():
            window = windows.window(effect.key, self.case.known.setup)
            if window and window.state(effect.before) == "good" and window.state(effect.after) == "out":
                return True
        return False

    # ------------------------------------------------------------------ 1 refuted

    @property
    def _refuted(self) -> bool:
        return bool(self.answer.cause and self.answer.aims and self.answer.leave_it)

    def _without_the_refuted(self) -> Answer:
        answer, line = self.answer, self.answer.line
        assert line is not None
        if self.walk.entry.kind != "symptom":
            return replace(answer, cause=None)
        looked = [step for step in line.steps if isinstance(step.node, Ask) and step.node.look and step.answer]
        if looked and self.walk.doubted is None:
            return self._measure_again()
        other = self.again(frozenset({line.suspect.start}))
        refuted = line.ended("cleared")._replace(cause=None)
        return replace(other, case=self.case, walk=other.walk._replace(lines=(*other.walk.lines, refuted)))

    def _measure_again(self) -> Answer:
        """Where a look shows what the numbers refute, the numbers that count most are measured again."""
        said = load_phrasebook(self.case.trees).said["look_against_numbers"]
        return replace(self.answer, says=said, feel="", verdict_as="measure_first", lacking=self._rough())

    def _rough(self) -> tuple[str, ...]:
        """Return the fields that the aims rest on, those first that are the roughest."""
        from advisor.solve.aims import place_of

        found: dict[str, float] = {}
        for aim in self.answer.aims:
            kind, place = place_of(aim.key, self.case.known.setup)
            for reading in measure(self.case.known, measure_or_field(kind), place).inputs:
                if reading.sheet_path in self.knowledge.facts and reading.plus_minus > 0:
                    found[reading.sheet_path] = max(found.get(reading.sheet_path, 0.0), reading.plus_minus)
        return tuple(sorted(found, key=lambda path: -found[path])[: self.rules.most_to_measure])

    # ------------------------------------------------------------------ 2 not shown

    def _look_first(self) -> Answer:
        answer = self.answer
        choice = answer.choice
        return replace(answer, choice=None, if_so=choice, referral=None, verdict_as="look_first", outcome="advice")

    # ------------------------------------------------------------------ 3 free before bought

    def _free_looks(self) -> Answer | None:
        assert self.answer.referral is not None
        if self.answer.referral.verdict not in self.rules.bought:
            return None
        questions = [line.question for line in self.walk.lines if line.question and self._free(line.question)]
        return self._asks(questions) if questions else None

    def _free(self, question: Question) -> bool:
        """Return whether a question costs little and may find what a hand can put right."""
        if not isinstance(question.node, Ask) or question.minutes > self.rules.look_minutes:
            return False
        ends = [lead.line for lead in question.leads if lead.line.status == "found" and lead.line.cause]
        return any(isinstance(line.end, Aim | Do | Tell) for line in ends)

    def _asks(self, questions: Sequence[Question]) -> Answer:
        from advisor.dialogue.answer import Answer

        asked: dict[str, Question] = {}
        for question in questions:
            asked.setdefault(question.fact.id, question)
        walk = self.walk._replace(found=None, questions=tuple(asked.values()), doubted=None)
        return Answer("needs", self.case, walk, self.answer.line, self.answer.cause)

    # ------------------------------------------------------------------ 4 claims

    def _claims_known(self) -> Answer | None:
        """Return the question for a number that the words claim to be right, or what to measure first; else None."""
        referral, line = self.answer.referral, self.answer.line
        if referral is None or line is None:
            return None
        taken = [one for name in referral.claims for one in self._measures(name)]
        if self.walk.found is not None and self.walk.found not in self.walk.lines:
            taken += [one for one in self._cleared_by() if one.known]
        facts = self._lacking(taken)
        if facts:
            node = Aim(referral.id, (), "", "")
            minutes = sum(fact.minutes for fact in facts)
            return self._asks([Question(facts[0], node, line.suspect, (), (), minutes, len(facts) - 1)])
        if all(one.known for name in referral.claims for one in self._measures(name)):
            return None
        return replace(
            self.answer, referral=self.knowledge.referral(NOT_ENOUGH_KNOWN), cause=None, search=None, aims=(), says=""
        )

    def _cleared_by(self) -> Iterator[Measured]:
        """Yield the measures that cleared a suspect last."""
        for line in self.walk.lines:
            if line.status == "cleared" and line.steps and isinstance(line.steps[-1].node, Check):
                yield from line.steps[-1].measured

    def _measures(self, name: str) -> Iterator[Measured]:
        wanted_one = measure_or_field(name)
        for place in places(wanted_one):
            yield measure(self.case.known, wanted_one, place)

    def _lacking(self, taken: Sequence[Measured]) -> tuple[Fact, ...]:
        """Return the facts to ask so that measures are known, and rest on no setting that was only assumed."""
        needs = dict.fromkeys(path for one in taken if not one.known for path in one.needs)
        facts = {fact.id: fact for fact in (wanted(self.knowledge, self.case, needs) or ()) if needs}
        for one in taken:
            for reading in one.inputs if one.known else ():
                path = reading.sheet_path
                fact = self.knowledge.facts.get(path)
                if reading.origin != "assumed" or fact is None or path in self.case.unsure:
                    continue
                if path.startswith(_SETTINGS) and self.case.sheet.value(path) is None and self._counts(one, reading):
                    facts[path] = fact
        return tuple(facts.values())

    def _counts(self, one: Measured, reading: Reading) -> bool:
        """Return whether a reading makes a good part of a measure's ±."""
        readings = self.case.known.readings
        path = next(path for path, other in readings.items() if other is reading)
        moved = [(path, reading.plus_minus)]
        effect = spread(lambda s: one.measure.at(s, one.place), self.case.known.scratch, moved)
        return effect > 0 and effect >= asking(self.case.trees).measuring_share * one.plus_minus

    # ------------------------------------------------------------------ 5 outside its window

    def _by_the_sheet(self) -> Answer | None:
        """Return the answer for a number outside its window that could be the cause; None where there is none."""
        referral = self.answer.referral
        if self.walk.entry.kind != "symptom" or (referral and referral.verdict not in self.rules.in_order):
            return None
        could = self._could_be()
        out = [one for one in self.answer.out_of_window if one.state == "out" and one.sure]
        for one in out:
            if one.measured.measure.id in could and one.key not in {aim.key for aim in self.answer.aims}:
                found = self._brought_right(one, out)
                if found:
                    return found
        return None

    def _shown_by_number(self) -> Answer | None:
        """Return the answer of another suspect that a number shows and a hand can put right; else None."""
        assert self.answer.referral is not None
        if self.answer.referral.verdict not in self.rules.in_order or self.answer.line is None:
            return None
        others = [line for line in self.walk.lines if line.status == "found" and line is not self.walk.found]
        if not any(isinstance(line.end, Aim | Do) and _by_number(line) for line in others):
            return None
        other = self.again(frozenset({self.answer.line.suspect.start}))
        if other.outcome != "advice" or other.choice is None or not (other.line and _by_number(other.line)):
            return None
        return replace(other, case=self.case)

    def _could_be(self) -> set[str]:
        looked_at = {node.measure for node in self.walk.entry.nodes.values() if isinstance(node, Check)}
        also = {name for name, near in self.rules.may_cause.items() if looked_at.intersection(near)}
        return looked_at | also

    def _brought_right(self, one: OutOfWindow, out: Sequence[OutOfWindow]) -> Answer | None:
        from advisor.solve.aims import Aim as SolverAim
        from advisor.solve.today import find_today

        alike = [other for other in out if other.measured.measure.id == one.measured.measure.id]
        aims = tuple(SolverAim(other.key) for other in alike)
        search = find_today(self.case.sheet, aims, known=self.case.known)
        if search.best is None or not search.best.changes:
            return None
        feet = tuple(other.measured.place.side for other in alike if other.measured.place.side)
        line = Line(self.answer.line.suspect, "found", feet=feet) if self.answer.line else None
        return replace(
            self.answer, outcome="advice", referral=None, cause=None, choice=search.best, search=search, aims=aims,
            walk=self.walk._replace(doubted=None), line=line, says="", feel="", out_first=tuple(alike),
            cautions=tuple(dict.fromkeys((*search.best.cautions, *self.answer.cautions))),
        )  # fmt: skip


def _by_number(line: Line) -> bool:
    """Return whether a number led to a line's cause."""
    return any(isinstance(step.node, Check) and step.span is not None for step in line.steps)
