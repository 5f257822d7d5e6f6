"""A complaint that was misunderstood: what was meant instead, and what the shop may keep of it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.dialogue.talk import State
    from advisor.match import Matcher

_SHOWN = 60


@dataclass(frozen=True)
class Remember:
    """A person has confirmed what some words mean in this shop; `means` is the entry's plain meaning."""

    wording: str
    entry: str
    means: str


def shortened(wording: str) -> str:
    """Return words short enough to be said back.

    >>> shortened("my heel edge slides")
    'my heel edge slides'
    """
    return wording if len(wording) <= _SHOWN else wording[: _SHOWN - 3].rstrip() + "..."


def with_lesson(state: State, entry: str) -> State:
    """Return the state with what a person has just said that the last free words mean."""
    return replace(state, lesson=(state.wording, entry) if state.wording else None)


def without_complaint(state: State) -> State:
    """Return the state without the complaint that was taken up wrongly; what was told besides stays."""
    wrong = state.case.entry if state.case else ""
    solved = tuple(one for one in state.solved if one.case.entry != wrong)
    return replace(
        state, case=None, walk=None, answer=None, candidates=(), solved=solved, misses=0, correcting=True, lesson=None
    )  # fmt: skip


def likely_meant(
    matcher: Matcher, words: str, wrong: Collection[str], written: Collection[str], most: int
) -> tuple[str, ...]:
    """Return the entries that words may mean: one where the matcher is sure, else the likeliest; none for no words.

    Parameters
    ----------
    matcher
        Ranks the entries.
    words
        What was said.
    wrong
        Entries that are not meant.
    written
        The entries there are.
    most
        How many to offer.

    """
    if not words:
        return ()
    matching = matcher.match(words)
    found = tuple(one.id for one in matching.matches if one.id in written and one.id not in wrong)
    return found[:1] if matching.sure and not wrong else found[:most]
