"""A customer's place in the conversation: the last visit at its start, and each answer kept in the case log.

The log is opened only when a customer is named. Whatever it does, the conversation goes on; what can't be kept in the
log waits on this machine, and one sentence on stderr says so.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from advisor.cli.surroundings import Surroundings
from advisor.dialogue.replies import Reply
from advisor.dialogue.talk import Conversation, State
from advisor.dialogue.visit import SaveAs
from advisor.errors import AdvisorError
from advisor.graph.knowledge import Knowledge
from advisor.plain_text import clean
from advisor.sheet.sheet import Sheet

if TYPE_CHECKING:
    import argparse

    from advisor.cases.journal import Event
    from advisor.cases.log import CaseLog
    from advisor.cases.record import CaseRecord


def with_shop_odds(knowledge: Knowledge, given: argparse.Namespace, around: Surroundings) -> Knowledge:
    """Return the knowledge with this shop's outcomes in the order of its causes, unless they are to be left out."""
    if given.without_log or around.environ.get("ADVISOR_ODDS", "").lower() == "off":
        return knowledge
    from advisor.cases.log import read_odds

    tallies = read_odds(around.environ)
    if not tallies:
        return knowledge
    from advisor.graph.odds import ShopKnowledge

    return ShopKnowledge(knowledge, tallies)


_MISHEARD = "meant"
_YES = {"y", "yes", "yeah", "yep"}


@dataclass
class _Turn:
    """What the log was told at one turn, and how things stood before it, for taking it back."""

    before: State | None
    records: dict[str, CaseRecord]
    last: CaseRecord | None
    noted: tuple[str, str]
    events: list[Event] = field(default_factory=list)


class Keeper:
    """Keeps a named customer's conversation.

    Parameters
    ----------
    knowledge
        As the conversation has it.
    given
        With `customer` and `board`.
    around
        Streams and settings.

    """

    def __init__(self, knowledge: Knowledge, given: argparse.Namespace, around: Surroundings) -> None:
        self.knowledge = knowledge
        self.alias: str = given.customer or ""
        self.board: str = given.board or ""
        self.around = around
        self.last: CaseRecord | None = None
        self._log: CaseLog | None = None
        self._conversation: Conversation | None = None
        self._records: dict[str, CaseRecord] = {}
        self._complaints: dict[str, str] = {}
        self._kept: Any = None
        self._noted = ("", "")
        self._told: set[str] = set()
        self._before: State | None = None
        self._undo: list[_Turn] = []

    # ------------------------------------------------------------------ the last visit

    def begin(self, conversation: Conversation, sheet: Sheet | None) -> tuple[Conversation, Sheet]:
        """Return the conversation to hold and its sheet: with the last visit where the customer has one."""
        self._conversation = conversation
        plain = sheet or Sheet("", {})
        if not self.alias:
            return conversation, plain
        try:
            self.last = self._open().store().last(self.alias)
        except (AdvisorError, ImportError) as error:
            self._say_once(f"{error}. The conversation goes on without the last visit.")
        if self.last is None:
            self._ask_who()
        if self.last is None:
            return conversation, plain
        from advisor.cases.of_answer import sheet_of, visit_of
        from advisor.dialogue.follow_up import Returning

        last = self.last
        self.alias, self.board = last.alias, self.board or last.board
        try:
            now = sheet or (sheet_of(last.sheet_after or last.sheet, f"case {last.id}: sheet"))
            known = last.entry in self.knowledge.entry_ids
            if not known or last.outcome == "needs":
                return conversation, now
            visit = visit_of(last, self.knowledge.entry(last.entry).title, sheet, self.knowledge.trees)
        except AdvisorError as error:
            self._say_once(f"{error}. The conversation goes on without the last visit.")
            return conversation, plain
        if visit.how:
            # It is known already how it went: this visit begins anew, on the board as it was left.
            return conversation, now if visit.did == "as_advised" or sheet else visit.now or visit.case.sheet
        self._noted = (visit.did, visit.how)
        self._complaints[last.entry] = last.complaint
        return Returning(conversation.knowledge, conversation.matcher, visit), sheet or visit.case.sheet

    def _ask_who(self) -> None:
        """Ask about an alias that is nearly known: else the history and the open follow-up would be missed."""
        try:
            store = self._open().store()
            near = store.near(self.alias)
            if not near:
                return
            shown = clean(near[0], 80)
            if not self.around.talks_to_a_person:
                self._say_once(f"There is no customer '{clean(self.alias, 80)}' yet; did you mean '{shown}'?")
                return
            self.around.note(f"There is no customer '{clean(self.alias, 80)}' yet. Did you mean '{shown}'? (yes or no)")
            if self.around.stdin.readline().strip().lower() in _YES:
                self.last = store.last(near[0])
        except (AdvisorError, ImportError):
            return

    # ------------------------------------------------------------------ each turn

    def after(self, state: State, reply: Reply | None) -> None:
        """Keep what the last turn brought; called after each, never in its way."""
        try:
            self._after(state, reply)
        except Exception as error:
            if self.around.environ.get("ADVISOR_DEBUG"):
                raise
            self._say_once(f"This conversation could not be kept ({type(error).__name__}); it goes on all the same.")

    def _after(self, state: State, reply: Reply | None) -> None:
        before, self._before = self._before, state
        if before is not None and state is before.before:
            self._take_back_to(state)
            return
        if isinstance(reply, SaveAs):
            self._under(reply.alias)
        turn = _Turn(before, dict(self._records), self.last, self._noted)
        if before is not None:
            self._undo.append(turn)
            self._take_back_misheard(before, state, turn)
        # A complaint that waits for its turn was told in this line too, and will be taken up by a mere "next".
        for entry in (*((state.case.entry,) if state.case else ()), *state.waiting):
            self._complaints.setdefault(entry, _complaint(state))
        if not self.alias:
            return
        self._note_return(state, turn)
        self._note_made(state, reply, turn)
        if state.case and (state.answer or isinstance(reply, SaveAs)):
            self._save(state, turn)
        self._pass_on()

    def _take_back_to(self, state: State) -> None:
        """Take back in the log what the turns since a state have brought."""
        back: list[Event] = []
        while self._undo:
            turn = self._undo.pop()
            back += turn.events
            self._records, self.last, self._noted, self._kept = turn.records, turn.last, turn.noted, None
            if turn.before is state:
                break
        if back:
            self._open().take_back(back)
            self._pass_on()

    def _take_back_misheard(self, before: State, state: State, turn: _Turn) -> None:
        """Take a case back whose complaint was not what the rider meant."""
        if before.case is None or self._conversation is None or not state.said:
            return
        spoken = self._conversation.book.command(state.said[-1])
        entry = before.case.entry
        if spoken is None or spoken[0].id != _MISHEARD or entry not in self._records:
            return
        if state.case is not None and state.case.entry == entry:
            return
        case = self._records.pop(entry).id
        turn.events += self._open().take_back(
            [event for earlier in self._undo for event in earlier.events if event.case == case]
        )

    def _under(self, alias: str) -> None:
        """Keep the conversation under an alias; one that it has already makes no second case of it."""
        from advisor.cases.keys import alias_key

        if not self.alias or alias_key(alias) != alias_key(self.alias):
            self.alias, self._records = alias, {}
        self._kept = None

    def finish(self, state: State) -> None:
        """Keep a case that is still open, and let go of the log."""
        if self.alias and state.case and not state.answer:
            try:
                self._save(state, _Turn(None, {}, None, self._noted))
            except Exception as error:
                if self.around.environ.get("ADVISOR_DEBUG"):
                    raise
                self._say_once(f"This conversation could not be kept ({type(error).__name__}).")
        if self._log is not None:
            self._log.close()
            self._pass_on()

    def _note_return(self, state: State, turn: _Turn) -> None:
        """Write down what was done and how it went, as soon as it is told."""
        if self.last is None:
            return
        from advisor.dialogue.follow_up import ReturnState

        told = (f"{state.did} {state.done_words}".strip(), state.how) if isinstance(state, ReturnState) else self._noted
        if not isinstance(state, ReturnState) or told == self._noted:
            return
        from advisor.cases.record import Done, Result, now

        did, how = self._noted
        self._noted = told
        noted = self.last
        if state.did and told[0] != did:
            board = state.sheet.to_dict() if state.did == "other" and state.done_words else None
            noted = noted.with_done(Done(state.did, state.done_words, board, now()))
        if state.how and state.how != how:
            noted = noted.with_result(Result(state.how, "", now()))
        self._change(self.last, noted, turn)
        self.last = noted

    def _note_made(self, state: State, reply: Reply | None, turn: _Turn) -> None:
        from advisor.dialogue.replies import Made

        if not isinstance(reply, Made):
            return
        from advisor.cases.record import Done, now

        for entry, record in self._records.items():
            if record.sheet_after and record.sheet_after == state.sheet.to_dict():
                self._records[entry] = done = record.with_done(Done("as_advised", "", None, now()))
                self._change(record, done, turn)

    def _save(self, state: State, turn: _Turn) -> None:
        from advisor.cases.of_answer import record_of
        from advisor.dialogue.answer import Answer
        from advisor.graph.odds import ShopKnowledge

        assert state.case and state.walk
        seen = (state.case, state.answer)
        if self._kept is not None and self._kept[0] is seen[0] and self._kept[1] is seen[1]:
            return
        entry = state.case.entry
        before = self._records.get(entry)
        made = record_of(
            state.answer or Answer("needs", state.case, state.walk),
            self.alias,
            number=before.id if before else "",
            at=before.at if before else "",
            said=state.said,
            complaint=self._complaints.get(entry, ""),
            odds=self.knowledge.counts(entry) if isinstance(self.knowledge, ShopKnowledge) else None,
            board=self.board,
            follows=self.last.id if self.last else "",
            revision=before.revision + 1 if before else 1,
        )
        if before:
            made = replace(made, done=before.done)
        self._change(before, made, turn)
        self._records[entry] = made
        self._kept = seen
        if state.answer:
            self._say_once(f"Kept as case {made.id}. The slip: advisor slip {made.id} --to slip.html")

    def _change(self, before: CaseRecord | None, after: CaseRecord, turn: _Turn) -> None:
        turn.events.append(self._open().change(before, after))

    # ------------------------------------------------------------------ the log

    def _open(self) -> CaseLog:
        if self._log is None:
            from advisor.cases.log import CaseLog

            self._log = CaseLog(self.around.environ)
        return self._log

    def _pass_on(self) -> None:
        """Say what the way to the log has to say; each thing once."""
        for words in self._log.told() if self._log else ():
            self._say_once(words)

    def _say_once(self, words: str) -> None:
        if words not in self._told:
            self._told.add(words)
            self.around.note(clean(words, 800))


def _complaint(state: State) -> str:
    """Return the line that named the complaint: the last that is not a mere choice by number."""
    return next((line for line in reversed(state.said) if not line.strip().isdigit()), "")
