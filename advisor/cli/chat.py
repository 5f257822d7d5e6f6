"""The conversation: on a terminal with editing and completion, through a pipe one line a turn."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.kept_case import KeptCase
from advisor.cli.sheet_desk import keep_for, shelf_labels, shop_boards, with_kept
from advisor.cli.surroundings import Surroundings
from advisor.dialogue.correcting import Remember
from advisor.dialogue.replies import Greeted, Reply, Troubled
from advisor.dialogue.sheet_replies import SheetWanted
from advisor.dialogue.talk import Conversation, State
from advisor.errors import AdvisorError
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.sheet.reading import read_sheet

if TYPE_CHECKING:
    import argparse

    from advisor.cli.returning import Keeper
    from advisor.explain.text import Text
    from advisor.match import Matcher

_KILLED_BY = 128  # a shell tells the signal that ended a process by 128 and its number


def start(knowledge: Knowledge, with_shop: bool = True) -> Conversation:
    """Return a conversation that loads its matcher when the first free words come in.

    With `with_shop` the shop's own phrases count; recordings and rehearsals leave them out.
    """
    return Conversation(knowledge, partial(_matcher, with_shop))


@cache
def _matcher(with_shop: bool) -> Matcher:
    from advisor.match import load_matcher

    return load_matcher(with_shop=with_shop)


def _keep_phrase(meant: Remember) -> Reply:
    """Write a confirmed phrase into the shop's own file, and let it count at once."""
    from advisor.match.shop import confirm, remember

    try:
        confirm(remember(meant.wording, meant.entry))
    except AdvisorError as error:
        return Troubled(str(error))
    _read_phrases_anew()
    return meant


def _forget_phrase(meant: Remember) -> None:
    """Take back what was just taught."""
    from advisor.match.shop import ShopPhrase, forget

    forget((ShopPhrase(" ".join(meant.wording.split()), meant.entry, True),))
    _read_phrases_anew()


def _read_phrases_anew() -> None:
    from advisor.match import load_matcher

    load_matcher.cache_clear()
    _matcher.cache_clear()


def chat(given: argparse.Namespace, around: Surroundings) -> int:
    """Hold a conversation until it ends, the input ends, or the rider is helped."""
    from advisor.cli.returning import Keeper, with_shop_odds

    knowledge = with_shop_odds(load_knowledge(around.trees), given, around)
    keeper = Keeper(knowledge, given, around)
    conversation = start(knowledge)
    kept = KeptCase(around.environ)
    if given.resume is None:
        conversation, sheet = keeper.begin(conversation, read_sheet(Path(given.sheet)) if given.sheet else None)
        sheet = with_kept(sheet, keeper.alias, around)
        state, reply = conversation.begin(sheet)
    else:
        state, reply = _resume(conversation, given, kept, around)
    conversation.boards = cache(lambda: shop_boards(around))
    talk = _Talk(conversation, state, knowledge, given, around, keeper, kept)
    if isinstance(reply, Greeted) and not given.json:
        talk.greet(reply)
    else:
        talk.show(reply)
    with _when_the_window_closes(talk):
        try:
            if around.talks_to_a_person and not given.json and around.environ.get("TERM") != "dumb":
                return _on_terminal(talk)
            return _through_pipe(talk)
        finally:
            keeper.finish(talk.state)
            keep_for(keeper.alias, talk.state.sheet, around)


def _resume(
    conversation: Conversation, given: argparse.Namespace, kept: KeptCase, around: Surroundings
) -> tuple[State, Reply]:
    if given.sheet:
        raise AdvisorError("--resume brings its own sheet; leave --sheet out, or --resume")
    from advisor.dialogue.keeping import taken_up

    if not given.resume.isdigit():
        raise AdvisorError(f"--resume {given.resume}: expected a number, 1 for the case kept last")
    content, others = kept.take(int(given.resume))
    state, reply = taken_up(conversation, content)
    if state.case and not given.json:
        words = conversation.book.said["resumed_case"]
        around.note(words.format(complaint=conversation.knowledge.entry(state.case.entry).title))
    if others:
        around.note(conversation.book.said["others_kept"].format(count=others, last=others + 1))
    return state, reply


@contextmanager
def _when_the_window_closes(talk: _Talk) -> Iterator[None]:
    """Put the case away when the window is closed or the process is told to end."""

    def put_away(number: int, _: object) -> None:
        talk.keep()
        talk.keeper.finish(talk.state)
        os._exit(_KILLED_BY + number)

    names = [name for name in ("SIGHUP", "SIGTERM") if hasattr(signal, name)]
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {name: signal.signal(getattr(signal, name), put_away) for name in names}
    try:
        yield
    finally:
        for name, handler in before.items():
            signal.signal(getattr(signal, name), handler)


class _Talk:
    """A conversation at its present state, and how its replies are shown."""

    def __init__(
        self,
        conversation: Conversation,
        state: State,
        knowledge: Knowledge,
        given: argparse.Namespace,
        around: Surroundings,
        keeper: Keeper,
        kept: KeptCase,
    ) -> None:
        self.keeper = keeper
        self.kept = kept
        self.conversation = conversation
        self.state = state
        self.knowledge = knowledge
        self.units = given.units
        self.json = given.json
        self.around = around
        self.phrases_named = False

    def hear(self, line: str) -> None:
        """Take one line and show the reply; a fault of the advisor's own leaves the case as it was."""
        reply: Reply
        try:
            state, reply = self.conversation.hear(self.state, line)
            if isinstance(reply, Remember):
                reply = _keep_phrase(reply)
            elif isinstance(reply, SheetWanted):
                from advisor.cli.sheet_desk import carry_out

                state, reply = carry_out(reply, self.conversation, state, self.around)
            elif state is self.state.before and isinstance(self.state.shown, Remember):
                _forget_phrase(self.state.shown)
            told = self.in_words(reply)
        except Exception as error:
            if self.around.environ.get("ADVISOR_DEBUG"):
                raise
            state = self.state
            fault = f"The advisor itself is at fault here ({type(error).__name__})."
            reply = Troubled(f"{fault} The case is as it was; say it another way.")
            told = self.in_words(reply)
        self.state = state
        self._write(told, line, reply)
        self.keeper.after(state, reply)
        self.keep()
        self._name_broken_phrases()

    def _name_broken_phrases(self) -> None:
        """Say once which lines of the shop's phrases could not be read; the others count."""
        if self.phrases_named or not _matcher.cache_info().currsize:
            return
        self.phrases_named = True
        for fault in self.conversation.matcher().shop_faults:
            self.around.note(fault)

    def keep(self) -> None:
        """Keep what is open for `--resume`; what is answered is kept no longer."""
        if not self.around.talks_to_a_person:
            return
        if not self.state.open:
            self.kept.forget()
            return
        from advisor.dialogue.keeping import keep

        try:
            self.kept.write(keep(self.state))
        except AdvisorError as error:
            self.around.note(str(error))

    def greet(self, reply: Greeted) -> None:
        """Show the greeting without loading what answers need: it comes before the first line is typed."""
        from advisor.cli.plain import plain_lines
        from advisor.explain.greeting import greeting_text

        for line in (
            *plain_lines(greeting_text(reply.sheet_name, self.conversation.knowledge.trees), self.around.width),
            "",
        ):
            self.around.say(line)

    def show(self, reply: Reply) -> None:
        """Show one reply, at the terminal's present width."""
        self._write(self.in_words(reply), "", reply)

    def in_words(self, reply: Reply) -> Text:
        """Return a reply in words; what that takes is imported with the first reply."""
        from advisor.explain.returning import tell
        from advisor.explain.telling import Telling

        return tell(reply, Telling(self.knowledge, self.units, self.around.width, self.around.ascii_only))

    def say(self, name: str) -> None:
        """Say one of the conversation's own sentences."""
        self.around.say(self.conversation.book.said[name])

    def _write(self, told: Text, said: str, reply: Reply) -> None:
        if self.json:
            from advisor.cli.turns import turn_json

            self.around.say(turn_json(_shown(said), reply, told, self.state))
            return
        from advisor.cli.styled import show

        show(told, self.around)
        self.around.say()


def _on_terminal(talk: _Talk) -> int:
    from advisor.cli.prompting import Prompt

    loading = threading.Thread(target=_get_ready, daemon=True)
    prompt = Prompt(
        talk.around,
        lambda: talk.conversation.options(talk.state),
        loading.start,
        letters=partial(shelf_labels, around=talk.around),
    )
    while not talk.state.done:
        line = prompt.ask(talk.state)
        if line is None:
            break
        before = talk.state
        try:
            talk.hear(line)
        except KeyboardInterrupt:
            if talk.state is before:
                talk.say("dropped")
            else:
                # The line was taken before the key was pressed: what belongs to it is kept.
                talk.keeper.after(talk.state, None)
                talk.keep()
    talk.keep()
    if talk.state.open:
        talk.say("case_kept")
    if not talk.state.done:
        talk.say("goodbye")
    return Exit.DONE


def _get_ready() -> None:
    """Load, while the first line is being typed, what the first answer will need."""
    import importlib

    for name in ("rich.console", "rich.table", "advisor.explain.telling", "advisor.solve.search", "advisor.match"):
        importlib.import_module(name)


def _through_pipe(talk: _Talk) -> int:
    around = talk.around
    for line in around.lines_typed:
        if not line.strip():
            continue
        if not talk.json:
            around.say(f"> {_shown(line)}")
        talk.hear(line)
        if talk.state.done:
            return Exit.DONE
    question = talk.state.question
    if question:
        around.note(f"the input ended with a question open: {question.fact.question} ({question.fact.id})")
        return Exit.BAD_INPUT
    if talk.state.candidates:
        around.note("the input ended with a question open: which complaint is meant")
        return Exit.BAD_INPUT
    if talk.state.case is None and not talk.state.said:
        around.note("the input ended without a complaint; write what the rider says, one line a turn")
        return Exit.BAD_INPUT
    return Exit.DONE


def _shown(line: str) -> str:
    from advisor.plain_text import clean

    return clean(line.strip(), 2000)
