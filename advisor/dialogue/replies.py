"""What the conversation can say back, as plain values; `explain` puts them into words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from advisor.dialogue.answer import Answer
from advisor.dialogue.case import Case
from advisor.dialogue.correcting import Remember
from advisor.dialogue.sheet_replies import ReadBack, SheetHelped, SheetShown, SheetWanted
from advisor.dialogue.visit import HowItWent, SaveAs, WentOn
from advisor.dialogue.walk import Question, Walk

if TYPE_CHECKING:
    from advisor.match import Told
    from advisor.sheet.sheet import LeafValue
    from advisor.solve.choice import Choice
    from advisor.solve.tradeoff import TradeOff
    from advisor.solve.whatif import WhatIf

Level = Literal["counter", "bench", "full", "training"]
"""How fully answers are told: two sentences, one screen, all numbers, the mechanics too."""


@dataclass(frozen=True)
class Before:
    """What is said before a question or an answer.

    Parameters
    ----------
    opening
        The entry's own opening, when a complaint has just been taken up.
    heard
        The words that spoke for it.
    noted
        Facts taken in passing.
    left_out
        Facts heard that do not fit, with the reason.
    kept
        Sentences about complaints kept for later.

    """

    opening: str = ""
    heard: tuple[str, ...] = ()
    noted: tuple[Told, ...] = ()
    left_out: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()


NOTHING_BEFORE = Before()


@dataclass(frozen=True)
class Greeted:
    """The conversation begins."""

    sheet_name: str


@dataclass(frozen=True)
class Asked:
    """A question is put; `opening` is said when a complaint has just been taken up."""

    question: Question
    walk: Walk
    before: Before = NOTHING_BEFORE


@dataclass(frozen=True)
class AskedBack:
    """Something asked or said about the talk is answered, and what is open is asked again.

    Parameters
    ----------
    intent
        Its name in `talk_about.yaml`, or what the talk itself asks: `did_you_mean`, `another_complaint`,
        `says_english`.
    words
        A term, a meaning or a sentence that it is about.
    question, walk, case, answer
        What is open, and what has been answered.
    wants
        What the rider wants kept or left alone.
    told
        A value that is asked back.

    """

    intent: str
    words: tuple[str, ...] = ()
    question: Question | None = None
    walk: Walk | None = None
    case: Case | None = None
    answer: Answer | None = None
    wants: tuple[str, ...] = ()
    told: tuple[Told, ...] = ()


@dataclass(frozen=True)
class Answered:
    """The answer is given, as fully as asked for; `waiting` is a complaint kept for later, in the rider's sense."""

    answer: Answer
    before: Before = NOTHING_BEFORE
    level: Level = "bench"
    waiting: str = ""
    together: TradeOff | None = None


@dataclass(frozen=True)
class Cautioned:
    """Everything to mind with an answer."""

    answer: Answer


@dataclass(frozen=True)
class Clarify:
    """Two or three entries are likely; which one is meant?"""

    candidates: tuple[str, ...]
    means: tuple[str, ...]
    before: Before = NOTHING_BEFORE


@dataclass(frozen=True)
class Lost:
    """What was said is not understood: what is possible here, and after two times a way out."""

    heard: str
    possible: tuple[str, ...]
    times: int
    reason: str = ""


@dataclass(frozen=True)
class Noted:
    """Facts were told before any complaint; `asked` is what is wanted to know, where it is not simply the complaint."""

    before: Before
    asked: str = ""


@dataclass(frozen=True)
class WhyAsked:
    """Why this question; the case gives the numbers that its answers lead to."""

    question: Question
    walk: Walk
    case: Case


@dataclass(frozen=True)
class WhyNot:
    """Why not the other causes: the first condition that cleared each."""

    walk: Walk


@dataclass(frozen=True)
class Trailed:
    """How the walk got here; with `answer`, what it rests on."""

    walk: Walk
    case: Case
    answer: Answer | None = None


@dataclass(frozen=True)
class HowSure:
    """How sure the answer is, and what would flip it."""

    answer: Answer


@dataclass(frozen=True)
class Numbers:
    """Every measure of the set-up, or those that `words` name."""

    case: Case
    words: str = ""


@dataclass(frozen=True)
class Tried:
    """What a change would do."""

    what_if: WhatIf
    changes: tuple[tuple[str, LeafValue], ...]


@dataclass(frozen=True)
class Pictured:
    """The picture from above, before and after."""

    case: Case
    answer: Answer | None = None


@dataclass(frozen=True)
class Made:
    """The change has been made on the conversation's sheet."""

    choice: Choice
    waiting: str = ""


@dataclass(frozen=True)
class Helped:
    """The words that can be said."""

    commands: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Left:
    """A question between complaints is left; the rider's words are wanted anew."""

    words: str


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
    | AskedBack
    | Answered
    | Cautioned
    | Clarify
    | Lost
    | Noted
    | WhyAsked
    | WhyNot
    | Trailed
    | Numbers
    | Tried
    | Pictured
    | SaveAs
    | Remember
    | Made
    | Helped
    | HowSure
    | Left
    | HowItWent
    | Troubled
    | Stopped
    | WentOn
    | ReadBack
    | SheetHelped
    | SheetShown
    | SheetWanted
)
