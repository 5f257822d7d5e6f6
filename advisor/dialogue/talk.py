"""The conversation as a pure function: what was said so far and a new line give a new state and a reply.

A state can be kept as the lines that were said (`State.said`) and brought back by saying them again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.hearing import change_told, chosen_option, number_told, says_unsure
from advisor.dialogue.phrasebook import Phrasebook, load_phrasebook
from advisor.dialogue.replies import (
    Answered,
    Asked,
    Clarify,
    Greeted,
    Helped,
    Lost,
    Noted,
    Numbers,
    Pictured,
    Reply,
    Stopped,
    Trailed,
    Tried,
    Troubled,
    WhyAsked,
    WhyNot,
)
from advisor.dialogue.walk import Question, Walk, walk
from advisor.errors import AdvisorError
from advisor.graph.knowledge import Knowledge
from advisor.match import Matcher, Told
from advisor.sheet.fields import field_rows
from advisor.sheet.plain_text import clean
from advisor.sheet.reading import parse_value
from advisor.sheet.sheet import Sheet

__all__ = ["Conversation", "State"]

_LONGEST_LINE = 2000


@dataclass(frozen=True)
class State:
    """A conversation at one moment.

    Parameters
    ----------
    sheet
        The sheet with everything told so far.
    case, walk, answer
        The complaint taken up, where it stands, and its answer.
    candidates
        Entries that a clarifying question offered.
    answers, unsure
        Facts told before or beside the complaint.
    misses
        How often in a row nothing was understood.
    said
        Every line that was taken, in order.
    before
        The state before the last line, for taking it back.
    done
        Whether the conversation has ended.

    """

    sheet: Sheet
    case: Case | None = None
    walk: Walk | None = None
    answer: Answer | None = None
    candidates: tuple[str, ...] = ()
    answers: dict[str, str] = field(default_factory=dict)
    unsure: frozenset[str] = frozenset()
    misses: int = 0
    said: tuple[str, ...] = ()
    before: State | None = None
    done: bool = False

    @property
    def question(self) -> Question | None:
        """Return the question that waits for an answer."""
        return self.walk.question if self.walk and self.answer is None else None


class Conversation:
    """Answers lines; holds no state of its own besides the knowledge.

    Parameters
    ----------
    knowledge
        The compiled knowledge.
    matcher
        A function that returns the matcher; called when the first free words come in.

    """

    def __init__(self, knowledge: Knowledge, matcher: Callable[[], Matcher]) -> None:
        self.knowledge = knowledge
        self.matcher = matcher
        self.book: Phrasebook = load_phrasebook()

    def begin(self, sheet: Sheet) -> tuple[State, Reply]:
        """Return the first state and the greeting."""
        return State(sheet), Greeted(sheet.name)

    def options(self, state: State) -> tuple[str, ...]:
        """Return what can be said now: answers first, then the commands."""
        question = state.question
        answers: tuple[str, ...] = ()
        if question:
            answers = (*question.fact.options.values(), "don't know")
        elif state.candidates:
            answers = tuple(self.knowledge.entry(name).means for name in state.candidates)
        return (*answers, *(command.words[0] for command in self.book.commands))

    def hear(self, state: State, line: str) -> tuple[State, Reply]:
        """Take one line.

        Parameters
        ----------
        state
            The conversation so far.
        line
            What was typed.

        Returns
        -------
        tuple
            The new state and the reply. The state is the old one where the line changed nothing.

        """
        text = clean(line, _LONGEST_LINE).strip()
        if not text:
            return state, self._lost(state, text)[1]
        spoken = self.book.command(text)
        unsure = state.question is not None and says_unsure(self.book, text)
        if spoken and not (unsure and spoken[0].id == "help"):
            return self._command(state, spoken[0].id, spoken[1])
        new, reply = self._said(state, text)
        if new is state or isinstance(reply, Lost | Troubled):
            return new, reply
        return replace(new, said=(*state.said, text), before=state), reply

    # ------------------------------------------------------------------ lines that move the walk

    def _said(self, state: State, text: str) -> tuple[State, Reply]:
        question = state.question
        if question:
            if says_unsure(self.book, text):
                return self._go_on(state, lambda case: case.with_unsure(question.fact.id))
            taken = self._answered(state, question, text)
            if taken:
                return taken
            return self._volunteered(state, text) or self._lost(state, text, self._reason(question, text))
        if state.candidates:
            chosen = self._candidate(state, text)
            if chosen:
                return self._take_up(state, chosen, (), ())
        return self._complaint(state, text)

    def _answered(self, state: State, question: Question, text: str) -> tuple[State, Reply] | None:
        fact = question.fact
        if fact.kind == "choice":
            option = chosen_option(self.book, fact, text)
            if option is None:
                return None
            if fact.id in field_rows():
                return self._go_on(state, lambda case: case.with_told(fact.id, parse_value(fact.id, option)))
            return self._go_on(state, lambda case: case.with_answer(fact.id, option))
        try:
            value = number_told(fact, text)
        except AdvisorError:
            return None
        return self._go_on(state, lambda case: case.with_number(fact.id, value, fact.plus_minus))

    def _reason(self, question: Question, text: str) -> str:
        if question.fact.kind != "number":
            return ""
        try:
            number_told(question.fact, text)
        except AdvisorError as error:
            return str(error)
        return ""

    def _go_on(self, state: State, change: Callable[[Case], Case]) -> tuple[State, Reply]:
        assert state.case is not None
        return self._walk_on(state, change(state.case))

    def _walk_on(
        self,
        state: State,
        case: Case,
        opening: str = "",
        noted: tuple[Told, ...] = (),
        heard: tuple[str, ...] = (),
    ) -> tuple[State, Reply]:
        done = walk(self.knowledge, case)
        moved = replace(
            state, case=case, walk=done, answer=None, sheet=case.sheet, answers=dict(case.answers), unsure=case.unsure,
            candidates=(), misses=0,
        )  # fmt: skip
        if done.question:
            return moved, Asked(done.question, done, opening, noted, heard)
        answer = answer_case(self.knowledge, case, done)
        if answer.walk.question:
            asking = replace(moved, walk=answer.walk)
            return asking, Asked(answer.walk.question, answer.walk, opening, noted, heard)
        return replace(moved, answer=answer), Answered(answer, opening, noted, heard)

    # ------------------------------------------------------------------ free words

    def _complaint(self, state: State, text: str) -> tuple[State, Reply]:
        matching = self.matcher().match(text)
        state = self._with_facts(state, matching.facts)
        if not matching.understood:
            if matching.facts:
                return state, Noted(matching.facts)
            return self._lost(state, text, self.book.said["not_ours"])
        written = [one for one in matching.matches if one.id in self.knowledge.entry_ids]
        if not matching.sure and written:
            likely = tuple(written[:3])
            means = tuple(self.knowledge.entry(one.id).means for one in likely)
            return replace(state, candidates=tuple(one.id for one in likely), misses=0), Clarify(likely, means)
        best = matching.matches[0]
        if best.id not in self.knowledge.entry_ids:
            return self._lost(state, text, self.book.said["not_written"])
        return self._take_up(state, best.id, matching.facts, best.words)

    def _take_up(
        self, state: State, entry: str, noted: tuple[Told, ...], heard: tuple[str, ...]
    ) -> tuple[State, Reply]:
        case = Case(entry, state.sheet, state.answers, state.unsure)
        return self._walk_on(state, case, self.knowledge.entry(entry).opening, noted, heard)

    def _candidate(self, state: State, text: str) -> str | None:
        plain = text.strip().lower().rstrip(".!")
        for number, name in enumerate(state.candidates, start=1):
            entry = self.knowledge.entry(name)
            if plain in {str(number), name, entry.means.lower(), entry.title.lower()}:
                return name
        return None

    def _volunteered(self, state: State, text: str) -> tuple[State, Reply] | None:
        """Take facts, or another complaint, told instead of an answer."""
        matching = self.matcher().match(text)
        if matching.understood and matching.sure and state.case and matching.matches[0].id != state.case.entry:
            return self._complaint(state, text)
        if not matching.facts or state.case is None:
            return None
        moved = self._with_facts(state, matching.facts)
        if moved is state:
            return None
        case = replace(state.case, sheet=moved.sheet, answers=moved.answers, unsure=moved.unsure)
        return self._walk_on(moved, case, noted=matching.facts)

    def _with_facts(self, state: State, told: tuple[Told, ...]) -> State:
        """Return the state with facts told in passing; what does not fit its field is left out."""
        sheet, answers, unsure = state.sheet, dict(state.answers), state.unsure
        for one in told:
            fact = self.knowledge.facts.get(one.key)
            if one.key in field_rows():
                try:
                    sheet = sheet.with_value(one.key, parse_value(one.key, _plain(one.value)))
                except AdvisorError:
                    continue
            elif fact is not None and fact.kind == "choice":
                option = chosen_option(self.book, fact, str(one.value))
                if option is None:
                    continue
                answers[one.key] = option
            else:
                continue
            unsure -= {one.key}
        if sheet is state.sheet and answers == state.answers:
            return state
        return replace(state, sheet=sheet, answers=answers, unsure=unsure)

    def _lost(self, state: State, text: str, reason: str = "") -> tuple[State, Reply]:
        possible = self.options(state)[: len(self.options(state)) - len(self.book.commands)]
        return replace(state, misses=state.misses + 1), Lost(text, possible, state.misses + 1, reason)

    # ------------------------------------------------------------------ commands

    def _command(self, state: State, name: str, rest: str) -> tuple[State, Reply]:
        if name == "help":
            return state, Helped(tuple((c.words[0], c.help) for c in self.book.commands))
        if name == "stop":
            return replace(state, done=True), Stopped(self.book.said["goodbye"])
        if name == "back":
            return self._back(state)
        if name == "try":
            return state, self._try(state, rest)
        if name == "numbers":
            return state, Numbers(state.case or Case("", state.sheet), state.answer)
        if name == "picture":
            return state, Pictured(state.case or Case("", state.sheet), state.answer)
        if state.walk is None or state.case is None:
            return state, Troubled("There is no complaint yet. Say what the rider says, then ask again.")
        if name == "why":
            return state, WhyAsked(state.question, state.walk) if state.question else Trailed(state.walk, state.case)
        if name == "why_not":
            return state, WhyNot(state.walk)
        return state, Trailed(state.walk, state.case)

    def _back(self, state: State) -> tuple[State, Reply]:
        earlier = state.before
        if earlier is None:
            return state, Troubled("There is nothing to take back.")
        if earlier.question and earlier.walk:
            return earlier, Asked(earlier.question, earlier.walk)
        if earlier.answer:
            return earlier, Answered(earlier.answer)
        return earlier, Greeted(earlier.sheet.name)

    def _try(self, state: State, rest: str) -> Reply:
        from advisor.solve.whatif import what_if

        try:
            path, value = change_told(rest)
            result = what_if(state.sheet, {path: value})
        except AdvisorError as error:
            return Troubled(str(error))
        return Tried(result, ((path, str(value)),))


def _plain(value: object) -> str | float | bool:
    return value if isinstance(value, str | float | int | bool) else str(value)
