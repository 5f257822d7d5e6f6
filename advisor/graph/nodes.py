"""The nodes of the decision graph, as the dialogue walks them.

An entry (a complaint or a question) has suspects, each a place where a line of looking begins. From there checks,
questions and looks lead on until the suspect is cleared, or a cause is found and an aim or a referral ends the walk.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, get_args

from advisor.sheet.setup import FootSide

CLEARED = "cleared"
SUSPECTS = "suspects"
"""Where what an entry puts `first` leads on to whichever suspect is looked at."""
FIRST = "@"
"""In the names of the nodes that an entry puts first, before the suspect that they lead on to."""
NOT_ENOUGH_KNOWN = "not_enough_known"
"""The referral where too few numbers are known to look at anything."""
TRAVEL_NOT_KNOWN = "travel_not_known"
"""The referral where no adjustment does it as far as travels are known, and some are not."""
_SIDES: tuple[FootSide, FootSide] = ("front", "back")

Edge = Literal["good", "close"]
CheckFoot = Literal["each", "front", "back", "found", "board"]


class Branch(NamedTuple):
    """One branch of a check as it is written: states of the measure's window, numbers, or both; both must hold."""

    states: tuple[str, ...]
    low: float
    high: float
    go: str


class Span(NamedTuple):
    """One range of a check's branch: from `low` (included) up to `high` (excluded). `branch` is the branch's place."""

    low: float
    high: float
    go: str
    branch: int = 0


class Choice(NamedTuple):
    """One branch of a question: the answers that take it."""

    answers: tuple[str, ...]
    go: str


class Check(NamedTuple):
    """A measure against intervals, listed from the worst to the best.

    `foot`: `each` looks at both feet and follows the worse; `found` looks at the feet found so far; `board` is for
    measures that are not taken at a foot. `settle_with` names facts that decide a doubtful check best. `unknown` is
    where to go without asking where the sheet lacks a number for it, or has it too roughly; where it is empty the
    number is asked for. `branches` may name states of the measure's window (of the riding style `style`, where that
    is not the rider's); `spans` are their ranges for a rider of no style of their own.
    """

    id: str
    measure: str
    foot: CheckFoot
    spans: tuple[Span, ...]
    says: str
    how_so: str
    source: str
    settle_with: tuple[str, ...] = ()
    unknown: str = ""
    branches: tuple[Branch, ...] = ()
    style: str = ""

    @property
    def by_window(self) -> bool:
        """Whether its ranges hang on a window."""
        return any(branch.states for branch in self.branches)


@dataclass(frozen=True, slots=True)
class Ask:
    """A question to the rider, or a look at the bench (`look`), about one fact.

    `feet` are answers that name the foot that all after it is about. `ways` is where each answer goes.
    """

    id: str
    fact: str
    look: bool
    choices: tuple[Choice, ...]
    unsure: str
    says: str
    how_so: str
    feet: Mapping[str, FootSide] = field(default_factory=dict)
    ways: Mapping[str, str] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Look up each answer's way once."""
        ways = {answer: choice.go for choice in reversed(self.choices) for answer in choice.answers}
        object.__setattr__(self, "ways", ways)


class Cause(NamedTuple):
    """A cause is found; `go` leads to what is done about it."""

    id: str
    cause: str
    go: str


class AimTarget(NamedTuple):
    """One measure, or one field (`foot.lean_deg`), that must come right: into its good window, or into given bounds.

    A bound is a number, or that end of the `good` or the `close` window (of the riding style `style`, where that is not
    the rider's).
    """

    measure: str
    foot: CheckFoot
    low: float | Edge | None
    high: float | Edge | None
    style: str = ""


class Aim(NamedTuple):
    """Hands measures to the solver; `otherwise` is where to go when no adjustment within travel does it.

    `allowed` are the only adjustments that may be used; all where it is empty.
    """

    id: str
    targets: tuple[AimTarget, ...]
    otherwise: str
    says: str
    feel: str = ""
    allowed: tuple[str, ...] = ()


class Do(NamedTuple):
    """One adjustment by so many steps, for want of a measure that could tell how far; `otherwise` where it can't go on.

    `steps` is negative for less; an adjustment without numbers is told in its own words.
    """

    id: str
    adjustment: str
    foot: CheckFoot
    steps: int
    otherwise: str
    says: str
    feel: str = ""


class Mount(NamedTuple):
    """The whole first set-up in bench order; `otherwise` is where to go when no setting makes this board do.

    `leads` is the foot in front where the sheet does not say; `stance` the kind of stance that the angles go to.
    """

    id: str
    otherwise: str
    says: str
    feel: str = ""
    leads: str | None = None
    stance: str | None = None


class Tell(NamedTuple):
    """An answer in words and numbers that changes nothing on the board."""

    id: str
    says: str
    feel: str


class Refer(NamedTuple):
    """No adjustment fixes this: who or what does."""

    id: str
    referral: str


class Jump(NamedTuple):
    """Goes on in a shared part, at its first node."""

    id: str
    go: str


Node = Check | Ask | Cause | Aim | Do | Mount | Tell | Refer | Jump
End = Aim | Do | Mount | Tell | Refer


class Suspect(NamedTuple):
    """Where one line of looking begins, and how often it is the reason (before anything is known).

    `better` of `tried` cases of the shop's own log came back better; 0 of 0 where it is not asked.
    """

    start: str
    odds: float
    words: str
    better: int = 0
    tried: int = 0

    @property
    def name(self) -> str:
        """The suspect's name in the log: the same whether or not something is asked first."""
        return suspect_name(self.start)


def suspect_name(start: str) -> str:
    """Return the name of the suspect that begins at a node; records of the first edition held the node itself.

    Examples
    --------
    >>> suspect_name("signs@angle"), suspect_name("angle")
    ('angle', 'angle')

    """
    return start.rpartition(FIRST)[2]


class Entry(NamedTuple):
    """A complaint or a question, with its own little graph."""

    id: str
    kind: Literal["symptom", "question"]
    title: str
    means: str
    opening: str
    cautions: tuple[str, ...]
    suspects: tuple[Suspect, ...]
    nothing_left: str
    nodes: dict[str, Node]


class CauseText(NamedTuple):
    """What a tech says of a cause."""

    id: str
    title: str
    because: str
    how_so: str
    feel: str
    cautions: tuple[str, ...]
    source: str


class Fact(NamedTuple):
    """Something that can be asked, seen or measured.

    For a field of the sheet `id` is its path. `also` has other words for each option. `taken_as` has the option that
    holds without asking for a kind of binding: a step-in has no strap that could be slack.
    """

    id: str
    kind: Literal["choice", "number"]
    question: str
    how: str
    minutes: float
    unit: str
    plus_minus: float
    options: dict[str, str]
    also: dict[str, tuple[str, ...]]
    taken_as: dict[str, str] = {}  # noqa: RUF012


Verdict = Literal[
    "adjust", "partial", "leave", "look_first", "measure_first", "handle", "tuning", "fitter", "coach",
    "other_board", "other_part", "not_ridden", "clinician", "emergency",
]  # fmt: skip
"""What kind of answer an answer is, for programs that read it; the outside face promises these words."""

VERDICTS: tuple[Verdict, ...] = get_args(Verdict)


class Referral(NamedTuple):
    """Who or what helps where no adjustment does; `verdict` is the kind of answer that is.

    `claims` are the measures that its words say are right; `head` the line over it, where that is not who it goes to.
    """

    id: str
    to: str
    says: str
    cautions: tuple[str, ...]
    verdict: Verdict
    claims: tuple[str, ...] = ()
    head: str = ""


def feet_named(foot: CheckFoot, found: tuple[FootSide, ...]) -> tuple[FootSide | None, ...]:
    """Return the feet that a node speaks of; (None,) where it speaks of the board."""
    if foot == "board":
        return (None,)
    if foot == "found":
        return found or _SIDES
    return _SIDES if foot == "each" else (foot,)
