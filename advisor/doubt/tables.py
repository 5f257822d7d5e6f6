"""The relations of `trees/plausibility.yaml` as plain values."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import inf
from typing import Any

from advisor.knowledge.tables import entry_fault
from advisor.knowledge.trees import Trees, of_trees
from advisor.sheet.fields import field_rows

FILE = "plausibility.yaml"
DERIVED = frozenset({"label_mm", "longer_foot_mm", "natural_radius_m"})
"""Numbers that are no fields: the foot that the boot's label stands for, the radius its widths make."""

Window = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """A number that follows from others: it, or its logarithm, is the sum of `takes` plus `plus`, within `sd`."""

    field: str
    name: str
    takes: Mapping[str, float]
    plus: float
    sd: float
    log: bool = False
    hidden: bool = False
    shelf: bool = False


@dataclass(frozen=True, slots=True)
class Usual:
    """The window outside which a field by itself is hard to believe."""

    field: str
    window: Window


@dataclass(frozen=True, slots=True)
class Suppose:
    """What would be right: two groups of fields swapped, a sign turned, or else the window's middle."""

    swap: tuple[str, ...] = ()
    turn: str = ""


@dataclass(frozen=True, slots=True)
class Together:
    """Fields that hang together: the window of a sum, or of a ratio of two sums; {foot} is filled in."""

    id: str
    plus: Mapping[str, float]
    over: Mapping[str, float]
    window: Window
    by: Mapping[str, Window]
    doubt: tuple[str, ...]
    suppose: Suppose
    says: str
    foot: str = ""
    without: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unit:
    """A slip of unit: what the number has to be multiplied by, and what it was read in."""

    factor: float
    words: str


@dataclass(frozen=True, slots=True)
class Look:
    """One look before a measure is moved far: what it shows, and what each answer means; {foot} stands for the foot.

    `moved` and `seen` are in the measures' units: the least move that is worth the look, the least that an eye sees.
    """

    measure: str
    moved: float
    shows: str
    seen: float
    fact: str
    plus: str
    minus: str
    even: str
    referral: str
    says: str
    fields: tuple[str, ...]
    signed: Mapping[str, float]
    moved_signed: float

    def least(self, values: Callable[[str], object], foot: str) -> float:
        """Return the least move that is worth the look on a sheet, less where a field with a sign is large."""
        for path, large in self.signed.items():
            value = values(path.replace("{foot}", foot))
            if isinstance(value, int | float) and abs(value) >= large:
                return self.moved_signed
        return self.moved


@dataclass(frozen=True)
class Plausibility:
    """Everything that the file holds."""

    limit: float
    nearly: float
    shelf_least: int
    worth_saying: int
    joints: Mapping[str, tuple[Line, ...]]
    usual: tuple[Usual, ...]
    together: tuple[Together, ...]
    units: tuple[Unit, ...]
    says: Mapping[str, str]
    looks: tuple[Look, ...]
    even_says: str
    even_times: float
    against: Mapping[str, tuple[str, ...]]
    not_bought_on_doubt: str
    dear: frozenset[str]

    @cached_property
    def sides_said(self) -> tuple[tuple[str, str], ...]:
        """Return the words that say which end hangs further, with the end, the longest first."""
        pairs = [(words, side) for side, ways in self.against.items() for words in ways]
        return tuple(sorted(pairs, key=lambda pair: -len(pair[0])))

    @property
    def referrals(self) -> tuple[str, ...]:
        """Return every referral that it names."""
        return (*(look.referral for look in self.looks), self.not_bought_on_doubt)


@of_trees
def load_plausibility(trees: Trees) -> Plausibility:
    """Return the relations.

    Raises
    ------
    KnowledgeError
        When the file is missing or an entry is not of its shape.

    """
    table = trees.table(FILE)
    try:
        return Plausibility(
            float(table["limit"]),
            float(table["nearly"]),
            int(table["shelf_least"]),
            int(table["worth_saying"]),
            {name: tuple(_line(name, node) for node in joint["nodes"]) for name, joint in table["joint"].items()},
            tuple(Usual(_known(path), _window(path, one["window"])) for path, one in table["usual"].items()),
            tuple(one for name, entry in table["together"].items() for one in _together(name, entry)),
            tuple(Unit(float(one["factor"]), str(one["words"])) for one in table["units"]),
            {key: str(words) for key, words in table.items() if key.endswith("_says")},
            tuple(_look(one) for one in table["looks"].values() if isinstance(one, dict)),
            str(table["looks"]["even_says"]),
            float(table["looks"]["even_times"]),
            {side: tuple(map(str, words)) for side, words in table["against"].items()},
            str(table["not_bought_on_doubt"]["referral"]),
            frozenset(map(str, table["not_bought_on_doubt"]["instead_of"])),
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise entry_fault(FILE, "its shape", f"expected the keys that its head names ({error})") from None


def _known(path: str) -> str:
    if path not in field_rows():
        raise entry_fault(FILE, path, "the sheet has no such field")
    return path


def _window(name: str, raw: Any) -> Window:
    low, high = raw
    low, high = -inf if low is None else float(low), inf if high is None else float(high)
    if not low < high:
        raise entry_fault(FILE, name, f"expected a window [low, high], found {raw}")
    return low, high


def _line(joint: str, node: Mapping[str, Any]) -> Line:
    hidden = bool(node.get("hidden"))
    path = str(node["field"])
    if not hidden and path not in DERIVED:
        _known(path)
    if float(node["sd"]) <= 0:
        raise entry_fault(FILE, f"joint.{joint}", f"{path}: expected a spread (sd) over 0")
    takes = {str(key): float(times) for key, times in (node.get("from") or {}).items()}
    log, shelf = bool(node.get("log")), bool(node.get("shelf"))
    return Line(path, str(node.get("name", path)), takes, float(node["plus"]), float(node["sd"]), log, hidden, shelf)


def _look(raw: Mapping[str, Any]) -> Look:
    text = {key: str(raw[key]) for key in ("measure", "shows", "fact", "plus", "minus", "even", "referral", "says")}
    fields = tuple(map(str, raw["fields"]))
    signed = {str(path): float(large) for path, large in (raw.get("signed") or {}).items()}
    moved = float(raw["moved"])
    return Look(
        moved=moved, seen=float(raw["seen"]), fields=fields, signed=signed,
        moved_signed=float(raw.get("moved_signed", moved)), **text,
    )  # fmt: skip


def _together(name: str, entry: Mapping[str, Any]) -> list[Together]:
    feet = ("front", "back") if entry.get("foot") else ("",)
    suppose = entry.get("suppose") or {}
    found = []
    for foot in feet:

        def fill(words: Any, foot: str = foot) -> str:
            return str(words).replace("{foot}", foot) if foot else str(words)

        found.append(
            Together(
                f"{name}.{foot}" if foot else name,
                {fill(key): float(times) for key, times in entry["sum"].items()},
                {fill(key): float(times) for key, times in (entry.get("over") or {}).items()},
                _window(name, entry["window"]),
                {str(style): _window(name, one) for style, one in (entry.get("by") or {}).items()},
                tuple(_known(fill(path)) for path in entry["doubt"]),
                Suppose(tuple(map(fill, suppose.get("swap", ()))), fill(suppose.get("turn", ""))),
                fill(entry["says"]),
                foot,
                tuple(map(str, entry.get("without", ()))),
            )
        )
    return found
