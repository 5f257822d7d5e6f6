"""What a walk comes to: steps, lines of looking, questions, and the whole of it at one moment."""

from __future__ import annotations

from typing import Literal, NamedTuple

from advisor.geometry.measuring import Measured
from advisor.graph.nodes import Aim, Ask, Cause, Check, Do, End, Entry, Fact, Mount, Span, Suspect
from advisor.sheet.setup import FootSide

Status = Literal["cleared", "found", "open", "unchecked"]


# Made straight from a tuple: a walk makes one for every answer it passes, and the usual way costs three times as much.
_new = tuple.__new__


class Step(NamedTuple):
    """One step of a line: the node, what was found there, and which branch it took.

    `sure` is false where the ± reaches into another branch, or the fact could not be told. `moot` is true where the
    fact is not known but every answer ends alike, so that nobody is asked.
    """

    node: Check | Ask | Cause
    measured: tuple[Measured, ...] = ()
    span: Span | None = None
    answer: str | None = None
    sure: bool = True
    moot: bool = False

    @staticmethod
    def answered(node: Ask, answer: str) -> Step:
        """Return the step past a question that is answered."""
        return _new(Step, (node, (), None, answer, True, False))


class Lead(NamedTuple):
    """What one answer would lead to."""

    answer: str
    line: Line


class Question(NamedTuple):
    """A fact that is worth asking, why, and what each answer would lead to.

    Parameters
    ----------
    fact, node, suspect
        What is asked, where, and in which line of looking.
    leads
        What each answer would lead to.
    measured
        The measures whose ± spans two branches, or that lack a number.
    minutes
        What it costs to find out, further numbers that are needed with it included.
    more
        How many further numbers are needed with it.

    """

    fact: Fact
    node: Check | Ask | Aim | Do | Mount
    suspect: Suspect
    leads: tuple[Lead, ...]
    measured: tuple[Measured, ...] = ()
    minutes: float = 0.0
    more: int = 0


class Line(NamedTuple):
    """One suspect, followed as far as the facts reach."""

    suspect: Suspect
    status: Status
    steps: tuple[Step, ...] = ()
    cause: str | None = None
    end: End | None = None
    feet: tuple[FootSide, ...] = ()
    question: Question | None = None

    def with_steps(self, steps: tuple[Step, ...], cause: str | None = None) -> Line:
        """Return the line with its steps, and a cause where one is shown."""
        suspect, status, _, before, end, feet, question = self
        return _new(Line, (suspect, status, steps, cause or before, end, feet, question))

    def ended(self, status: Status, end: End | None = None) -> Line:
        """Return the line at its end."""
        suspect, _, steps, cause, _, feet, question = self
        return _new(Line, (suspect, status, steps, cause, end, feet, question))

    @property
    def outcome(self) -> tuple[str, str | None, str | None]:
        """Return what tells two ends apart."""
        asked = self.question.fact.id if self.question else None
        return self.status, self.cause, asked or (self.end.id if self.end else None)

    @property
    def sure(self) -> bool:
        """Whether every step was decided by facts alone."""
        return all(step.sure for step in self.steps)


class Walk(NamedTuple):
    """The whole walk at one moment: every line, and either a line that is the answer or a question.

    `doubted` is the fact on whose missing or doubtful answer it all hangs, where facts show no cause but do not rule
    out every one either.
    """

    entry: Entry
    lines: tuple[Line, ...]
    found: Line | None = None
    questions: tuple[Question, ...] = ()
    doubted: Fact | None = None

    @property
    def question(self) -> Question | None:
        """Return the question that is worth most, if one is open."""
        return self.questions[0] if self.questions else None
