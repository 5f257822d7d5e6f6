"""The conversation: on a terminal with editing and completion, through a pipe one line a turn."""

from __future__ import annotations

import threading
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.dialogue.replies import Reply, Troubled
from advisor.dialogue.talk import Conversation, State
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet

if TYPE_CHECKING:
    import argparse

    from advisor.match import Matcher

__all__ = ["chat", "start"]


def start(knowledge: Knowledge) -> Conversation:
    """Return a conversation that loads its matcher when the first free words come in."""
    return Conversation(knowledge, _matcher)


@cache
def _matcher() -> Matcher:
    from advisor.match import load_matcher

    return load_matcher()


def chat(given: argparse.Namespace, around: Surroundings) -> int:
    """Hold a conversation until it ends, the input ends, or the rider is helped."""
    knowledge = load_knowledge()
    sheet = read_sheet(Path(given.sheet)) if given.sheet else Sheet("", {})
    conversation = start(knowledge)
    state, reply = conversation.begin(sheet)
    teller = _Teller(knowledge, given, around)
    if around.talks_to_a_person and around.environ.get("TERM") != "dumb":
        return _on_terminal(conversation, state, reply, teller, around)
    return _through_pipe(conversation, state, reply, teller, around)


class _Teller:
    """Puts replies into words and shows them; what it needs is imported when the first reply is shown."""

    def __init__(self, knowledge: Knowledge, given: argparse.Namespace, around: Surroundings) -> None:
        self.knowledge = knowledge
        self.units = given.units
        self.around = around

    def show(self, reply: Reply) -> None:
        """Show one reply, at the terminal's present width."""
        from advisor.cli.styled import show
        from advisor.explain.telling import Telling, tell

        how = Telling(self.knowledge, self.units, self.around.width, self.around.ascii_only)
        show(tell(reply, how), self.around)
        self.around.say()


def _on_terminal(conversation: Conversation, state: State, reply: Reply, teller: _Teller, around: Surroundings) -> int:
    from advisor.cli.prompting import Prompt

    prompt = Prompt(around, lambda: conversation.options(state))
    teller.show(reply)
    threading.Thread(target=_get_ready, daemon=True).start()
    while not state.done:
        line = prompt.ask(state)
        if line is None:
            around.say(conversation.book.said["goodbye"])
            return Exit.DONE
        state, reply = _heard(conversation, state, line, around)
        teller.show(reply)
    return Exit.DONE


def _heard(conversation: Conversation, state: State, line: str, around: Surroundings) -> tuple[State, Reply]:
    """Take one line; a fault of the advisor's own leaves the case as it was."""
    try:
        return conversation.hear(state, line)
    except Exception as error:
        if around.environ.get("ADVISOR_DEBUG"):
            raise
        words = (
            f"The advisor itself is at fault here ({type(error).__name__}). The case is as it was; say it another way."
        )
        return state, Troubled(words)


def _get_ready() -> None:
    """Load, while the first line is being typed, what the first answer will need."""
    import importlib

    for name in ("rich.console", "rich.table", "advisor.explain.telling", "advisor.solve.search", "advisor.match"):
        importlib.import_module(name)


def _through_pipe(conversation: Conversation, state: State, reply: Reply, teller: _Teller, around: Surroundings) -> int:
    for line in around.stdin:
        if not line.strip():
            continue
        around.say(f"> {_shown(line)}")
        state, reply = _heard(conversation, state, line, around)
        teller.show(reply)
        if state.done:
            return Exit.DONE
    question = state.question
    if question:
        around.note(f"the input ended with a question open: {question.fact.question} ({question.fact.id})")
        return Exit.BAD_INPUT
    if state.case is None:
        around.note("the input ended without a complaint; write what the rider says, one line a turn")
        return Exit.BAD_INPUT
    return Exit.DONE


def _shown(line: str) -> str:
    from advisor.sheet.plain_text import clean

    return clean(line.strip(), 2000)
