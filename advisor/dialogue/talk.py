"""The conversation as a pure function: what was said so far and a new line give a new state and a reply.

A state can be kept as the lines that were said (`State.said`) and brought back by saying them again, or without any of
the rider's words by `keeping.py`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from advisor.dialogue import alarm
from advisor.dialogue.about_talk import Moment, Spoken, about_talk
from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.choosing import Chosen, choose, exact, says_unsure
from advisor.dialogue.clashing import refuse_clashes
from advisor.dialogue.correcting import Remember, likely_meant, shortened, with_lesson, without_complaint
from advisor.dialogue.doubting import Boards, settled, sides_against
from advisor.dialogue.heard import NOTHING_HEARD, HeardLine
from advisor.dialogue.hearing import change_told, measure_told
from advisor.dialogue.languages import about_language, in_english, spoken_language
from advisor.dialogue.listening import (
    Listened,
    beside_an_answer,
    changes_told,
    instead,
    is_vague,
    listen,
    symptom_first,
)
from advisor.dialogue.mending import Mended, mended_fact
from advisor.dialogue.numbering import Counted, count
from advisor.dialogue.phrasebook import Phrasebook, load_phrasebook, tidy
from advisor.dialogue.replies import (
    NOTHING_BEFORE,
    Answered,
    Asked,
    AskedBack,
    Before,
    Cautioned,
    Clarify,
    Greeted,
    Helped,
    HowSure,
    Left,
    Level,
    Lost,
    Made,
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
from advisor.dialogue.rulers import by_ruler
from advisor.dialogue.sheet_replies import ReadBack
from advisor.dialogue.sheet_talk import about_the_sheet, read_back
from advisor.dialogue.together import together
from advisor.dialogue.visit import SaveAs
from advisor.dialogue.volunteering import with_facts
from advisor.dialogue.walk import Question, Walk, walk
from advisor.errors import AdvisorError, SheetError
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Fact
from advisor.match import Matcher, Matching, Told
from advisor.match.fields_told import FieldsTold, field_reader
from advisor.match.heard import Heard as Line
from advisor.match.heard import hear as hear_line
from advisor.plain_text import clean
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.signs import Heard, Sign

__all__ = ["Conversation", "State"]

_LONGEST_LINE = 1990
_MOST_OFFERED = 3
_PAIN = "not_medical"
_SHORTEST_COMPLAINT = 3
_SHORTEST_OTHER = 4
_SHORTEST_STORY = 7
_WEAK = 0.55
_CLEAR = 0.7
_NO_SIGN = frozenset({"no", "none"})
_LONGEST_DEFINITION = 5
_FIRST = frozenset({"why_ask", "what_is", "how_measure", "meaning", "help", "repeat"})
_AT_A_CHOICE = frozenset({"bye", "help", "undo", "repeat", "what_is", "meaning"})
_AT_THE_START = frozenset({"bye", "help", "thanks"})
_NONE_OF_THEM = frozenset({"neither", "none", "none of them", "none of these", "none of those"})
_LEVELS: dict[str, Level] = {"short": "counter", "bench": "bench", "training": "training"}


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
    waiting
        Entries of complaints kept for later, the next first.
    solved
        Answers given before on the sheet as it is, to weigh the next complaint together with them.
    level
        How fully answers are told.
    misses
        How often in a row nothing was understood.
    said
        Every line that was taken, in order.
    wording
        The free words that the matcher heard last.
    correcting
        Whether the tech is saying what those words meant instead.
    lesson
        Words and the entry that a person said they mean; the shop may keep them.
    shown
        The reply to the last line taken, for showing it again.
    before
        The state before the last line, for taking it back.
    done
        Whether the conversation has ended.
    signs
        Signs of harm that were told and not denied since.
    about
        Parts and states that the talk is about, for a line that names none.
    heard
        What the last line was taken to say.
    weak
        Facts whose answer was hedged so much that they are doubted first.
    last
        What was told last: facts with their value before and after, for mending it.
    pending
        What a "did you mean" waits for: a field or `entry`, and the value or the entry.
    wants
        What the rider wants kept or left alone, in the names of `talk_about.yaml`.
    made
        The complaint whose change was made last, with its suspect, for telling how it went.

    """

    sheet: Sheet
    case: Case | None = None
    walk: Walk | None = None
    answer: Answer | None = None
    candidates: tuple[str, ...] = ()
    answers: dict[str, str] = field(default_factory=dict)
    unsure: frozenset[str] = frozenset()
    waiting: tuple[str, ...] = ()
    solved: tuple[Answer, ...] = ()
    level: Level = "bench"
    misses: int = 0
    said: tuple[str, ...] = ()
    wording: str = ""
    correcting: bool = False
    lesson: tuple[str, str] | None = None
    shown: Reply | None = None
    before: State | None = None
    done: bool = False
    signs: tuple[Sign, ...] = ()
    about: tuple[str, ...] = ()
    heard: HeardLine = NOTHING_HEARD
    weak: frozenset[str] = frozenset()
    last: tuple[Mended, ...] = ()
    pending: tuple[str, LeafValue] | None = None
    wants: tuple[str, ...] = ()
    made: tuple[str, ...] = ()

    @property
    def moment(self) -> Moment:
        """Return what kind of prompt this is."""
        if self.question or self.candidates:
            return "question"
        return "answer" if self.answer else "made" if self.made else "start"

    @property
    def question(self) -> Question | None:
        """Return the question that waits for an answer."""
        return self.walk.question if self.walk and self.answer is None else None

    @property
    def open(self) -> bool:
        """Whether a complaint has been taken up and is not answered yet."""
        return bool(self.question or self.candidates)


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
        self.book: Phrasebook = load_phrasebook(knowledge.trees)
        self.boards: Callable[[], Boards] = tuple

    def begin(self, sheet: Sheet) -> tuple[State, Reply]:
        """Return the first state and the greeting."""
        return State(sheet), Greeted(sheet.name)

    def options(self, state: State) -> tuple[str, ...]:
        """Return what can be said now: answers first, then the commands."""
        return (*self._answers(state), *(command.words[0] for command in self.book.commands))

    def _answers(self, state: State) -> tuple[str, ...]:
        if state.question:
            return (*state.question.fact.options.values(), "don't know")
        return tuple(self._means(name) for name in state.candidates)

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
        untouched, state = state, replace(state, heard=replace(NOTHING_HEARD, line=text))
        listened = Heard(rest=text) if self._is_plain(state, text) else alarm.heard_in(self.knowledge, state, text)
        told = self._alarmed(state, listened, text) or about_the_sheet(self, state, text) or self._heard(state, text)
        new, reply = read_back(self, state, *told, text)
        reply = alarm.with_theirs(reply, alarm.theirs(self.book, listened))
        if new is state or new is state.before:
            return (untouched if new is state else new), reply
        heard = replace(new.heard if new.heard.line == text else NOTHING_HEARD, signs=listened.told, line=text)
        new = replace(new, about=alarm.about_so_far(state, listened), heard=heard)
        if isinstance(reply, Noted | ReadBack) and not heard.facts:
            new = _with_changes(untouched, new)
        if isinstance(reply, Lost | Troubled | Stopped):
            return new, reply
        return replace(new, said=(*state.said, text), shown=reply, before=untouched), reply

    def _is_plain(self, state: State, text: str) -> bool:
        """Whether a line is one of the printed answers, its number, or a command alone: what it means is settled."""
        plain = tidy(text)
        if plain.isdigit() or plain in {tidy(answer) for answer in self._answers(state)}:
            return True
        spoken = self.book.command(text)
        return spoken is not None and not spoken[1]

    def _heard(self, state: State, text: str) -> tuple[State, Reply]:
        spoken = self.book.command(text)
        if spoken and spoken[1] and state.question and self._answers_it(state, state.question, hear_line(text)):
            spoken = None
        return self._command(state, spoken[0].id, spoken[1]) if spoken else self._said(state, text)

    def take_up(self, state: State, entry: str, before: Before = NOTHING_BEFORE) -> tuple[State, Reply]:
        """Return the state and the reply with a complaint or question taken up."""
        return self._take_up(state, entry, before)

    def go_on_with(self, state: State, case: Case) -> tuple[State, Reply]:
        """Return the state and the reply at which a case stands."""
        return self._walk_on(state, case)

    def offered(self, entries: tuple[str, ...]) -> Clarify:
        """Return the question which of some entries is meant."""
        return Clarify(entries, tuple(map(self._means, entries)))

    # ------------------------------------------------------------------ signs of harm, ahead of everything

    def _alarmed(self, state: State, heard: Heard, text: str) -> tuple[State, Reply] | None:
        """Answer a sign that a line tells, or take back one that it clearly denies; None where it does neither."""
        if alarm.answers_as_written(state, text):
            return None
        told = alarm.news(self.knowledge, state, heard)
        if told and state.question and self._only_answers(state, state.question, text, told):
            return None
        if told and told[0].level == "ask" and not state.question and is_vague(hear_line(text)):
            return None
        if told and alarm.only_judged(told) and self._asked_anyway(state, text):
            return None
        if told:
            return self._told(self._with_facts(state, text), told, heard)
        open_still = alarm.left_open(state, text)
        if open_still and not self._names_a_sign(state, text):
            return self._go_on(state, lambda case: case.with_unsure(open_still))
        denied = tuple(sign for sign in state.signs if sign.id in {one.id for one in heard.denied})
        return self._taken_back(state, denied) if denied and not state.question else None

    def _with_facts(self, state: State, text: str) -> State:
        """Return the state with the sheet's fields that a line tells beside a sign: nothing told is lost."""
        line = hear_line(text)
        if not line.numbers:
            return state
        told = field_reader(self.knowledge.trees).told(line, self._leading(state)).facts
        facts = with_facts(self.knowledge, state, told)
        case = replace(state.case, sheet=facts.sheet) if state.case else None
        return _noting(replace(state, sheet=facts.sheet, case=case), {one.key: one.value for one in facts.noted})

    def _names_a_sign(self, state: State, text: str) -> bool:
        """Return whether a line says that a sign is there, however it is hedged."""
        if state.question is None or state.question.fact.kind != "choice":
            return False
        chosen = choose(state.question.fact, hear_line(text))
        return chosen is not None and chosen.option not in _NO_SIGN

    def _asked_anyway(self, state: State, text: str) -> bool:
        """Return whether a line is a complaint of pain that is asked after signs in its own entry."""
        if state.question or state.case:
            return False
        matching = self.matcher().match(text)
        best = matching.matches[0].id if matching.understood and matching.sure else ""
        return best in self.knowledge.entry_ids and alarm.asks_signs(self.knowledge, best)

    def _only_answers(self, state: State, question: Question, text: str, told: tuple[Sign, ...]) -> bool:
        """Return whether a line is an answer in every clause and tells no grave sign by its own words alone."""
        if question.fact.id in alarm.ASKS and told[0].level != "ask":
            return False
        line = hear_line(text)
        if question.fact.id.endswith(("_signs", "_sign")):
            return told[0].level == "ask" and self._answers_it(state, question, line)
        if told[0].level == "ask" and self._answers_it(state, question, line):
            return True
        long = [line.of(one) for one in line.clauses if one.end - one.start >= _SHORTEST_COMPLAINT] or [text]
        if not all(self._answers_it(state, question, hear_line(one)) for one in long):
            return False
        return told[0].level == "ask" or not alarm.tells_a_sign(text)

    def _told(self, state: State, told: tuple[Sign, ...], heard: Heard) -> tuple[State, Reply]:
        first = told[0]
        if first.level == "ask" and alarm.asks_after(state):
            return self._go_on(state, lambda case: case.with_unsure(alarm.asks_after(state)))
        moved = alarm.with_signs(state, told)
        entry = alarm.own_entry(self.knowledge, state, first)
        kept = [alarm.said_of(self.book, "stays_here", (first,))] if first.level == "not_ridden" else []
        others = tuple(sign for sign in told[1:] if sign.level != "ask" and sign.facts != first.facts)
        if others:
            kept.append(alarm.said_of(self.book, "also_heard_sign", others))
        moved, more = self._kept_from(moved, heard.rest)
        before = Before(heard=(first.words,), kept=(*kept, *more))
        if state.case and entry == state.case.entry and state.answer is None:
            case = replace(state.case, answers={**state.case.answers, **moved.answers}, unsure=moved.unsure)
            return self._walk_on(moved, case, before)
        return self._take_up(moved, entry, before)

    def _kept_from(self, state: State, rest: str) -> tuple[State, tuple[str, ...]]:
        """Keep the complaint that the rest of a line tells for later, where the matcher is sure of it."""
        if len(rest.split()) < _SHORTEST_COMPLAINT:
            return state, ()
        matching = self.matcher().match(rest)
        best = matching.matches[0].id if matching.understood and matching.sure else ""
        if best not in self.knowledge.entry_ids or best in state.waiting or alarm.asks_signs(self.knowledge, best):
            return state, ()
        words = self.book.said["kept_from_line"].format(complaint=self._means(best))
        return replace(state, waiting=(*state.waiting, best)), (words,)

    def _taken_back(self, state: State, denied: tuple[Sign, ...]) -> tuple[State, Reply]:
        """Take signs back that were denied clearly; what was kept goes on by 'next'."""
        freed = alarm.without(state, denied)
        gone = replace(freed, case=None, walk=None, answer=None, candidates=(), misses=0)
        return gone, Left(alarm.said_of(self.book, "sign_cleared", denied))

    # ------------------------------------------------------------------ lines that move the walk

    def _said(self, state: State, text: str) -> tuple[State, Reply]:
        """Take a line that is no command; what it tells of a side is held against the sheet at once."""
        sides, against = sides_against(self.knowledge.trees, state.sheet, text)
        if not sides:
            return self._said_plainly(state, text)
        case = replace(state.case, answers={**state.case.answers, **sides}) if state.case else None
        told = replace(state, answers={**state.answers, **sides}, case=case)
        kept = tuple(self.book.said["against_sheet"].format(doubt=doubt.says) for doubt in against)
        new, reply = self._said_plainly(told, text)
        if isinstance(reply, Lost):
            if case is None:
                return told, Noted(Before(kept=kept or (self.book.said["side_noted"],)))
            return self._walk_on(told, case, Before(kept=kept))
        if isinstance(reply, Asked | Answered | Noted) and kept:
            reply = replace(reply, before=replace(reply.before, kept=(*kept, *reply.before.kept)))
        return new, reply

    def _said_plainly(self, state: State, text: str) -> tuple[State, Reply]:
        language = spoken_language(text)
        heard = hear_line(in_english(text, language)) if language else hear_line(text)
        question = state.question
        if question:
            done = self._to_the_question(state, question, heard)
        elif state.candidates:
            done = self._to_the_choice(state, heard)
        else:
            done = self._freely(state, heard)
        if language and (not question or not isinstance(done[1], Asked | Answered) or done[0].walk is state.walk):
            return self._in_their_language(state, language)
        return done

    def _in_their_language(self, state: State, language: str) -> tuple[State, Reply]:
        """Say, in the rider's language, that this is spoken in English; what is open stays open."""
        words = about_language(language)
        return replace(state, heard=replace(state.heard, talk="says_english")), AskedBack(
            "says_english", (words,), state.question
        )

    # ------------------------------------------------------------------ with a question open

    def _to_the_question(self, state: State, question: Question, heard: Line) -> tuple[State, Reply]:
        """Hear a line while a question is open: its answer first, then what else it says."""
        fact = question.fact
        if fact.kind == "choice":
            printed = exact(fact, heard)
            if printed:
                return self._chosen(state, question, printed)
        confirmed = self._confirmed(state, heard)
        if confirmed:
            return confirmed
        spoken = about_talk().hear(heard, "question")
        if spoken and _asks(heard) and spoken.intent in _FIRST:
            return self._about(state, spoken, heard)
        taken, trouble = self._answered(state, question, heard)
        other = instead(self.matcher(), heard, self._entry(state), self.knowledge.entry_ids, taken is not None)
        if other:
            return self._switched(state, other)
        beside = beside_an_answer(
            self.matcher(), heard, self._entry(state), self.knowledge.entry_ids,
            lambda words: self._answers_it(state, question, hear_line(words)),
        )  # fmt: skip
        if beside:
            return self._with_another(state, question, beside.entry, beside.rest)
        if taken:
            return taken
        mended = self._mended(state, heard)
        if mended:
            return mended
        if spoken and spoken.intent in {"meaning", "what_is"} and not _asks(heard):
            return self._about(state, spoken, heard)
        if says_unsure(heard):
            return self._go_on(state, lambda case: case.with_unsure(fact.id))
        if spoken:
            return self._about(state, spoken, heard)
        return self._volunteered(state, heard) or self._lost_at(state, heard, trouble)

    def _answers_it(self, state: State, question: Question, heard: Line) -> bool:
        """Return whether a line answers an open question, whatever that leads to."""
        if question.fact.kind == "choice":
            return choose(question.fact, heard) is not None
        try:
            return count(question.fact, heard, self._leading(state)) is not None
        except SheetError:
            return True

    def _entry(self, state: State) -> str:
        return state.case.entry if state.case else ""

    def _confirmed(self, state: State, heard: Line) -> tuple[State, Reply] | None:
        """Take what "did you mean" offered, where the line is a plain yes; a no lets it go."""
        if state.pending is None:
            return None
        plain = tidy(heard.text)
        name, value = state.pending
        freed = replace(state, pending=None)
        if plain in self.book.no:
            return freed, self._open_again(freed)
        if plain not in self.book.yes:
            return None
        if name == "entry":
            return self._kept_for_later(freed, str(value))
        question = state.question
        if question is None or question.fact.id != name:
            return None
        return self._counted(freed, question, Counted(value, guessed=True))

    def _open_again(self, state: State) -> Reply:
        if state.question and state.walk:
            return Asked(state.question, state.walk)
        return state.shown or Greeted(state.sheet.name)

    def _answered(self, state: State, question: Question, heard: Line) -> tuple[tuple[State, Reply] | None, str]:
        """Return what an answer leads to, or None and what is wrong with it."""
        fact = question.fact
        if fact.kind == "choice":
            chosen = choose(fact, heard)
            return (self._chosen(state, question, chosen, heard), "") if chosen else (None, "")
        try:
            counted = count(fact, heard, self._leading(state))
            if counted is None:
                return None, self._number_wanted(fact)
            if counted.meant is not None:
                return self._did_you_mean(state, question, heard, counted.meant), ""
            if counted.value is not None:
                refuse_clashes(state.sheet, state.sheet.with_value(fact.id, counted.value))
        except SheetError as error:
            expected = error.faults[0].partition(": ")[2].partition("; correct it")[0]
            ended = expected if expected.endswith("?") else f"{expected}."
            return None, f"{ended[0].upper()}{ended[1:]}"
        return self._counted(state, question, counted, heard), ""

    def _number_wanted(self, fact: Fact) -> str:
        unit = field_rows()[fact.id].unit or fact.unit
        return self.book.said["number_wanted"].format(unit=unit)

    def _leading(self, state: State) -> str | None:
        leading = state.sheet.value("rider.leading_foot")
        return str(leading) if leading else None

    def _chosen(
        self, state: State, question: Question, chosen: Chosen, heard: Line | None = None
    ) -> tuple[State, Reply]:
        """Take an option; with the facts of the sheet that the same line tells by name."""
        fact, option = question.fact, chosen.option
        state, before = self._told_besides(state, heard, fact.id)
        last = (Mended(fact.id, state.answers.get(fact.id), option),)
        weak = state.weak | {fact.id} if chosen.strength < _WEAK else state.weak - {fact.id}
        state = replace(state, last=last, weak=weak)
        state = _noting(state, {fact.id: option})
        if fact.id in field_rows():
            return self._go_on(state, lambda case: case.with_told(fact.id, parse_value(fact.id, option)), before)

        def answered(case: Case) -> Case:
            return self._named_too(case.with_answer(fact.id, option, weak=fact.id in weak), fact.id, heard)

        return self._go_on(state, answered, before)

    def _counted(
        self, state: State, question: Question, counted: Counted, heard: Line | None = None
    ) -> tuple[State, Reply]:
        """Take a number; a unit that was only supposed is said back."""
        fact, value = question.fact, counted.value
        assert value is not None
        state, before = self._told_besides(state, heard, fact.id)
        state = replace(state, last=(Mended(fact.id, state.sheet.value(fact.id), value),), pending=None)
        state = _noting(state, {fact.id: value})
        if counted.guessed or counted.plus_minus is not None:
            before = replace(before, noted=(Told(fact.id, value, ""), *before.noted))
        plus_minus = fact.plus_minus if counted.plus_minus is None else counted.plus_minus
        return self._go_on(state, lambda case: case.with_number(fact.id, value, plus_minus), before)

    def _told_besides(self, state: State, heard: Line | None, answered: str) -> tuple[State, Before]:
        """Take the fields of the sheet that an answer's line tells by name besides what was asked."""
        if heard is None or state.case is None or not heard.numbers:
            return state, NOTHING_BEFORE
        told = field_reader(self.knowledge.trees).told(heard, self._leading(state), defaults=False).facts
        more = tuple(one for one in told if one.key != answered and any(c.isalpha() for c in one.words))
        if not more:
            return state, NOTHING_BEFORE
        facts = with_facts(self.knowledge, state, more)
        case = replace(state.case, sheet=facts.sheet)
        moved = replace(state, sheet=facts.sheet, case=case)
        return moved, Before(noted=facts.noted, left_out=facts.left_out)

    def _named_too(self, case: Case, answered: str, heard: Line | None) -> Case:
        """Take the sign that an answer names along with "one of these": "yes, it is swollen" says which it is."""
        asked = walk(self.knowledge, case).question
        if asked is None or heard is None or f"{asked.fact.id}s" != answered:
            return case
        chosen = choose(asked.fact, heard)
        return case.with_answer(asked.fact.id, chosen.option) if chosen and chosen.option != "none" else case

    def _did_you_mean(self, state: State, question: Question, heard: Line, value: LeafValue) -> tuple[State, Reply]:
        """Ask back a number that can only be right in another unit; "yes" takes it."""
        asking = AskedBack("did_you_mean", (heard.text,), question, told=(Told(question.fact.id, value, ""),))
        return replace(state, pending=(question.fact.id, value)), asking

    def _switched(self, state: State, entry: str) -> tuple[State, Reply]:
        """Take up another complaint in the place of the open one, as the rider wants it."""
        return self._take_up(_noting(state, complaints=(entry,)), entry)

    def _with_another(self, state: State, question: Question, entry: str, rest: str) -> tuple[State, Reply]:
        """Keep a complaint told beside an answer for later, and go on with the answer."""
        state, words = self._waiting_too(state, entry)
        if rest:
            left = hear_line(rest)
            taken, _ = self._answered(state, question, left)
            if taken is None and says_unsure(left):
                taken = self._go_on(state, lambda case: case.with_unsure(question.fact.id))
            if taken is None:
                taken = self._volunteered(state, left)
            if taken:
                return taken[0], _with_words(taken[1], words)
        return state, Asked(question, state.walk, Before(kept=words)) if state.walk else self._open_again(state)

    def _waiting_too(self, state: State, entry: str) -> tuple[State, tuple[str, ...]]:
        state = _noting(state, complaints=(entry,))
        if entry in state.waiting:
            return state, ()
        words = self.book.said["kept_too"].format(complaint=self._means(entry))
        return replace(state, waiting=(*state.waiting, entry)), (words,)

    def _kept_for_later(self, state: State, entry: str) -> tuple[State, Reply]:
        state, words = self._waiting_too(state, entry)
        if state.question and state.walk:
            return state, Asked(state.question, state.walk, Before(kept=words))
        return state, Left(" ".join(words))

    def _lost_at(self, state: State, heard: Line, trouble: str) -> tuple[State, Reply]:
        """Ask again at an open question; a line that is clearly another complaint is offered for later."""
        generic = (
            state.question is not None and trouble == self._number_wanted(state.question.fact) if trouble else True
        )
        if generic and sum(form.isalpha() for form in heard.forms) >= _SHORTEST_OTHER:
            found = listen(self.matcher(), heard, self.knowledge.entry_ids).matching
            best = found.matches[0]
            clear = found.understood and found.sure and best.id in self.knowledge.entry_ids
            if clear and best.id != self._entry(state) and best.id not in state.waiting:
                asked = replace(state, pending=("entry", best.id), misses=state.misses + 1)
                return asked, AskedBack("another_complaint", (self._means(best.id),), state.question)
        return self._lost(state, heard.text, trouble)

    # ------------------------------------------------------------------ with entries offered

    def _to_the_choice(self, state: State, heard: Line) -> tuple[State, Reply]:
        mended = self._mended(state, heard)
        if mended:
            return mended
        chosen = self._candidate(state, heard)
        if chosen:
            return self._take_up(with_lesson(state, chosen), chosen)
        plain = tidy(heard.text)
        if says_unsure(heard) or plain in self.book.no or plain in _NONE_OF_THEM:
            unsettled = replace(state, candidates=(), misses=0, correcting=False)
            return unsettled, Left(self.book.said["say_it_anew"])
        spoken = about_talk().hear(heard, "question")
        if spoken and spoken.intent in _AT_A_CHOICE:
            return self._about(state, spoken, heard)
        return self._freely(state, heard)

    # ------------------------------------------------------------------ with nothing open

    def _freely(self, state: State, heard: Line) -> tuple[State, Reply]:
        text = heard.text
        if says_unsure(heard) and len(heard.clauses) < 2 and len(heard.forms) < _SHORTEST_STORY:
            return state, Troubled(self.book.said["nothing_asked" if state.case else "no_complaint"])
        plain = tidy(text)
        mended = self._mended(state, heard)
        if mended:
            return mended
        spoken = about_talk().hear(heard, state.moment)
        if spoken and self._meant_as_talk(state, spoken, heard):
            return self._about(state, spoken, heard)
        if plain in self.book.courtesies and not state.candidates:
            return state, Troubled(self.book.said["nothing_asked"]) if state.case else Greeted(state.sheet.name)
        if (text.isdecimal() or plain in self.book.yes | self.book.no) and not state.candidates:
            return state, Troubled(self.book.said["nothing_asked" if state.case else "no_complaint"])
        if state.case:
            return self._volunteered(state, heard) or self._complaint(state, heard)
        return self._complaint(state, heard)

    def _meant_as_talk(self, state: State, spoken: Spoken, heard: Line) -> bool:
        """Return whether a line is about the talk, and not a complaint or facts that use the same words."""
        if state.moment == "start":
            return spoken.intent in _AT_THE_START
        if state.moment == "made" or _names_a_part(spoken, heard):
            return True
        matching = self.matcher().match(heard.text)
        best = matching.matches[0]
        words = sum(form.isalpha() for form in heard.forms)
        complains = matching.understood and matching.sure and best.score >= _CLEAR and words >= _SHORTEST_COMPLAINT
        if complains and spoken.intent != "which_tool" and best.id != self._entry(state):
            return False
        return spoken.intent in {"constraint", "bye", "thanks"} or not matching.facts or _asks(heard)

    def _go_on(
        self, state: State, change: Callable[[Case], Case], before: Before = NOTHING_BEFORE
    ) -> tuple[State, Reply]:
        assert state.case is not None
        return self._walk_on(state, change(state.case), before)

    def _walk_on(self, state: State, case: Case, before: Before = NOTHING_BEFORE) -> tuple[State, Reply]:
        done = by_ruler(self.knowledge, case, walk(self.knowledge, case))
        moved = replace(
            state, case=case, walk=done, answer=None, sheet=case.sheet, answers=dict(case.answers), unsure=case.unsure,
            candidates=(), misses=0,
        )  # fmt: skip
        if done.question:
            return moved, Asked(done.question, done, before)
        answer = settled(self.knowledge, answer_case(self.knowledge, case, done), self.boards())
        if answer.walk.question:
            return replace(moved, walk=answer.walk), Asked(answer.walk.question, answer.walk, before)
        others = tuple(one for one in state.solved if one.case.entry != case.entry)
        answered = replace(moved, answer=answer, solved=(*others, answer))
        return answered, self._answer_told(answered, before)

    def _answer_told(self, state: State, before: Before = NOTHING_BEFORE) -> Answered:
        assert state.answer is not None
        earlier = tuple(one for one in state.solved if one is not state.answer)
        weighed = together(earlier, state.answer)
        said = {words for one in earlier for words in one.cautions}.intersection(self.book.always_told.values())
        left = tuple(words for words in state.answer.cautions if words not in said)
        told = replace(state.answer, cautions=left) if said else state.answer
        standing = alarm.still_standing(state)
        if standing:
            before = replace(before, kept=(*before.kept, alarm.said_of(self.book, "still_stands", standing)))
        return Answered(told, before, state.level, self._next_waiting(state), weighed)

    # ------------------------------------------------------------------ free words

    def _complaint(self, state: State, heard: Line) -> tuple[State, Reply]:
        matcher = self.matcher()
        listened = listen(matcher, heard, self.knowledge.entry_ids)
        matching, told = listened.matching, self._facts(state, heard)
        facts = with_facts(self.knowledge, state, told.facts)
        before = Before(noted=facts.noted, left_out=(*facts.left_out, *self._not_placed(told.not_placed)))
        last = _as_mended(state, facts.noted)
        state = replace(state, sheet=facts.sheet, answers=facts.answers, unsure=facts.unsure, last=last)
        state = _noting(state, {one.key: one.value for one in facts.noted}, not_placed=told.not_placed)
        state = replace(state, wording=heard.text, correcting=False, lesson=None)
        if is_vague(heard) and not state.candidates:
            asked = self.book.said["vague"]
            return state, Noted(before, asked) if facts.noted else Left(asked)
        if not matching.understood:
            return self._not_understood(state, heard, listened, before)
        written = [one for one in matching.matches if one.id in self.knowledge.entry_ids]
        if not matching.sure and written and not _both_meant(matching):
            likely = tuple(written[:_MOST_OFFERED])
            offered = tuple(one.id for one in likely)
            return replace(state, candidates=offered, misses=0), self._offered_with(offered, before)
        best, second = matching.matches[0], listened.second
        if best.id not in self.knowledge.entry_ids:
            return self._lost(state, heard.text, self.book.said["not_written"])
        first = best.id
        if second and (
            (self._hurts(second) and not self._hurts(first)) or symptom_first(heard, matcher, first, second)
        ):
            first, second = second, first
        state = _noting(state, complaints=(first, *((second,) if second else ())))
        return self._take_up(state, first, replace(before, heard=best.words if first == best.id else ()), second)

    def _not_understood(self, state: State, heard: Line, listened: Listened, before: Before) -> tuple[State, Reply]:
        if listened.offered:
            return replace(state, candidates=listened.offered, misses=0), self._offered_with(listened.offered, before)
        if before.noted or before.left_out:
            return replace(state, misses=0), Noted(before)
        return self._lost(state, heard.text, self.book.said["not_ours"])

    def _offered_with(self, entries: tuple[str, ...], before: Before) -> Clarify:
        return replace(self.offered(entries), before=before)

    def _facts(self, state: State, heard: Line) -> FieldsTold:
        """Return the facts that a line tells, what was changed and since when among them."""
        told = self.matcher().facts(heard, self._leading(state))
        changes = tuple(Told(key, value, "") for key, value in changes_told(heard).items())
        return FieldsTold((*told.facts, *changes), told.not_placed)

    def _not_placed(self, words: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(self.book.said["no_place"].format(words=one) for one in words)

    def _hurts(self, entry: str) -> bool:
        """Return whether an entry is about pain: that comes first where two complaints are told at once."""
        found = self.knowledge.entry(entry)
        return found.kind == "symptom" and _PAIN in found.cautions

    def _take_up(
        self, state: State, entry: str, before: Before = NOTHING_BEFORE, second: str = ""
    ) -> tuple[State, Reply]:
        """Take up a complaint; one that is open, and a second one heard, are kept for later."""
        sign = alarm.barred(self.knowledge, state, entry)
        if sign:
            entry, state = sign.entry, replace(state, answers={**state.answers, **sign.facts})
        waiting = [name for name in state.waiting if name != entry]
        kept = []
        if second and second != entry and second in self.knowledge.entry_ids and second not in waiting:
            waiting.insert(0, second)
            kept.append(self.book.said["kept"].format(complaint=self._means(second)))
        if state.question and state.case and state.case.entry != entry:
            waiting.append(state.case.entry)
            kept.append(self.book.said["set_aside"].format(complaint=self._means(state.case.entry)))
        if state.correcting and state.lesson:
            kept.append(self.book.said["may_remember"].format(words=shortened(state.lesson[0])))
        case = Case(entry, state.sheet, state.answers, state.unsure, weak=state.weak, trees=self.knowledge.trees)
        opening = self.knowledge.entry(entry).opening
        before = replace(before, opening=opening, kept=(*before.kept, *kept))
        return self._walk_on(replace(state, waiting=tuple(waiting), correcting=False), case, before)

    def _candidate(self, state: State, heard: Line) -> str | None:
        """Return the offered entry that a line names: by number, order, name or words of its meaning."""
        plain = tidy(heard.text)
        entries = {name: self.knowledge.entry(name) for name in state.candidates}
        for number, (name, entry) in enumerate(entries.items(), start=1):
            if plain in {str(number), name, tidy(entry.means), tidy(entry.title)}:
                return name
        if len(state.candidates) == 1 and plain in self.book.yes:
            return state.candidates[0]
        offered = Fact(
            "which_entry", "choice", "", "", 0.0, "", 0.0, {name: one.means for name, one in entries.items()}, {}
        )
        chosen = choose(offered, heard)
        return chosen.option if chosen and chosen.option in entries else None

    def _mended(self, state: State, heard: Line) -> tuple[State, Reply] | None:
        """Take a correction of what was told last: "no, 45 not 54", "no wait, heels", "the other foot"."""
        found = mended_fact(self.knowledge, state.last, heard, self._leading(state))
        if found is None:
            return None
        sheet, answers = state.sheet, dict(state.answers)
        for one in found:
            if one.key not in field_rows():
                answers[one.key] = str(one.after)
            elif one.after is None:
                sheet = sheet.without(one.key)
            else:
                sheet = sheet.with_value(one.key, parse_value(one.key, _plain_value(one.after)))
        told = tuple(Told(one.key, one.after, "") for one in found if one.after is not None)
        state = replace(state, sheet=sheet, answers=answers, last=found, misses=0)
        state = _noting(state, {one.key: one.after for one in found})
        before = Before(noted=told)
        if state.case is None:
            return state, Noted(before)
        case = replace(state.case, sheet=sheet, answers=answers)
        return self._walk_on(replace(state, answer=None), case, before)

    def _volunteered(self, state: State, heard: Line) -> tuple[State, Reply] | None:
        """Take facts, or with nothing open another complaint; None where a line tells neither."""
        assert state.case is not None
        if not state.question:
            listened = listen(self.matcher(), heard, self.knowledge.entry_ids)
            best = listened.matching.matches[0]
            if listened.matching.understood and listened.matching.sure and best.id != state.case.entry:
                return self._complaint(state, heard)
        told = self._facts(state, heard)
        if state.question:
            told = FieldsTold(tuple(one for one in told.facts if "." in one.key or one.key == "snow"), told.not_placed)
        facts = with_facts(self.knowledge, state, told.facts)
        left_out = (*facts.left_out, *self._not_placed(told.not_placed))
        noted = _noting(state, {one.key: one.value for one in facts.noted}, not_placed=told.not_placed)
        if facts.changed:
            last = _as_mended(state, facts.noted)
            case = replace(state.case, sheet=facts.sheet, answers=facts.answers, unsure=facts.unsure)
            moved, reply = self._walk_on(replace(noted, last=last), case, Before(noted=facts.noted, left_out=left_out))
            if state.answer and isinstance(reply, Answered) and _same(state.answer, reply.answer):
                before = replace(reply.before, kept=(self.book.said["same_answer"],))
                return moved, replace(reply, before=before, level="counter")
            return moved, reply
        if left_out:
            return noted, Troubled(" ".join(self.book.said["left_out"].format(words=one) for one in left_out))
        if facts.noted and state.shown:
            if state.question and state.walk:
                return noted, Asked(state.question, state.walk, Before(noted=facts.noted))
            return noted, state.shown
        return None

    # ------------------------------------------------------------------ talk about the talk

    def _about(self, state: State, spoken: Spoken, heard: Line) -> tuple[State, Reply]:
        """Answer what is asked or said about the talk, and leave what is open open."""
        intent = spoken.intent
        state = replace(state, heard=replace(state.heard, talk=intent))
        if intent == "bye":
            return replace(state, done=True), Stopped(self.book.said["goodbye"])
        if intent == "help":
            return self._command(state, "help", "")
        if intent == "undo":
            return self._back(state)
        if intent == "repeat":
            return state, self._open_again(state) if state.question else state.shown or Greeted(state.sheet.name)
        if intent in {"same", "worse", "better"}:
            return self._how_it_went(state, intent)
        if intent == "constraint":
            wants = tuple(dict.fromkeys((*state.wants, *about_talk().wants_in(heard))))
            state = replace(state, wants=wants)
            state = replace(state, heard=replace(state.heard, wants=(heard.text,)))
        asked = AskedBack(
            intent, (spoken.term or self._term_asked(state, intent),), state.question, state.walk, state.case,
            state.answer, wants=state.wants,
        )  # fmt: skip
        return state, asked

    def _term_asked(self, state: State, intent: str) -> str:
        if intent not in {"what_is", "meaning"} or not state.question:
            return ""
        return about_talk().term_in(hear_line(state.question.fact.question))

    def _how_it_went(self, state: State, how: str) -> tuple[State, Reply]:
        """Go on after a change that was made: it stays, or the next cause is looked at."""
        said = about_talk().said
        if not state.made or how == "better":
            return state, Left(said["better" if state.made else "not_made"])
        entry, suspect, *undo = state.made
        case = Case(
            entry,
            state.sheet,
            state.answers,
            state.unsure,
            frozenset({suspect}),
            weak=state.weak,
            trees=self.knowledge.trees,
        )
        words = (said["same"],) if how == "same" else (said["worse"].format(words=" ".join(undo)),)
        return self._walk_on(replace(state, made=()), case, Before(kept=words))

    def _lost(self, state: State, text: str, reason: str = "") -> tuple[State, Reply]:
        return replace(state, misses=state.misses + 1), Lost(text, self._answers(state), state.misses + 1, reason)

    def _means(self, entry: str) -> str:
        return self.knowledge.entry(entry).means

    def _next_waiting(self, state: State) -> str:
        return self._means(state.waiting[0]) if state.waiting else ""

    # ------------------------------------------------------------------ commands

    def _command(self, state: State, name: str, rest: str) -> tuple[State, Reply]:
        if name == "help":
            return state, Helped(tuple((c.words[0], c.help) for c in self.book.commands))
        if name == "stop":
            return replace(state, done=True), Stopped(self.book.said["goodbye"])
        if name == "back":
            return self._back(state)
        if name == "meant":
            return self._meant(state, rest)
        if name == "remember":
            return self._remember(state)
        if name == "try":
            return state, self._try(state, rest)
        if name == "save":
            return state, SaveAs(rest) if rest else Troubled(self.book.said["save_whom"])
        if name == "numbers":
            return state, Numbers(state.case or Case("", state.sheet, trees=self.knowledge.trees), rest)
        if name == "how_sure":
            if state.answer is None or state.answer.search is None or state.answer.choice is None:
                return state, Troubled(self.book.said["nothing_sure"])
            return state, HowSure(state.answer)
        if name in {"more", "cautions"}:
            if state.answer is None:
                return state, Troubled(self.book.said["nothing_answered"])
            told = replace(self._answer_told(state), level="full", before=NOTHING_BEFORE)
            return state, told if name == "more" else Cautioned(told.answer)
        if name == "picture":
            return state, Pictured(state.case or Case("", state.sheet, trees=self.knowledge.trees), state.answer)
        if name in _LEVELS:
            return self._tell_as(state, _LEVELS[name])
        if name == "next":
            return self._next(state)
        if name == "done":
            return self._done(state)
        if state.candidates:
            return state, self.offered(state.candidates)
        if state.walk is None or state.case is None:
            return state, Troubled(self.book.said["no_complaint"])
        if name == "why" and state.question:
            return state, WhyAsked(state.question, state.walk, state.case)
        if name == "why_not":
            return state, WhyNot(state.walk)
        return state, Trailed(state.walk, state.case, state.answer)

    def _back(self, state: State) -> tuple[State, Reply]:
        earlier = state.before
        if earlier is None:
            return state, Troubled(self.book.said["nothing_back"])
        return earlier, earlier.shown or Greeted(earlier.sheet.name)

    def _try(self, state: State, rest: str) -> Reply:
        from advisor.solve.whatif import what_if

        if not rest:
            return Troubled(self.book.said["try_what"])
        followed = measure_told(rest)
        if followed:
            return Troubled(self.book.said["no_lever"].format(words=followed[0], fields=", ".join(followed[1])))
        try:
            path, value = change_told(rest)
            refuse_clashes(state.sheet, state.sheet.with_value(path, value))
            result = what_if(state.sheet, {path: value}, self.knowledge.trees)
        except AdvisorError as error:
            return Troubled(_sentence(str(error)))
        return Tried(result, ((path, value),))

    def _meant(self, state: State, rest: str) -> tuple[State, Reply]:
        """Take a complaint back that was misunderstood; what was meant is named, or chosen among the next likely."""
        if not state.wording:
            return state, Troubled(self.book.said["nothing_to_correct"])
        freed = without_complaint(state)
        written = self.knowledge.entry_ids
        named = self._named(rest) or likely_meant(self.matcher(), rest, (), written, _MOST_OFFERED)
        if not named and not rest:
            wrong = (state.case.entry,) if state.case else state.candidates
            named = likely_meant(self.matcher(), state.wording, wrong, written, _MOST_OFFERED)
        if len(named) == 1:
            return self._take_up(with_lesson(freed, named[0]), named[0])
        if not named:
            return freed, Left(self.book.said["say_it_anew"])
        return replace(freed, candidates=named), self.offered(named)

    def _named(self, words: str) -> tuple[str, ...]:
        """Return the entry that is named by its id, its title or what it means."""
        wanted = words.strip().lower().rstrip(".!")
        entries = map(self.knowledge.entry, sorted(self.knowledge.entry_ids))
        return tuple(one.id for one in entries if wanted in {one.id, one.means.lower(), one.title.lower()})

    def _remember(self, state: State) -> tuple[State, Reply]:
        if state.lesson is None:
            return state, Troubled(self.book.said["nothing_to_remember"])
        words, entry = state.lesson
        if alarm.tells_a_sign(words):
            return state, Troubled(self.book.said["not_taught"])
        return replace(state, lesson=None), Remember(words, entry, self._means(entry))

    def _tell_as(self, state: State, level: Level) -> tuple[State, Reply]:
        """Tell answers as fully as asked for from now on, the present one at once."""
        told = replace(state, level=level)
        if state.answer:
            return told, self._answer_told(told)
        if state.question and state.walk:
            return told, Asked(state.question, state.walk)
        return told, Greeted(state.sheet.name)

    def _next(self, state: State) -> tuple[State, Reply]:
        if not state.waiting:
            return state, Troubled(self.book.said["nothing_next"])
        return self._take_up(state, state.waiting[0])

    def _done(self, state: State) -> tuple[State, Reply]:
        """Take the advised change over into the sheet."""
        choice = state.answer.choice if state.answer else None
        if choice is None:
            return state, Troubled(self.book.said["nothing_done"])
        answer = state.answer
        suspect = answer.line.suspect.start if answer and answer.line else ""
        undo = tuple(change.words for change in choice.undone) if hasattr(choice, "undone") else ()
        made = replace(
            alarm.mended(state), sheet=choice.sheet_after, case=None, walk=None, answer=None, solved=(), misses=0,
            made=(self._entry(state), suspect, *undo),
        )  # fmt: skip
        return made, Made(choice, self._next_waiting(state))


def _same(one: Answer, other: Answer) -> bool:
    """Return whether two answers tell the tech to do the same for the same reason."""
    changes = [answer.choice.changes if answer.choice else () for answer in (one, other)]
    ends = [(answer.outcome, answer.cause, answer.referral, answer.feet, answer.says) for answer in (one, other)]
    return changes[0] == changes[1] and ends[0] == ends[1]


def _sentence(words: str) -> str:
    """Return what is wrong as a sentence; a field's path at its head stays as it is written."""
    ended = words if words.endswith(("?", ".")) else f"{words}."
    return ended if "." in ended.partition(":")[0].split()[0] else f"{ended[0].upper()}{ended[1:]}"


def _with_changes(before: State, after: State) -> State:
    """Return a state with the fields that its sheet has now and had not as what was heard."""
    changed = {path: leaf.value for path, leaf in after.sheet.leaves.items() if before.sheet.leaves.get(path) != leaf}
    last = tuple(Mended(path, before.sheet.value(path), value) for path, value in changed.items())
    return _noting(replace(after, last=last or after.last), changed)


def _as_mended(state: State, noted: tuple[Told, ...]) -> tuple[Mended, ...]:
    """Return facts just taken as what the next line may mend."""
    rows = field_rows()
    before = {one.key: state.sheet.value(one.key) if one.key in rows else state.answers.get(one.key) for one in noted}
    return tuple(Mended(one.key, before[one.key], one.value) for one in noted)


def _plain_value(value: object) -> str | float | bool:
    return value if isinstance(value, str | float | int | bool) else str(value)


def _names_a_part(spoken: Spoken, heard: Line) -> bool:
    """Return whether a line simply asks what a part is: "what's a disc, is that the round thing?"."""
    first = heard.clauses[0] if heard.clauses else None
    short = first is not None and first.end - first.start <= _LONGEST_DEFINITION
    return (
        spoken.intent == "what_is"
        and short
        and heard.bare[:1] == ["what"]
        and {"a", "an"} & set(heard.bare[:3]) != set()
    )


def _asks(heard: Line) -> bool:
    """Return whether a line is put as a question."""
    return "?" in heard.forms or (bool(heard.forms) and heard.forms[0] in _ASKING)


_ASKING = frozenset(
    {
        "what", "what's", "whats", "why", "how", "where", "which", "who", "can", "could", "do", "does", "is", "are",
        "should", "explain", "define", "y",
    }
)  # fmt: skip


def _noting(
    state: State,
    facts: Mapping[str, object] | None = None,
    complaints: tuple[str, ...] = (),
    not_placed: tuple[str, ...] = (),
) -> State:
    """Return the state with more of what its line was taken to say."""
    heard = state.heard
    more = replace(
        heard,
        facts={**heard.facts, **(facts or {})},
        complaints=tuple(dict.fromkeys((*heard.complaints, *complaints))),
        not_placed=(*heard.not_placed, *not_placed),
    )
    return replace(state, heard=more)


def _with_words(reply: Reply, words: tuple[str, ...]) -> Reply:
    """Return a question or an answer with sentences said before it."""
    if isinstance(reply, Asked | Answered) and words:
        return replace(reply, before=replace(reply.before, kept=(*words, *reply.before.kept)))
    return reply


def _both_meant(matching: Matching) -> bool:
    """Return whether two entries are close because both were told: the first is taken, the second kept."""
    return matching.second is not None and matching.second.id in {one.id for one in matching.matches[:2]}
