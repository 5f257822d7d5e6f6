"""What entries, parts, causes and their tables must look like: pydantic models, used when the knowledge is compiled.

The dialogue never imports this; it reads the compiled form.
"""

from __future__ import annotations

import unicodedata
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Discriminator, Field, Strict, Tag, model_validator

from advisor.graph.nodes import Edge, Verdict


def _printable(text: str) -> str:
    """Refuse what could move the cursor or turn the reading direction of a terminal."""
    strange = next((c for c in text if c != "\n" and unicodedata.category(c) in {"Cc", "Cf", "Co", "Cs", "Cn"}), None)
    if strange is not None:
        raise ValueError(f"holds the control character U+{ord(strange):04X}; take it out")
    return text


def _said(text: str) -> str:
    if not text.strip():
        raise ValueError("says nothing; write the words")
    return _printable(text)


Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Text = Annotated[str, Field(max_length=2000), AfterValidator(_said)]
Spare = Annotated[str, Field(max_length=2000), AfterValidator(_printable)]
Target = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_.]*$", max_length=60)]
FactName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*(\.([a-z][a-z0-9_]*|\{foot\}))*$", max_length=80)]
Option = Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9_]*$", max_length=40)]
Number = Annotated[float, Strict()]
StateWord = Literal[
    "out", "out below", "out above", "close", "close below", "close above", "good", "below", "above"
]  # fmt: skip
Foot = Literal["each", "front", "back", "found", "board"]
NODE_KINDS = ("check", "ask", "look", "cause", "aim", "do", "mount", "tell", "refer", "jump")


class StrictModel(BaseModel):
    """Knows its fields and no others; a number is never read out of a text."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, populate_by_name=True)


class SpanModel(StrictModel):
    """A branch of a check: states of the measure's window, numbers (`from` is included, `below` is not), or both.

    `why` says why a number that is also an end of the window is meant for itself.
    """

    is_: StateWord | Annotated[list[StateWord], Field(min_length=1)] | None = Field(None, alias="is")
    why: Spare = ""
    from_: Number | None = Field(None, alias="from")
    below: Number | None = None
    go: Name

    @model_validator(mode="after")
    def _not_empty(self) -> SpanModel:
        if self.from_ is not None and self.below is not None and self.from_ >= self.below:
            raise ValueError(f"the branch is empty: from {self.from_} is not below {self.below}")
        return self


class ChoiceModel(StrictModel):
    """A branch over answers."""

    is_: list[Text] = Field(alias="is", min_length=1)
    go: Name


class CheckModel(StrictModel):
    """A measure, or a field such as `foot.lean_deg`, against intervals."""

    check: Target
    foot: Foot
    says: Text
    how_so: Text
    source: Name
    settle_with: list[FactName] = []
    unknown: Name | None = None
    style: Name | None = None
    branches: list[SpanModel] = Field(min_length=2)


class _Question(StrictModel):
    says: Text
    how_so: Text
    branches: list[ChoiceModel] = Field(min_length=1)
    unsure: Name
    foot: dict[Literal["front", "back"], list[Text]] = {}


class AskModel(_Question):
    """A question to the rider."""

    ask: FactName


class LookModel(_Question):
    """A look at the bench."""

    look: FactName


class CauseModel(StrictModel):
    """A cause is found."""

    cause: Name
    go: Name


class TargetModel(StrictModel):
    """A measure, or a field such as `foot.lean_deg`, that must come right; without bounds its good window holds."""

    measure: Target
    foot: Foot
    from_: Number | Edge | None = Field(None, alias="from")
    below: Number | Edge | None = None
    style: Name | None = None
    why: Spare = ""


class AimModel(StrictModel):
    """Hands measures to the solver."""

    aim: list[TargetModel] = Field(min_length=1)
    with_: list[Name] = Field([], alias="with")
    otherwise: Name
    says: Spare = ""
    feel: Spare = ""


class DoModel(StrictModel):
    """One adjustment by so many steps; minus is less."""

    do: Name
    foot: Foot
    steps: Annotated[int, Strict()] = Field(ge=-5, le=5)
    otherwise: Name
    says: Spare = ""
    feel: Spare = ""


class MountModel(StrictModel):
    """The whole first set-up, in bench order."""

    mount: Literal["all"]
    leads: Literal["left", "right"] | None = None
    stance: Name | None = None
    otherwise: Name
    says: Spare = ""
    feel: Spare = ""


class TellModel(StrictModel):
    """An answer that changes nothing on the board."""

    tell: Text
    feel: Spare = ""


class ReferModel(StrictModel):
    """No adjustment fixes it."""

    refer: Name


class JumpModel(StrictModel):
    """Goes on in a shared part."""

    jump: Name


def _kind(raw: Any) -> str | None:
    keys = raw if isinstance(raw, dict) else type(raw).model_fields if isinstance(raw, BaseModel) else {}
    found = [kind for kind in NODE_KINDS if kind in keys]
    return found[0] if len(found) == 1 else None


NodeModel = Annotated[
    Annotated[CheckModel, Tag("check")]
    | Annotated[AskModel, Tag("ask")]
    | Annotated[LookModel, Tag("look")]
    | Annotated[CauseModel, Tag("cause")]
    | Annotated[AimModel, Tag("aim")]
    | Annotated[DoModel, Tag("do")]
    | Annotated[MountModel, Tag("mount")]
    | Annotated[TellModel, Tag("tell")]
    | Annotated[ReferModel, Tag("refer")]
    | Annotated[JumpModel, Tag("jump")],
    Discriminator(
        _kind,
        custom_error_type="node_kind",
        custom_error_message=f"a node has exactly one of {', '.join(NODE_KINDS)}",
    ),
]


class SuspectModel(StrictModel):
    """Where a line of looking begins."""

    start: Name
    odds: Number = Field(gt=0, le=1)
    words: Text


class EntryFile(StrictModel):
    """One file of `trees/entries/`."""

    entry: Name
    kind: Literal["symptom", "question"]
    title: Text
    means: Text
    opening: Text
    cautions: list[Name] = []
    first: Name | None = None
    suspects: list[SuspectModel] = Field(min_length=1)
    nothing_left: Name
    nodes: dict[Name, NodeModel] = Field(min_length=1)


class PartFile(StrictModel):
    """One file of `trees/parts/`: nodes that several entries jump to."""

    part: Name
    start: Name
    nodes: dict[Name, NodeModel] = Field(min_length=1)


class CauseFile(StrictModel):
    """One file of `trees/causes/`."""

    cause: Name
    title: Text
    because: Text
    how_so: Text
    feel: Text
    cautions: list[Name] = []
    source: Name


class FactModel(StrictModel):
    """One entry of `trees/facts.yaml`."""

    kind: Literal["choice", "number"]
    question: Text
    how: Text
    minutes: Number = Field(ge=0, le=60)
    unit: Spare = ""
    plus_minus: Number = Field(0, ge=0)
    options: dict[Option, Text] = {}
    also: dict[Option, list[Text]] = {}
    taken_as: dict[Name, Option] = {}

    @model_validator(mode="after")
    def _of_its_kind(self) -> FactModel:
        strange_option = sorted(set(self.taken_as.values()) - set(self.options))
        if strange_option:
            raise ValueError(f"'taken_as' names {', '.join(strange_option)}, which is no option")
        if self.kind == "choice" and len(self.options) < 2:
            raise ValueError("a choice needs at least two options")
        if self.kind == "number" and not self.unit:
            raise ValueError("a number needs its unit")
        if self.kind == "number" and self.options:
            raise ValueError("a number has no options; say kind: choice, or take them out")
        strange = sorted(set(self.also) - set(self.options))
        if strange:
            raise ValueError(f"'also' has words for {', '.join(strange)}, which is no option")
        return self


class ReferralModel(StrictModel):
    """One entry of `trees/referrals.yaml`."""

    to: Text
    says: Text
    verdict: Verdict
    cautions: list[Name] = []
    claims: list[Name] = []
    head: Spare = ""


class SourceModel(StrictModel):
    """One entry of `trees/sources.yaml`."""

    kind: Literal["published", "computed", "derived", "practice"]
    words: Text


class CatalogueModel(StrictModel):
    """One entry of `trees/catalogue.yaml`: what the advisor promises to know.

    `by: signs` marks what only the listener of signs takes up: it has no phrases.
    """

    kind: Literal["symptom", "question"]
    means: Text
    by: Literal["words", "signs"] = "words"


class NeverSaidModel(StrictModel):
    """What no text may say: one word of each list in one sentence."""

    why: Text
    together: list[Annotated[list[Text], Field(min_length=1)]] = Field(min_length=1)
    unless: list[Text] = []
    instead: Text
    source: Name


class DangerModel(StrictModel):
    """One entry of `trees/dangers.yaml`: what tells that work or riding can hurt, and the cautions that answer it."""

    why: Text
    words: list[Text] = []
    but_not: list[Text] = []
    measures: list[Name] = []
    adjustments: list[Name] = []
    cautions: list[Name] = Field(min_length=1)
    asks_first: bool = False
    source: Name

    @model_validator(mode="after")
    def _has_a_sign(self) -> DangerModel:
        if not (self.words or self.measures or self.adjustments):
            raise ValueError("a danger needs words, measures or adjustments to know it by")
        return self
