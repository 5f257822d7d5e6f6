"""The line editor: completion of what can be said now, history of this conversation, Ctrl-C and Ctrl-D."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from prompt_toolkit import PromptSession
from prompt_toolkit.completion import CompleteEvent, Completer, Completion
from prompt_toolkit.document import Document
from prompt_toolkit.history import InMemoryHistory
from prompt_toolkit.input import Input
from prompt_toolkit.output import ColorDepth, Output

from advisor.cli.surroundings import Surroundings
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.talk import State


class _Options(Completer):
    """Completes a line to one of the options of the moment."""

    def __init__(self, options: Callable[[], tuple[str, ...]], letters: Callable[[str], tuple[str, ...]]) -> None:
        self.options = options
        self.letters = letters

    def get_completions(self, document: Document, complete_event: CompleteEvent) -> Iterable[Completion]:  # noqa: ARG002
        """Yield the options that begin with, or hold a word that begins with, what is typed."""
        typed = document.text_before_cursor.lower().lstrip()
        for line in self.letters(typed):
            yield Completion(line, start_position=-len(document.text_before_cursor))
        for option in self.options():
            plain = option.lower()
            if plain.startswith(typed) or (typed and f" {typed}" in plain):
                yield Completion(option, start_position=-len(document.text_before_cursor))


class Prompt:
    """Asks for one line at a time.

    Parameters
    ----------
    around
        Streams and settings.
    options
        What can be said now.
    once_shown
        Called once, when the first prompt stands on the screen.
    source, screen
        Other ends than the terminal, for tests.
    letters
        Whole lines that what is typed may become: labels on the shop's shelf.

    """

    def __init__(
        self,
        around: Surroundings,
        options: Callable[[], tuple[str, ...]],
        once_shown: Callable[[], None] | None = None,
        source: Input | None = None,
        screen: Output | None = None,
        letters: Callable[[str], tuple[str, ...]] = lambda _: (),
    ) -> None:
        self.around = around
        ends: dict[str, Any] = {"input": source, "output": screen} if source else {}
        self.session: PromptSession[str] = PromptSession(
            history=InMemoryHistory(),
            completer=_Options(options, letters),
            complete_while_typing=False,
            enable_open_in_editor=False,
            color_depth=None if around.coloured else ColorDepth.DEPTH_1_BIT,
            **ends,
        )
        self.once_shown = once_shown
        self.session.app.after_render += self._shown

    def _shown(self, _: object) -> None:
        waiting, self.once_shown = self.once_shown, None
        if waiting:
            waiting()

    def ask(self, state: State) -> str | None:
        """Return the next line, None when the input ends; Ctrl-C drops the line and keeps the case.

        Lines pasted together stay together and are one turn.
        """
        mark = "answer> " if state.question else "> "
        while True:
            try:
                return self.session.prompt(mark)
            except KeyboardInterrupt:
                self.around.say(f"({load_phrasebook(self.around.trees).said['dropped']})")
            except EOFError:
                return None
