"""The conversation as a pure function: what was said so far and a new line give a new state and a reply.

A state can be kept as the lines that were said (`State.said`) and brought back by saying them again, or without any of
the rider's words by `keeping.py`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from advisor.dialogue import alarm
from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.clashing import refuse_clashes
from advisor.dialogue.correcting import Remember, likely_meant, shortened, with_lesson, without_complaint
from advisor.dialogue.doubting import Boards, settled, sides_against
from advisor.dialogue.heard import NOTHING_HEARD, HeardLine
from advisor.dialogue.hearing import (
    change_told,
    chosen_option,
    measure_told,
    number_told,
    option_spoken_of,
    says_unsure,
)
from advisor.dialogue.phrasebook import Phrasebook, load_phrasebook, tidy
from advisor.dialogue.replies import (
    NOTHING_BEFORE,
    Answered,
    Asked,
    Before,
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
from advisor.dialogue.together import together
from advisor.dialogue.visit import SaveAs
from advisor.dialogue.volunteering import with_facts
from advisor.dialogue.walk import Question, Walk, walk
from advisor.errors import AdvisorError, SheetError
from advisor.graph.knowledge import Knowledge
from advisor.match import Matcher, Matching
from advisor.plain_text import clean
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.sheet import Sheet
from advisor.signs import Heard, Sign

__all__ = ["Conversation", "State"]

_LONGEST_LINE = 2000
_MOST_OFFERED = 3
_PAIN = "not_medical"
_SHORTEST_COMPLAINT = 3
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
        listened = alarm.heard_in(self.knowledge, state, text)
        new, reply = self._alarmed(state, listened, text) or self._heard(state, text)
        if new is state or new is state.before:
            return new, reply
        heard = HeardLine(signs=listened.told, line=text)
        new = replace(new, about=alarm.about_so_far(state, listened), heard=heard)
        if isinstance(reply, Lost | Troubled | Stopped):
            return new, reply
        return replace(new, said=(*state.said, text), shown=reply, before=state), reply

    def _heard(self, state: State, text: str) -> tuple[State, Reply]:
        spoken = self.book.command(text)
        return self._command(state, spoken[0].id, spoken[1]) if spoken else self._said(state, text)

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
        if told:
            return self._told(state, told, heard)
        open_still = alarm.left_open(state, text)
        if open_still:
            return self._go_on(state, lambda case: case.with_unsure(open_still))
        denied = tuple(sign for sign in state.signs if sign.id in {one.id for one in heard.denied})
        return self._taken_back(state, denied) if denied and not state.question else None

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
        question = state.question
        if question:
            if says_unsure(self.book, text):
                return self._go_on(state, lambda case: case.with_unsure(question.fact.id))
            taken, trouble = self._answered(state, question, text)
            return taken or self._volunteered(state, text) or self._lost(state, text, trouble)
        if state.candidates:
            chosen = self._candidate(state, text)
            if chosen:
                return self._take_up(with_lesson(state, chosen), chosen)
        if says_unsure(self.book, text):
            if state.candidates:
                unsettled = replace(state, candidates=(), misses=0, correcting=False)
                return unsettled, Left(self.book.said["say_it_anew"])
            return state, Troubled(self.book.said["nothing_asked" if state.case else "no_complaint"])
        plain = tidy(text)
        if plain in self.book.courtesies and not state.candidates:
            return state, Troubled(self.book.said["nothing_asked"]) if state.case else Greeted(state.sheet.name)
        if (text.isdecimal() or plain in self.book.yes | self.book.no) and not state.candidates:
            return state, Troubled(self.book.said["nothing_asked" if state.case else "no_complaint"])
        if state.case:
            return self._volunteered(state, text) or self._complaint(state, text)
        return self._complaint(state, text)

    def _answered(self, state: State, question: Question, text: str) -> tuple[tuple[State, Reply] | None, str]:
        """Return what an answer leads to, or None and what is wrong with it."""
        fact = question.fact
        if fact.kind == "choice":
            option = chosen_option(self.book, fact, text)
            if option is None:
                return None, ""
            if fact.id in field_rows():
                return self._go_on(state, lambda case: case.with_told(fact.id, parse_value(fact.id, option))), ""
            return self._go_on(state, lambda case: self._named_too(case.with_answer(fact.id, option), text)), ""
        try:
            value = number_told(self.book, fact, text)
            refuse_clashes(state.sheet, state.sheet.with_value(fact.id, value))
        except SheetError as error:
            expected = error.faults[0].partition(": ")[2].partition("; correct it")[0]
            ended = expected if expected.endswith("?") else f"{expected}."
            return None, f"{ended[0].upper()}{ended[1:]}"
        return self._go_on(state, lambda case: case.with_number(fact.id, value, fact.plus_minus)), ""

    def _named_too(self, case: Case, text: str) -> Case:
        """Take the answer to the next question where the same words give it: "it is swollen" says which sign it is."""
        asked = walk(self.knowledge, case).question
        if asked is None or asked.fact.id in field_rows() or asked.fact.kind != "choice" or "yes" in asked.fact.options:
            return case
        option = option_spoken_of(self.book, asked.fact, text)
        return case if option is None else case.with_answer(asked.fact.id, option)

    def _go_on(self, state: State, change: Callable[[Case], Case]) -> tuple[State, Reply]:
        assert state.case is not None
        return self._walk_on(state, change(state.case))

    def _walk_on(self, state: State, case: Case, before: Before = NOTHING_BEFORE) -> tuple[State, Reply]:
        done = walk(self.knowledge, case)
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

    def _complaint(self, state: State, text: str, matching: Matching | None = None) -> tuple[State, Reply]:
        matching = matching or self.matcher().match(text)
        facts = with_facts(self.knowledge, self.book, state, matching.facts)
        before = Before(noted=facts.noted, left_out=facts.left_out)
        state = replace(state, sheet=facts.sheet, answers=facts.answers, unsure=facts.unsure)
        state = replace(state, wording=text, correcting=False, lesson=None)
        if not matching.understood:
            if facts.noted or facts.left_out:
                return replace(state, misses=0), Noted(before)
            return self._lost(state, text, self.book.said["not_ours"])
        written = [one for one in matching.matches if one.id in self.knowledge.entry_ids]
        if not matching.sure and written and not _both_meant(matching):
            likely = tuple(written[:_MOST_OFFERED])
            offered = tuple(one.id for one in likely)
            return replace(state, candidates=offered, misses=0), self.offered(offered)
        best, second = matching.matches[0], matching.second
        if best.id not in self.knowledge.entry_ids:
            return self._lost(state, text, self.book.said["not_written"])
        if second and second.id in self.knowledge.entry_ids and self._hurts(second.id) and not self._hurts(best.id):
            best, second = second, best
        return self._take_up(state, best.id, replace(before, heard=best.words), second.id if second else "")

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
        case = Case(entry, state.sheet, state.answers, state.unsure, trees=self.knowledge.trees)
        opening = self.knowledge.entry(entry).opening
        before = replace(before, opening=opening, kept=(*before.kept, *kept))
        return self._walk_on(replace(state, waiting=tuple(waiting), correcting=False), case, before)

    def _candidate(self, state: State, text: str) -> str | None:
        plain = text.strip().lower().rstrip(".!")
        for number, name in enumerate(state.candidates, start=1):
            entry = self.knowledge.entry(name)
            if plain in {str(number), name, entry.means.lower(), entry.title.lower()}:
                return name
        return None

    def _volunteered(self, state: State, text: str) -> tuple[State, Reply] | None:
        """Take facts, or another complaint, told instead of an answer or after one; None where there is neither."""
        assert state.case is not None
        matching = self.matcher().match(text)
        if matching.understood and matching.sure and matching.matches[0].id != state.case.entry:
            return self._complaint(state, text, matching)
        facts = with_facts(self.knowledge, self.book, state, matching.facts)
        if facts.changed:
            case = replace(state.case, sheet=facts.sheet, answers=facts.answers, unsure=facts.unsure)
            moved, reply = self._walk_on(state, case, Before(noted=facts.noted, left_out=facts.left_out))
            if state.answer and isinstance(reply, Answered) and _same(state.answer, reply.answer):
                before = replace(reply.before, kept=(self.book.said["same_answer"],))
                return moved, replace(reply, before=before, level="counter")
            return moved, reply
        if facts.left_out:
            return state, Troubled(" ".join(self.book.said["left_out"].format(words=one) for one in facts.left_out))
        if facts.noted and state.shown:
            return state, state.shown
        return None

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
        made = replace(
            alarm.mended(state), sheet=choice.sheet_after, case=None, walk=None, answer=None, solved=(), misses=0
        )
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


def _both_meant(matching: Matching) -> bool:
    """Return whether two entries are close because both were told: the first is taken, the second kept."""
    return matching.second is not None and matching.second.id in {one.id for one in matching.matches[:2]}
