"""What the conversation can say back, as plain values; `explain` puts them into words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.dialogue.answer import Answer
from advisor.dialogue.case import Case
from advisor.dialogue.walk import Question, Walk

if TYPE_CHECKING:
    from advisor.match import Match, Told
    from advisor.solve.whatif import WhatIf

__all__ = [
    "Answered",
    "Asked",
    "Clarify",
    "Greeted",
    "Helped",
    "Lost",
    "Noted",
    "Numbers",
    "Pictured",
    "Reply",
    "Stopped",
    "Trailed",
    "Tried",
    "Troubled",
    "WhyAsked",
    "WhyNot",
]


@dataclass(frozen=True)
class Greeted:
    """The conversation begins."""

    sheet_name: str


@dataclass(frozen=True)
class Asked:
    """A question is put; `opening` is said when a complaint has just been taken up."""

    question: Question
    walk: Walk
    opening: str = ""
    noted: tuple[Told, ...] = ()
    heard: tuple[str, ...] = ()


@dataclass(frozen=True)
class Answered:
    """The answer is given."""

    answer: Answer
    opening: str = ""
    noted: tuple[Told, ...] = ()
    heard: tuple[str, ...] = ()


@dataclass(frozen=True)
class Clarify:
    """Two or three entries are likely; which one is meant?"""

    candidates: tuple[Match, ...]
    means: tuple[str, ...]


@dataclass(frozen=True)
class Lost:
    """What was said is not understood: what is possible here, and after two times a way out."""

    heard: str
    possible: tuple[str, ...]
    times: int
    reason: str = ""


@dataclass(frozen=True)
class Noted:
    """Facts were told before any complaint."""

    noted: tuple[Told, ...]


@dataclass(frozen=True)
class WhyAsked:
    """Why this question."""

    question: Question
    walk: Walk


@dataclass(frozen=True)
class WhyNot:
    """Why not the other causes: the first condition that cleared each."""

    walk: Walk


@dataclass(frozen=True)
class Trailed:
    """How the walk got here."""

    walk: Walk
    case: Case


@dataclass(frozen=True)
class Numbers:
    """Every measure of the set-up; `after` with the advice done."""

    case: Case
    answer: Answer | None = None


@dataclass(frozen=True)
class Tried:
    """What a change would do."""

    what_if: WhatIf
    changes: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Pictured:
    """The picture from above, before and after."""

    case: Case
    answer: Answer | None = None


@dataclass(frozen=True)
class Helped:
    """The words that can be said."""

    commands: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Troubled:
    """Something asked for can't be done: what is wrong, and what to do."""

    words: str


@dataclass(frozen=True)
class Stopped:
    """The conversation ends."""

    words: str


Reply = (
    Greeted
    | Asked
    | Answered
    | Clarify
    | Lost
    | Noted
    | WhyAsked
    | WhyNot
    | Trailed
    | Numbers
    | Tried
    | Pictured
    | Helped
    | Troubled
    | Stopped
)
