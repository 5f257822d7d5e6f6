"""The last visit of a returning customer, as the conversation needs it, and what is said about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Literal

from advisor.dialogue.case import Case
from advisor.dialogue.done_differently import Sayings
from advisor.graph.nodes import Fact
from advisor.knowledge.tables import entry_fault
from advisor.knowledge.trees import Trees, of_trees
from advisor.sheet.sheet import Sheet

if TYPE_CHECKING:
    from advisor.solve.aims import Aim

Did = Literal["", "as_advised", "other", "nothing"]
How = Literal["", "better", "same", "worse", "better_new"]
_FILE = "returns.yaml"


@dataclass(frozen=True)
class LastVisit:
    """What was advised last time.

    Parameters
    ----------
    number, date
        The case's number and day.
    case
        The complaint as it was then, with the sheet before the change.
    title
        The complaint in a few words.
    suspect
        The line of looking that led to the advice.
    changes
        What was advised, in words; empty where nothing was.
    advised
        The sheet with the advice done.
    aims
        What the change had to bring right.
    spoiled
        Whether it took anything else out of its window.
    did, how
        What the log has of it already.
    now
        The sheet as it is, where the tech brings one.

    """

    number: str
    date: str
    case: Case
    title: str
    suspect: str = ""
    changes: tuple[str, ...] = ()
    advised: Sheet | None = None
    aims: tuple[Aim, ...] = ()
    spoiled: bool = False
    did: Did = ""
    how: How = ""
    now: Sheet | None = None

    @property
    def worth_keeping(self) -> bool:
        """Whether a change that did not help is right by the numbers all the same, and spoils nothing."""
        return bool(self.aims) and not self.spoiled

    @property
    def board_as_advised(self) -> Sheet:
        """The board with the advice done.

        Of a sheet that the tech brings along, what differs from the old one is believed; what does not was written
        before the change was made.
        """
        now, before = self.now or self.case.sheet, self.case.sheet
        changed = self.advised.leaves.items() if self.advised else ()
        made = {
            path: leaf
            for path, leaf in changed
            if leaf != before.leaves.get(path) and now.value(path) == before.value(path)
        }
        return replace(now, leaves={**now.leaves, **made})


@dataclass(frozen=True)
class HowItWent:
    """A question about the last visit; the first one comes with what was advised."""

    visit: LastVisit
    question: str
    options: tuple[str, ...] = ()
    first: bool = False
    trouble: str = ""


@dataclass(frozen=True)
class WentOn:
    """What the answer about the last visit leads to, where nothing is asked or advised yet."""

    words: str


@dataclass(frozen=True)
class SaveAs:
    """The conversation is to be kept under a customer's alias."""

    alias: str


@dataclass(frozen=True)
class Asking:
    """The questions about the last visit, as facts, by stage; `unsure` is said where it can't be told."""

    facts: Mapping[str, Fact]
    unsure: str = ""
    said: Mapping[str, str] = field(default_factory=dict)
    differently: Sayings = field(default_factory=Sayings)


def load_said(trees: Trees | None = None) -> Mapping[str, str]:
    """Return the sentences of `trees/returns.yaml`."""
    return load_asks(trees).said


@of_trees
def load_asks(trees: Trees) -> Asking:
    """Return the questions of `trees/returns.yaml`.

    Raises
    ------
    KnowledgeError
        When one is missing.

    """
    table = trees.table(_FILE)
    asks: dict[str, Any] = table.get("asks") or {}
    facts = {}
    for stage in ("did", "what", "how"):
        raw = asks.get(stage)
        if not isinstance(raw, dict) or not isinstance(raw.get("question"), str):
            raise entry_fault(_FILE, f"asks.{stage}", "expected a question as text, and options where there are any")
        options = {str(key): str(words) for key, words in (raw.get("options") or {}).items()}
        also = {str(key): tuple(map(str, words)) for key, words in (raw.get("also") or {}).items()}
        facts[stage] = Fact(stage, "choice", raw["question"], "", 0.0, "", 0.0, options, also)
    said = {str(key): str(words) for key, words in (table.get("said") or {}).items()}
    told: dict[str, Any] = table.get("differently") or {}
    words = {name: tuple(map(str, told.get(name) or ())) for name in ("only", "instead_of", "to", "front", "back")}
    feet = {"front": words["front"], "back": words["back"]}
    differently = Sayings(words["only"], words["instead_of"], words["to"], feet)
    return Asking(facts, str(asks["how"].get("unsure", "")), said, differently)
