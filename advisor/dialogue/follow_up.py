"""How did it go? A conversation with a customer who comes back.

First what was really done, then how it went. Better: the change stays. The same or worse: that suspect is ruled out,
the reply says whether the last change stays or goes back, and the walk goes on to the next cause; one change at a time.
Better, but something new: the new complaint is solved with the aims of the last one kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from advisor.dialogue.case import Case
from advisor.dialogue.choosing import says_unsure
from advisor.dialogue.done_differently import done_differently
from advisor.dialogue.hearing import change_told
from advisor.dialogue.phrasebook import tidy
from advisor.dialogue.replies import NOTHING_BEFORE, Answered, Before, Reply
from advisor.dialogue.talk import Conversation, State
from advisor.dialogue.visit import Did, How, HowItWent, LastVisit, WentOn, load_asks
from advisor.errors import AdvisorError
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Fact
from advisor.knowledge.trees import Trees
from advisor.match.heard import hear as hear_line
from advisor.plain_text import clean
from advisor.sheet.sheet import LeafValue, Sheet

if TYPE_CHECKING:
    from advisor.dialogue.after_a_step import AfterStep
    from advisor.match import Matcher
    from advisor.solve.aims import Aim
    from advisor.solve.choice import Change

_LONGEST_NOTE = 500

Move = tuple[str, int]


@dataclass(frozen=True)
class ReturnState(State):
    """A conversation with a customer who came back.

    Parameters
    ----------
    visit
        The last visit.
    stage
        `did`, `what` or `how` while one of these is asked, then empty.
    did, how
        What was told, empty until it is.
    done_words
        What was done instead, in the tech's words.
    keep
        Aims of the last complaint that must stay right.
    ruled_out
        Suspects of the last complaint's entry that have been tried.
    undone
        Moves that were put back, as field and way; a cause that asks for one of them again is passed over.

    """

    visit: LastVisit | None = None
    stage: str = ""
    did: Did = ""
    how: How = ""
    done_words: str = ""
    keep: tuple[Aim, ...] = ()
    ruled_out: frozenset[str] = frozenset()
    undone: frozenset[Move] = frozenset()


class Returning(Conversation):
    """A conversation that begins with the last visit and then goes on as any other.

    Parameters
    ----------
    knowledge, matcher
        As for `Conversation`.
    visit
        The last visit.

    """

    def __init__(self, knowledge: Knowledge, matcher: Callable[[], Matcher], visit: LastVisit) -> None:
        super().__init__(knowledge, matcher)
        self.visit = visit
        self.asks = load_asks(knowledge.trees)

    def begin(self, sheet: Sheet) -> tuple[State, Reply]:
        """Return the first state, and the question what was done or how it went."""
        visit = self.visit
        if visit.did == "as_advised":
            sheet = visit.board_as_advised
        elif visit.did == "other":
            sheet = visit.now or sheet
        state = ReturnState(
            sheet, visit=visit, did=visit.did, answers=dict(visit.case.answers), unsure=visit.case.unsure,
            ruled_out=visit.case.ruled_out, keep=visit.case.keep,
        )  # fmt: skip
        if not visit.changes:
            state = replace(state, did="nothing")
        stage = "how" if state.did in {"as_advised", "other"} or not visit.changes else "did"
        return self._ask(state, stage, first=True)

    def _ask(self, state: ReturnState, stage: str, first: bool = False) -> tuple[State, Reply]:
        fact = self.asks.facts[stage]
        reply = HowItWent(self.visit, fact.question, tuple(fact.options.values()), first)
        return replace(state, stage=stage, shown=reply), reply

    def _answers(self, state: State) -> tuple[str, ...]:
        if isinstance(state, ReturnState) and state.stage:
            return tuple(self.asks.facts[state.stage].options.values())
        return super()._answers(state)

    # ------------------------------------------------------------------ the questions about the last visit

    def _said(self, state: State, text: str) -> tuple[State, Reply]:
        if not isinstance(state, ReturnState) or not state.stage:
            return super()._said(state, text)
        if state.stage == "what":
            return self._what(state, text)
        if state.stage == "did" and not text.strip().isdigit() and (partly := self._as_told(text)) is not None:
            words = clean(text, _LONGEST_NOTE)
            return self._ask(replace(state, did="other", done_words=words, sheet=partly, misses=0), "how")
        fact = self.asks.facts[state.stage]
        option = _option(fact, text)
        if option is None and says_unsure(hear_line(text)):
            return self._free(state, self.asks.unsure)
        if option is None and state.misses:
            # Not understood twice: the rider may be telling the next complaint already.
            return super()._said(replace(state, stage="", misses=0), text)
        if option is None:
            asked = HowItWent(self.visit, fact.question, tuple(fact.options.values()), trouble=clean(text, 200))
            return replace(state, misses=1), asked
        state = replace(state, misses=0)
        return self._did(state, option) if state.stage == "did" else self._how(state, option)

    def _did(self, state: ReturnState, option: str) -> tuple[State, Reply]:
        told: dict[str, Did] = {"as_advised": "as_advised", "other": "other", "nothing": "nothing"}
        state = replace(state, did=told[option])
        if option == "other":
            return self._ask(state, "what")
        if option == "as_advised":
            return self._ask(replace(state, sheet=self.visit.board_as_advised), "how")
        words = self.asks.said["not_done"]
        case = replace(self.visit.case, sheet=self.visit.now or self.visit.case.sheet)
        return self._on(replace(state, stage=""), case, words)

    def _as_told(self, text: str) -> Sheet | None:
        """Return the board where the words tell how it was done otherwise than advised."""
        before = self.visit.now or self.visit.case.sheet
        return done_differently(text, before, self.visit.advised, self.asks.differently)

    def _what(self, state: ReturnState, text: str) -> tuple[State, Reply]:
        words = clean(text, _LONGEST_NOTE)
        try:
            path, value = change_told(text)
            state = replace(state, sheet=state.sheet.with_value(path, value))
        except AdvisorError:
            state = replace(state, sheet=self._as_told(text) or state.sheet)
        return self._ask(replace(state, done_words=words), "how")

    def _how(self, state: ReturnState, option: str) -> tuple[State, Reply]:
        told: dict[str, How] = {"better": "better", "same": "same", "worse": "worse", "better_new": "better_new"}
        how, said, visit = told[option], self.asks.said, self.visit
        state = replace(state, how=how, stage="")
        if how == "better":
            return self._free(state, said["better"])
        if how == "better_new":
            kept = visit.aims if state.did == "as_advised" else ()
            return self._free(replace(state, keep=(*state.keep, *kept)), said["better_new"])
        if state.did == "other":
            return self._on(state, replace(visit.case, sheet=state.sheet), said["other_done"])
        tried = visit.case.ruled_out | ({visit.suspect} if visit.suspect else frozenset())
        state = replace(state, ruled_out=tried)
        if not visit.changes:
            case = replace(visit.case, sheet=visit.now or state.sheet, ruled_out=tried)
            return self._on(state, case, said["referred"])
        taught = self._taught(state, how)
        if taught is not None and taught.go_on:
            case = replace(visit.case, sheet=state.sheet, tried=(*visit.case.tried, taught.tried))
            return self._on(replace(state, ruled_out=visit.case.ruled_out), case, self._share_words("larger", taught))
        if how == "same" and visit.worth_keeping:
            case = replace(visit.case, sheet=state.sheet, ruled_out=tried)
            words = f"{self._share_words('next_cause', taught)} {said['keep']}" if taught else said["keep"]
            return self._on(state, case, words)
        words = said["undo_same" if how == "same" else "undo_worse"].format(changes=self._back_words(state.sheet))
        case = replace(visit.case, sheet=self._undone(state.sheet), ruled_out=tried)
        return self._on(replace(state, undone=self._moves()), case, words)

    def _taught(self, state: ReturnState, how: How) -> AfterStep | None:
        """Return what a step done as advised teaches that left it the same."""
        from advisor.dialogue.after_a_step import after_step

        if how != "same" or state.did != "as_advised" or not self.visit.aims:
            return None
        return after_step(self.knowledge, self.visit, state.sheet)

    def _share_words(self, name: str, taught: AfterStep) -> str:
        words = next(words for least, words in self.book.often if taught.share >= least)
        return self.asks.said[name].format(often=words)

    def _back_words(self, now: Sheet) -> str:
        """Return how to take the last change back, with torque and cautions; what it was where no number tells."""
        from advisor.solve.undo import taken_back

        visit = self.visit
        advised, trees = visit.advised, self.knowledge.trees
        back = taken_back(now, visit.case.sheet, advised, trees) if advised is not None else ()
        if not back:
            return self.asks.said["was"].format(changes=_listed(visit.changes))
        words = "; ".join(f"{change.words}{_from_to(change)}" for change in back)
        minds = [change.caution for change in back if change.caution]
        if any(opens_disc(change.adjustment, self.knowledge.trees) for change in back):
            minds.insert(0, self.knowledge.caution("screws"))
        return f"{words}. {' '.join(dict.fromkeys(minds))}".strip()

    def _moves(self) -> frozenset[Move]:
        """Return what the last change moved, and which way."""
        advised = self.visit.advised
        if advised is None:
            return frozenset()
        before = self.visit.case.sheet
        changed = [path for path, leaf in advised.leaves.items() if before.leaves.get(path) != leaf]
        return frozenset((path, _way(before.value(path), advised.value(path))) for path in changed)

    def _undone(self, now: Sheet) -> Sheet:
        """Return the sheet as it is with every field that the last change set put back to what it was."""
        before, advised = self.visit.case.sheet, self.visit.advised
        if advised is None:
            return now
        for path, leaf in advised.leaves.items():
            earlier = before.leaves.get(path)
            if earlier == leaf:
                continue
            now = now.without(path) if earlier is None else replace(now, leaves={**now.leaves, path: earlier})
        return now

    def _free(self, state: ReturnState, words: str) -> tuple[State, Reply]:
        return replace(state, stage="", misses=0), WentOn(words)

    def _on(self, state: ReturnState, case: Case, words: str) -> tuple[State, Reply]:
        return self._walk_on(replace(state, sheet=case.sheet), case, Before(kept=(words,)))

    # ------------------------------------------------------------------ the walk, with what the last visit taught

    def _walk_on(self, state: State, case: Case, before: Before = NOTHING_BEFORE) -> tuple[State, Reply]:
        if isinstance(state, ReturnState):
            tried = state.ruled_out if case.entry == self.visit.case.entry else frozenset()
            case = replace(case, ruled_out=case.ruled_out | tried, keep=state.keep)
            # A question about the last visit that was passed over stays passed over.
            state = replace(state, stage="")
        moved, reply = super()._walk_on(state, case, before)
        if isinstance(state, ReturnState):
            again = self._again(state, reply)
            if again and again not in case.ruled_out:
                return self._walk_on(replace(state, ruled_out=state.ruled_out | {again}), case, before)
        if isinstance(reply, Answered) and case.keep:
            reply = replace(reply, before=replace(reply.before, kept=(*reply.before.kept, *self._kept(reply))))
        return moved, reply

    def _again(self, state: ReturnState, reply: Reply) -> str:
        """Return the suspect of an answer that asks for a move that was just put back, empty for none."""
        if not isinstance(reply, Answered) or not state.undone or reply.answer.choice is None:
            return ""
        moves = {(change.path, _way(change.before, change.after)) for change in reply.answer.choice.changes}
        same_entry = reply.answer.case.entry == self.visit.case.entry
        return reply.answer.line.suspect.name if same_entry and reply.answer.line and moves & state.undone else ""

    def _kept(self, reply: Answered) -> list[str]:
        """Return, for each aim kept from the last complaint, whether the new change leaves it right."""
        from advisor.dialogue.kept_aims import kept_words

        choice = reply.answer.choice
        return kept_words(reply.answer.case.keep, choice, self.asks.said) if choice else []


def _from_to(change: Change) -> str:
    before, after = change.before, change.after
    if isinstance(before, bool) or not isinstance(before, int | float) or not isinstance(after, int | float):
        return ""
    return f", from {before:g} to {after:g}"


def opens_disc(adjustment: str, trees: Trees) -> bool:
    """Return whether an adjustment opens a disc's screws."""
    from advisor.solve.adjustments import load_adjustments

    known = load_adjustments(trees).get(adjustment)
    return known is not None and known.work.part == "disc"


def _listed(changes: tuple[str, ...]) -> str:
    return " ".join(changes)


def _way(before: LeafValue | None, after: LeafValue | None) -> int:
    """Return which way a field goes: 1 up, -1 down, 0 for what has no up and down."""
    numbers = isinstance(before, int | float) and isinstance(after, int | float)
    return (after > before) - (after < before) if numbers else 0  # type: ignore[operator]


def _option(fact: Fact, text: str) -> str | None:
    """Return the option that a text means: its number, its own words, else the first whose other words are in it."""
    plain, options = tidy(text), list(fact.options)
    if plain.isdigit() and 1 <= int(plain) <= len(options):
        return options[int(plain) - 1]
    for option in options:
        if plain in {option, tidy(fact.options[option])}:
            return option
    padded = f" {plain.replace(',', ' ')} "
    return next((name for name, words in fact.also.items() if any(f" {one} " in padded for one in words)), None)
