"""A customer's place in the conversation: the last visit at its start, and each answer kept in the case log.

The log is opened only when a customer is named. Whatever it does, the conversation goes on; what can't be kept in the
log waits on this machine, and one sentence on stderr says so.
"""

from __future__ import annotations

from dataclasses import replace
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

    from advisor.cases.log import CaseLog, Kept
    from advisor.cases.record import CaseRecord

__all__ = ["Keeper", "with_shop_odds"]


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
        self._records: dict[str, CaseRecord] = {}
        self._complaints: dict[str, str] = {}
        self._kept: Any = None
        self._noted = ("", "")
        self._told: set[str] = set()

    # ------------------------------------------------------------------ the last visit

    def begin(self, conversation: Conversation, sheet: Sheet | None) -> tuple[Conversation, Sheet]:
        """Return the conversation to hold and its sheet: with the last visit where the customer has one."""
        plain = sheet or Sheet("", {})
        if not self.alias:
            return conversation, plain
        try:
            self.last = self._open().last(self.alias)
        except (AdvisorError, ImportError) as error:
            self._say_once(f"{error}. The conversation goes on without the last visit.")
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
        if isinstance(reply, SaveAs):
            self._under(reply.alias)
        # A complaint that waits for its turn was told in this line too, and will be taken up by a mere "next".
        for entry in (*((state.case.entry,) if state.case else ()), *state.waiting):
            self._complaints.setdefault(entry, _complaint(state))
        if not self.alias:
            return
        self._note_return(state)
        self._note_made(state, reply)
        if state.case and (state.answer or isinstance(reply, SaveAs)):
            self._save(state)

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
                self._save(state)
            except Exception as error:
                if self.around.environ.get("ADVISOR_DEBUG"):
                    raise
                self._say_once(f"This conversation could not be kept ({type(error).__name__}).")
        if self._log is not None:
            self._log.close()

    def _note_return(self, state: State) -> None:
        """Write down what was done and how it went, as soon as it is told."""
        if self.last is None:
            return
        from advisor.dialogue.follow_up import ReturnState

        if not isinstance(state, ReturnState) or (state.did, state.how) == self._noted:
            return
        from advisor.cases.record import Done, Result, now

        did, how = self._noted
        self._noted = (state.did, state.how)
        if state.did and state.did != did:
            self._tell(self._open().set_done(self.last.id, Done(state.did, state.done_words, None, now())))
        if state.how and state.how != how:
            self._tell(self._open().set_result(self.last.id, Result(state.how, "", now())))

    def _note_made(self, state: State, reply: Reply | None) -> None:
        from advisor.dialogue.replies import Made

        if not isinstance(reply, Made):
            return
        from advisor.cases.record import Done, now

        for entry, record in self._records.items():
            if record.sheet_after and record.sheet_after == state.sheet.to_dict():
                self._records[entry] = done = record.with_done(Done("as_advised", "", None, now()))
                self._tell(self._open().save(done))

    def _save(self, state: State) -> None:
        from advisor.cases.of_answer import record_of
        from advisor.dialogue.answer import Answer
        from advisor.graph.odds import ShopKnowledge

        assert state.case and state.walk
        seen = (state.case, state.answer)
        if self._kept is not None and self._kept[0] is seen[0] and self._kept[1] is seen[1]:
            return
        self._kept = seen
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
        self._records[entry] = made
        kept = self._open().save(made)
        self._tell(kept)
        if state.answer and kept.where == "log":
            self._say_once(f"Kept as case {made.id}. The slip: advisor slip {made.id} --to slip.html")

    # ------------------------------------------------------------------ the log

    def _open(self) -> CaseLog:
        if self._log is None:
            from advisor.cases.log import CaseLog

            self._log = CaseLog(self.around.environ)
        return self._log

    def _tell(self, kept: Kept) -> None:
        if kept.where == "waiting":
            self._say_once(f"{kept.words}. The case is kept on this machine and goes into the log later.")
        elif not kept.safe:
            self._say_once(f"{kept.words}. This conversation is NOT kept.")

    def _say_once(self, words: str) -> None:
        if words not in self._told:
            self._told.add(words)
            self.around.note(clean(words, 800))


def _complaint(state: State) -> str:
    """Return the line that named the complaint: the last that is not a mere choice by number."""
    return next((line for line in reversed(state.said) if not line.strip().isdigit()), "")
