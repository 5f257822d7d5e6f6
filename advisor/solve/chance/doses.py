"""How far out a measure must be until a rider feels it, and what a change may cost (`trees/doses.yaml`)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from advisor.geometry.register import MEASURES
from advisor.knowledge.tables import entry_fault, number_of
from advisor.knowledge.trees import Trees, of_trees

_FILE = "doses.yaml"
_TENTHS = 10


@dataclass(frozen=True, slots=True)
class Evidence:
    """An answer that tells whether a measure is below a value: how often it comes where it is so, and where not."""

    fact: str
    answers: frozenset[str]
    measure: str
    below: float
    so: float
    not_so: float


@dataclass(frozen=True, slots=True)
class Costs:
    """What a change costs in minutes at the bench, and what a minute is worth in chance."""

    strain_min: float
    spoiled_min: float
    minute_worth: float

    def of(self, minutes: float, strain: float, spoiled: int) -> float:
        """Return the whole cost [min]."""
        return minutes + self.strain_min * strain + self.spoiled_min * spoiled


@dataclass(frozen=True, slots=True)
class Doses:
    """The table.

    Parameters
    ----------
    beyond
        By measure: how far beyond the near end nearly all riders feel it, in its unit.
    felt
        Share of riders who feel it by each tenth of that way, before the shop's outcomes.
    felt_cases, felt_doubt
        How many riders that share counts for, and to what power it may be wrong.
    wanted, hardly
        The chance wanted of a change, and below which it is not worth a visit.
    costs
        What a change costs.
    evidence
        Answers that tell how far out a measure is.
    out_anyway
        How often a measure lies out on the board of a rider who complains of something else.
    answer_right
        How often an answer is right.
    doubt_below
        Share of what the sheet allows below which the complaint hardly agrees with it.

    """

    beyond: Mapping[str, float]
    felt: tuple[float, ...]
    felt_cases: float
    felt_doubt: float
    wanted: float
    hardly: float
    costs: Costs
    evidence: tuple[Evidence, ...]
    out_anyway: float
    answer_right: float
    doubt_below: float


@of_trees
def load_doses(trees: Trees) -> Doses:
    """Return the table.

    Raises
    ------
    KnowledgeError
        When the file is not of its shape.

    """
    table = trees.table(_FILE)
    beyond = {}
    for name, entry in _part(table, "all_feel").items():
        if name not in MEASURES:
            raise entry_fault(_FILE, name, "is no measure")
        beyond[name] = _positive(name, "beyond", entry.get("beyond"))
    felt = _part(table, "felt")
    shares = felt.get("by_tenths")
    if not isinstance(shares, list) or len(shares) != _TENTHS or sorted(shares) != shares or shares[-1] != 1:
        raise entry_fault(_FILE, "felt", "expected by_tenths as ten rising shares that end at 1")
    wanted, costs, causes = _part(table, "wanted"), _part(table, "costs"), _part(table, "causes")
    return Doses(
        beyond,
        tuple(float(share) for share in shares),
        _positive("felt", "cases", felt.get("cases")),
        _positive("felt", "doubt", felt.get("doubt")),
        _share("wanted", "chance", wanted.get("chance")),
        _share("wanted", "hardly", wanted.get("hardly")),
        Costs(*(_positive("costs", key, costs.get(key)) for key in ("strain_min", "spoiled_min", "minute_worth"))),
        tuple(_evidence(entry) for entry in table.get("evidence", [])),
        _share("causes", "out_anyway", causes.get("out_anyway")),
        _share("causes", "answer_right", causes.get("answer_right")),
        _share("doubt_below", "value", _part(table, "doubt_below").get("value")),
    )


def _part(table: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    part = table.get(key)
    if not isinstance(part, dict):
        raise entry_fault(_FILE, key, "expected a mapping")
    return part


def _positive(name: str, key: str, raw: Any) -> float:
    value = number_of(_FILE, name, key, raw)
    if value <= 0:
        raise entry_fault(_FILE, name, f"expected {key} over 0, found {value:g}")
    return value


def _share(name: str, key: str, raw: Any) -> float:
    value = number_of(_FILE, name, key, raw)
    if not 0 < value < 1:
        raise entry_fault(_FILE, name, f"expected {key} between 0 and 1, found {value:g}")
    return value


def _evidence(raw: Any) -> Evidence:
    if not isinstance(raw, dict) or raw.get("measure") not in MEASURES or not isinstance(raw.get("answers"), list):
        raise entry_fault(_FILE, "evidence", "expected fact, answers, measure, below, so, not_so")
    name = str(raw.get("fact"))
    return Evidence(
        name,
        frozenset(map(str, raw["answers"])),
        raw["measure"],
        number_of(_FILE, name, "below", raw.get("below")),
        _share(name, "so", raw.get("so")),
        _share(name, "not_so", raw.get("not_so")),
    )
