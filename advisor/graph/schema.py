"""What the knowledge files must look like: pydantic models, used when the knowledge is compiled and proven.

The dialogue never imports this; it reads the compiled form.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag, model_validator

__all__ = ["CauseFile", "CautionTable", "EntryFile", "FactModel", "PartFile", "ReferralModel", "SourceModel"]

Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Text = Annotated[str, Field(min_length=1, max_length=2000)]
Target = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_.]*$", max_length=60)]
NODE_KINDS = ("check", "ask", "look", "cause", "aim", "do", "tell", "refer", "jump")


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, populate_by_name=True)


class SpanModel(_Strict):
    """A branch over numbers: `from` is included, `below` is not; a missing end is open."""

    from_: float | None = Field(None, alias="from")
    below: float | None = None
    go: Name

    @model_validator(mode="after")
    def _not_empty(self) -> SpanModel:
        if self.from_ is not None and self.below is not None and self.from_ >= self.below:
            raise ValueError(f"the branch is empty: from {self.from_} is not below {self.below}")
        return self


class ChoiceModel(_Strict):
    """A branch over answers."""

    is_: list[str] = Field(alias="is", min_length=1)
    go: Name


class CheckModel(_Strict):
    """A measure against intervals."""

    check: Name
    foot: Literal["each", "front", "back", "found", "board"]
    says: Text
    how_so: Text
    source: Name
    settle_with: list[str] = []
    branches: list[SpanModel] = Field(min_length=2)


class _Question(_Strict):
    says: Text
    how_so: Text
    branches: list[ChoiceModel] | list[SpanModel] = Field(min_length=1)
    unsure: Name


class AskModel(_Question):
    """A question to the rider."""

    ask: str


class LookModel(_Question):
    """A look at the bench."""

    look: str


class CauseModel(_Strict):
    """A cause is found."""

    cause: Name
    go: Name


class TargetModel(_Strict):
    """A measure, or a field such as `foot.lean_deg`, that must come right; without bounds its good window holds."""

    measure: Target
    foot: Literal["each", "front", "back", "found", "board"]
    from_: float | None = Field(None, alias="from")
    below: float | None = None


class AimModel(_Strict):
    """Hands measures to the solver."""

    aim: list[TargetModel] = Field(min_length=1)
    otherwise: Name
    says: str = Field("", max_length=2000)


class DoModel(_Strict):
    """One adjustment by so many steps; minus is less."""

    do: Name
    foot: Literal["each", "front", "back", "found", "board"]
    steps: int = Field(ge=-5, le=5)
    otherwise: Name
    says: str = Field("", max_length=2000)


class TellModel(_Strict):
    """An answer that changes nothing on the board."""

    tell: Text
    feel: str = Field("", max_length=2000)


class ReferModel(_Strict):
    """No adjustment fixes it."""

    refer: Name


class JumpModel(_Strict):
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
    | Annotated[TellModel, Tag("tell")]
    | Annotated[ReferModel, Tag("refer")]
    | Annotated[JumpModel, Tag("jump")],
    Discriminator(
        _kind,
        custom_error_type="node_kind",
        custom_error_message=f"a node has exactly one of {', '.join(NODE_KINDS)}",
    ),
]


class SuspectModel(_Strict):
    """Where a line of looking begins."""

    start: Name
    odds: float = Field(gt=0, le=1)
    words: Text


class EntryFile(_Strict):
    """One file of `trees/entries/`."""

    entry: Name
    kind: Literal["symptom", "question"]
    title: Text
    means: Text
    opening: Text
    cautions: list[Name] = []
    suspects: list[SuspectModel] = Field(min_length=1)
    nothing_left: Name
    nodes: dict[Name, NodeModel] = Field(min_length=1)


class PartFile(_Strict):
    """One file of `trees/parts/`: nodes that several entries jump to."""

    part: Name
    start: Name
    nodes: dict[Name, NodeModel] = Field(min_length=1)


class CauseFile(_Strict):
    """One file of `trees/causes/`."""

    cause: Name
    title: Text
    because: Text
    how_so: Text
    feel: Text
    cautions: list[Name] = []
    source: Name


class FactModel(_Strict):
    """One entry of `trees/facts.yaml`."""

    kind: Literal["choice", "number"]
    question: Text
    how: Text
    minutes: float = Field(ge=0, le=60)
    unit: str = ""
    plus_minus: float = Field(0, ge=0)
    options: dict[str, str] = {}
    also: dict[str, list[str]] = {}

    @model_validator(mode="after")
    def _of_its_kind(self) -> FactModel:
        if self.kind == "choice" and len(self.options) < 2:
            raise ValueError("a choice needs at least two options")
        if self.kind == "number" and not self.unit:
            raise ValueError("a number needs its unit")
        return self


class ReferralModel(_Strict):
    """One entry of `trees/referrals.yaml`."""

    to: Text
    says: Text
    cautions: list[Name] = []


class SourceModel(_Strict):
    """One entry of `trees/sources.yaml`."""

    kind: Literal["published", "computed", "derived", "practice"]
    words: Text


CautionTable = dict[Name, Text]
