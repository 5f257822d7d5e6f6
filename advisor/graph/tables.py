"""What the other tables of `trees/` must look like: shapes only; their own readers check the names in them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, RootModel, Strict, model_validator

from advisor.graph.schema import Name, Number, StrictModel, Text

__all__ = ["SHAPES"]

_End = Number | Text | None
_Pair = Annotated[list[_End], Field(min_length=2, max_length=2)]
_Flag = Annotated[bool, Strict()]


class _Lenient(BaseModel):
    """Checks the fields that it knows and lets others pass, for the table's own reader to judge."""

    model_config = ConfigDict(extra="allow", allow_inf_nan=False)


class _Practice(_Lenient):
    source: Name
    words: Text
    unit: str = ""
    plus_minus: Number = Field(0, ge=0)
    value: Number | None = None
    __pydantic_extra__: dict[str, Number | Annotated[list[Number], Field(min_length=2, max_length=2)]]


class _WindowOfStyle(_Lenient):
    good: _Pair | Name | None = None
    look_closer: _Pair | None = None
    look_closer_by: Number = Field(0, ge=0)
    guard: _Pair | None = None
    notice: Number | None = Field(None, gt=0)
    why: Text | None = None
    source: Name | None = None


class _Window(_WindowOfStyle):
    good: _Pair | Name
    notice: Number = Field(gt=0)
    why: Text
    source: Name
    by_style: dict[Name, _WindowOfStyle] = {}


class _Work(_Lenient):
    part: Name
    screws: Number = Field(ge=0)
    turns: Number = Field(ge=0)
    minutes: Number = Field(ge=0)
    cautions: list[Name] = []
    source: Name


class _Way(_Lenient):
    when: dict[str, Text | _Flag | list[Text]] = {}
    moves: dict[str, Number] = {}
    unit: str = ""
    step: Number | Text = 0
    bounds: _Pair | Text | None = None
    values: list[Number] = []
    turns_over: str = ""
    set: dict[str, Text | _Flag | Number] = {}
    from_: Number | None = Field(None, alias="from")
    shows: str = ""
    for_: list[Text] = Field([], alias="for")
    do: dict[Literal["plus", "minus", "zero"], Text] = {}
    loses: str = ""


class _Adjustment(_Lenient):
    words: Text
    feet: Literal["each", "front", "back", "both", "none"]
    work: Name
    minutes: Number = Field(ge=0)
    ways: list[_Way] = []
    do: dict[Literal["plus", "minus", "zero"], Text] = {}
    needs: list[Name] = []
    caution: str = ""
    source: Name


class _Fix(_Lenient):
    path: Text
    toward: Literal["more", "less"]
    within: Number = Field(gt=0)
    unit: str = ""
    words: Text


class _Adjustments(_Lenient):
    work: dict[Name, _Work]
    adjustments: dict[Name, _Adjustment]
    would_fix: list[_Fix] = []


class _ReadingErrors(_Lenient):
    source: Name
    words: Text
    fields: dict[str, Annotated[Number, Field(ge=0)]]


class _Believable(_Lenient):
    least: Number = 0
    most: Number
    source: Name
    words: Text


class _RowPitch(_Lenient):
    source: Name
    words: Text
    patterns: dict[str, Number]


class _Rule(_Lenient):
    gives: Text
    takes: str = ""
    times: Number = 0
    plus: Number = 0
    plus_minus: Number = Field(0, ge=0)
    plus_minus_of: str = ""
    source: Name
    words: Text


class _Estimates(_Lenient):
    reading_error: _ReadingErrors
    believable: dict[str, _Believable]
    row_pitch_mm: _RowPitch
    rules: list[_Rule]


class _Convention(_Lenient):
    per_mm: Number = Field(gt=0)
    plus: Number
    source: Name


class _SizeSystem(_Lenient):
    label: Text
    names: list[Text] = Field(min_length=1)
    words: Text
    step: Number = Field(ge=0)
    decimals: Annotated[int, Strict()] = 0
    conventions: list[_Convention] = Field(min_length=1)


class _FootLengths(_Lenient):
    least: Number
    most: Number
    source: Name


class _BootSizes(_Lenient):
    foot_length_mm: _FootLengths
    systems: dict[Name, _SizeSystem]


class _Command(_Lenient):
    words: list[Text] = Field(min_length=1)
    help: Text


class _Often(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)
    from_: Number = Field(alias="from", ge=0, le=1)
    words: Text


class _Talk(_Lenient):
    commands: dict[Name, _Command]
    unsure: list[Text]
    yes: list[Text]
    no: list[Text]
    greeting: Text
    lost_once: Text
    lost_twice: Text
    not_ours: Text
    not_written: Text
    goodbye: Text
    which: Text
    always_told: dict[Name, Name] = {}
    small_words: list[Text] = []
    courtesies: list[Text] = []
    settings: dict[Name, dict[Text, Text]] = {}
    often: list[_Often] = Field(min_length=1)


class _Sign(BaseModel):
    """One sign of harm, as the listener reads it; every key is known."""

    model_config = ConfigDict(extra="forbid", strict=True)

    level: Literal["emergency", "clinician", "not_ridden", "ask"]
    hear: list[Annotated[list[Name], Field(min_length=1)]] = Field(min_length=1)
    unless: list[Name] = []
    bound: bool = False
    reach: int = Field(1, ge=0, le=5)
    tells: Name | None = None
    entry: Name | None = None
    facts: dict[Name, Text] = {}
    denies: dict[Name, Text] = {}
    words: Text
    source: Name


class _SignsFile(RootModel[dict[Name, _Sign]]):
    pass


class _JudgedSign(_Sign):
    """A sign that a line is judged to tell; it may go with whatever is named."""

    hear: list[Annotated[list[Name], Field(min_length=1)]] = Field(max_length=1)


class _JudgedFile(RootModel[dict[Name, _JudgedSign]]):
    pass


_Words = Annotated[str, Field(min_length=1, max_length=20_000)]


class _SignWords(BaseModel):
    model_config = ConfigDict(extra="forbid")

    concepts: dict[Name, dict[Name, _Words]]
    breaks: _Words
    denials: _Words
    no_denial: _Words
    lone_no: _Words
    after_lone_no: _Words
    stops_denial: _Words
    denied_after: _Words
    joins: _Words
    slips: _Words
    unclear: _Words


class _Limit(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)
    usual: Number = Field(0, gt=0)
    usual_steps: Number = Field(0, gt=0)
    most: Number = Field(0, gt=0)
    most_steps: Number = Field(0, gt=0)
    goal: Number = Field(0, gt=0)
    goal_steps: Number = Field(0, gt=0)
    least: Number = Field(0, gt=0)
    least_steps: Number = Field(0, gt=0)
    across_zero: Literal["yes", "no"] = "yes"


class _Limits(_Lenient):
    at_a_time: dict[str, _Limit]
    only_shown: list[Name]
    centre_left_mm: Number = Field(ge=0)
    worth_share: Number = Field(ge=0, le=1)
    source: Name


class _Doses(_Lenient):
    all_feel: dict[Name, dict[str, Number | Text]]
    felt: dict[str, list[Number] | Number | Text]
    wanted: dict[str, Number | Text]
    costs: dict[str, Number | Text]
    evidence: list[dict[str, list[Text] | Number | Text]]
    causes: dict[str, Number | Text]
    doubt_below: dict[str, Number | Text]


class _PracticeFile(RootModel[dict[Name, _Practice]]):
    pass


class _WindowsFile(RootModel[dict[Text, _Window]]):
    pass


class _Field(StrictModel):
    kind: Literal["number", "integer", "yes_no", "choice", "size", "steps", "text"]
    words: Text
    unit: str = ""
    low: Number | None = None
    high: Number | None = None
    choices: list[Text] = Field(default=[])
    below: str = ""
    above: str = ""
    like: str = ""

    @model_validator(mode="after")
    def _limits_or_choices(self) -> _Field:
        number = self.kind in {"number", "integer"}
        if number and (self.low is None or self.high is None or not self.low < self.high):
            raise ValueError("a number has low and high, low first")
        if not number and (self.low is not None or self.high is not None):
            raise ValueError("only a number has low and high")
        if (self.kind == "choice") != bool(self.choices):
            raise ValueError("a choice has choices, and nothing else has")
        return self


class _FieldsFile(RootModel[dict[Text, _Field]]):
    pass


SHAPES: dict[str, type[BaseModel]] = {
    "practice": _PracticeFile,
    "windows": _WindowsFile,
    "adjustments": _Adjustments,
    "estimates": _Estimates,
    "boot_sizes": _BootSizes,
    "talk": _Talk,
    "fields": _FieldsFile,
    "signs/words": _SignWords,
    "signs/body": _SignsFile,
    "signs/gear": _SignsFile,
    "signs/judged": _JudgedFile,
    "limits": _Limits,
    "doses": _Doses,
}
"""Every table by the name of its file."""
