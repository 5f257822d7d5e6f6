"""What a hand can turn (`trees/adjustments.yaml`): what it moves, by what step, between which bounds, at what cost."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from advisor.geometry.register import MEASURES
from advisor.knowledge.tables import entry_fault, number_of
from advisor.knowledge.trees import Trees, of_trees
from advisor.sheet.fields import field_rows

_FILE = "adjustments.yaml"
_FEET = ("each", "front", "back", "both", "none")
_WAY_KEYS = frozenset(
    {
        "when",
        "moves",
        "unit",
        "step",
        "bounds",
        "values",
        "turns_over",
        "set",
        "from",
        "shows",
        "for",
        "do",
        "loses",
        "used_to",
        "carries",
    }
)
_KEYS = frozenset({"words", "feet", "work", "minutes", "ways", "used_to", "do", "needs", "caution", "source"})
_SIGNS = ("plus", "minus", "zero")
_HOLDERS = ("{by}", "{unit}", "{from}", "{to}", "{foot}", "{mm}", "{across}")

Feet = Literal["each", "front", "back", "both", "none"]
Bound = float | str


@dataclass(frozen=True, slots=True)
class Work:
    """What has to be opened: `part` is opened once a foot, however much is done there.

    `turns` are all its screws' turns, out and in again; `minutes` its bench time; `cautions` are always told with it.
    """

    part: str
    turns: float
    minutes: float
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Way:
    """One way of making an adjustment on the sheets for which `when` holds.

    Parameters
    ----------
    when
        Sheet path -> the values with which this way is offered.
    moves
        Sheet path -> how far it goes for one unit of `by`.
    unit
        The unit of `by`.
    step, bounds
        One step of `by`, and the ends of every path moved; a text names a field, a minus in front turns its sign.
    values
        Instead: the values that can be had.
    turns_over
        A yes/no field to turn over.
    sets
        Sheet path -> what it is set to on the way.
    start
        Where the moved field starts; None for where it stands.
    shows
        The field that one unit of `by` is worth, in mm.
    serves
        The measures and fields that a tech reaches for it to put right.
    used_to
        Strain a step for the rider to get used to.
    do
        Words for `plus`, `minus`, and `zero`: where it ends at 0.
    loses
        What it gives up.
    carries
        An adjustment that is carried along so that what this one upsets stays as it was, and the measure that tells;
        empty for none.

    """

    when: Mapping[str, tuple[str, ...]]
    moves: Mapping[str, float]
    unit: str
    step: Bound
    bounds: tuple[Bound, Bound] | str
    values: tuple[float, ...]
    turns_over: str
    sets: Mapping[str, str]
    start: float | None
    shows: str
    serves: frozenset[str]
    used_to: float
    do: Mapping[str, str]
    loses: str
    carries: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Adjustment:
    """One thing that a hand can turn. One without `ways` has no number on the sheet and is never searched."""

    id: str
    words: str
    feet: Feet
    work: Work
    minutes: float
    ways: tuple[Way, ...]
    do: Mapping[str, str]
    needs: tuple[str, ...]
    caution: str
    source: str


@of_trees
def _table(trees: Trees) -> Mapping[str, Any]:
    return trees.table(_FILE)


@of_trees
def load_adjustments(trees: Trees) -> Mapping[str, Adjustment]:
    """Return every adjustment by its id, in the file's order.

    Raises
    ------
    KnowledgeError
        When the file is not of its shape, or names a field or measure that does not exist.

    """
    table = _table(trees)
    works = {name: _work(name, entry) for name, entry in _mapping("work", table.get("work")).items()}
    found = {}
    for name, entry in _mapping("adjustments", table.get("adjustments")).items():
        found[name] = _adjustment(name, _mapping(name, entry), works)
    for adjustment in found.values():
        for other in adjustment.needs:
            if other not in found:
                raise entry_fault(_FILE, adjustment.id, f"needs {other}, which is no adjustment")
        for way in adjustment.ways:
            if way.carries and way.carries[0] not in found:
                raise entry_fault(_FILE, adjustment.id, f"carries {way.carries[0]}, which is no adjustment")
    return found


@of_trees
def load_served(trees: Trees) -> frozenset[str]:
    """Return every measure and field that some adjustment is for."""
    return frozenset(name for entry in load_adjustments(trees).values() for way in entry.ways for name in way.serves)


@dataclass(frozen=True, slots=True)
class FixRule:
    """A number of another board or boot that could do what no set-up does.

    `toward` is `more` or `less`; `within` how far to look.
    """

    path: str
    toward: str
    within: float
    unit: str
    words: str


@of_trees
def load_fixes(trees: Trees) -> tuple[FixRule, ...]:
    """Return the numbers that `refer` can name, in the file's order.

    Raises
    ------
    KnowledgeError
        When the file is not of its shape.

    """
    found = []
    for raw in _table(trees).get("would_fix", []):
        entry = _mapping("would_fix", raw)
        path = _text("would_fix", entry, "path")
        if path not in field_rows():
            raise entry_fault(_FILE, "would_fix", f"names {path}, which is no field of the sheet")
        if entry.get("toward") not in {"more", "less"}:
            raise entry_fault(_FILE, path, "expected toward: more or less")
        within = number_of(_FILE, path, "within", entry.get("within"))
        found.append(FixRule(path, entry["toward"], within, str(entry.get("unit", "")), _text(path, entry, "words")))
    return tuple(found)


@of_trees
def load_most_spoiled(trees: Trees) -> int:
    """Return how many measures an answer may put outside their window where no answer spoils nothing.

    Raises
    ------
    KnowledgeError
        When the file does not say.

    """
    return int(
        number_of(_FILE, "price", "most_spoiled", _mapping("price", _table(trees).get("price")).get("most_spoiled"))
    )


@of_trees
def load_most_assumed(trees: Trees) -> float:
    """Return the part of half a window by which assumed numbers may move its measure while it still guards.

    Raises
    ------
    KnowledgeError
        When the file does not say.

    """
    return number_of(_FILE, "guess", "most_assumed", _mapping("guess", _table(trees).get("guess")).get("most_assumed"))


def _mapping(name: str, raw: Any) -> Mapping[str, Any]:
    if not isinstance(raw, dict):
        raise entry_fault(_FILE, name, "expected a mapping")
    return raw


def _work(name: str, raw: Any) -> Work:
    entry = _mapping(name, raw)
    screws, turns, minutes = (number_of(_FILE, name, key, entry.get(key)) for key in ("screws", "turns", "minutes"))
    if min(screws, turns, minutes) < 0:
        raise entry_fault(_FILE, name, "expected screws, turns and minutes of 0 or more")
    return Work(_text(name, entry, "part"), screws * turns, minutes, tuple(map(str, entry.get("cautions", ()))))


def _text(name: str, entry: Mapping[str, Any], key: str) -> str:
    if not isinstance(entry.get(key), str):
        raise entry_fault(_FILE, name, f"expected {key} as text")
    text: str = entry[key]
    return text


def _adjustment(name: str, entry: Mapping[str, Any], works: Mapping[str, Work]) -> Adjustment:
    _known_keys(name, entry, _KEYS)
    if entry.get("feet") not in _FEET:
        raise entry_fault(_FILE, name, f"expected feet as one of {', '.join(_FEET)}")
    if entry.get("work") not in works:
        raise entry_fault(_FILE, name, f"expected work as one of {', '.join(works)}")
    do = _do(name, entry.get("do", {}))
    raw_ways = [{"used_to": entry.get("used_to"), **_mapping(name, raw)} for raw in entry.get("ways", [])]
    ways = tuple(_way(name, raw, do) for raw in raw_ways)
    if not do and not all(way.do for way in ways):
        raise entry_fault(_FILE, name, "expected do: {plus: words, minus: words}")
    return Adjustment(
        name,
        _text(name, entry, "words"),
        entry["feet"],
        works[entry["work"]],
        number_of(_FILE, name, "minutes", entry.get("minutes")),
        ways,
        do,
        tuple(entry.get("needs", ())),
        str(entry.get("caution", "")),
        _text(name, entry, "source"),
    )


def _known_keys(name: str, entry: Mapping[str, Any], keys: frozenset[str]) -> None:
    strange = sorted(set(entry) - keys)
    if strange:
        raise entry_fault(_FILE, name, f"does not know {strange[0]}; it knows {', '.join(sorted(keys))}")


def _do(name: str, raw: Any) -> Mapping[str, str]:
    entry = _mapping(name, raw)
    for sign, words in entry.items():
        if sign not in _SIGNS or not isinstance(words, str):
            raise entry_fault(_FILE, name, f"expected do with {', '.join(_SIGNS)} as text, found {sign}")
        left = words
        for holder in _HOLDERS:
            left = left.replace(holder, "")
        if "{" in left or "}" in left:
            raise entry_fault(_FILE, name, f"do.{sign} may hold {' '.join(_HOLDERS)}, found {words!r}")
    return entry


def _way(name: str, entry: Mapping[str, Any], do: Mapping[str, str]) -> Way:
    _known_keys(name, entry, _WAY_KEYS)
    moves = {path: number_of(_FILE, name, path, by) for path, by in entry.get("moves", {}).items()}
    sets = {path: str(value) for path, value in entry.get("set", {}).items()}
    turns_over = str(entry.get("turns_over", ""))
    when = {path: _several(value) for path, value in entry.get("when", {}).items()}
    step, bounds, values = entry.get("step", 0), entry.get("bounds", (0, 0)), tuple(entry.get("values", ()))
    if not moves and not turns_over:
        raise entry_fault(_FILE, name, "expected moves or turns_over")
    if moves and not values and ("step" not in entry or "bounds" not in entry):
        raise entry_fault(_FILE, name, "expected step and bounds, or values")
    if not isinstance(bounds, str) and len(bounds) != 2:
        raise entry_fault(_FILE, name, "expected bounds as [least, most] or as one field that is a pair")
    ends: tuple[Bound, Bound] | str = bounds if isinstance(bounds, str) else (_bound(bounds[0]), _bound(bounds[1]))
    named = [step, *((ends,) if isinstance(ends, str) else ends), entry.get("shows", "")]
    fields = [str(path).lstrip("-") for path in named if isinstance(path, str) and path]
    for path in (*moves, *sets, *when, *fields, *([turns_over] if turns_over else [])):
        if path.replace("{foot}", "front") not in field_rows():
            raise entry_fault(_FILE, name, f"names {path}, which is no field of the sheet")
    serves = frozenset(entry.get("for", ()))
    for measure in sorted(serves):
        if measure not in MEASURES and not any(_fields_of(measure)):
            raise entry_fault(_FILE, name, f"is for {measure}, which is neither a measure nor a field")
    start, used_to = entry.get("from"), number_of(_FILE, name, "used_to", entry["used_to"])
    if used_to < 0:
        raise entry_fault(_FILE, name, f"expected used_to of 0 or more, found {used_to:g}")
    return Way(
        when,
        moves,
        str(entry.get("unit", "")),
        step if isinstance(step, str) else number_of(_FILE, name, "step", step),
        ends,
        tuple(number_of(_FILE, name, "values", value) for value in values),
        turns_over,
        sets,
        None if start is None else number_of(_FILE, name, "from", start),
        str(entry.get("shows", "")),
        serves,
        used_to,
        _do(name, entry["do"]) if "do" in entry else do,
        str(entry.get("loses", "")),
        _carries(name, entry.get("carries")),
    )


def _carries(name: str, raw: Any) -> tuple[str, str] | None:
    if raw is None:
        return None
    entry = _mapping(name, raw)
    if entry.get("keeps") not in MEASURES:
        raise entry_fault(_FILE, name, f"carries keeps {entry.get('keeps')}, which is no measure")
    return _text(name, entry, "adjustment"), _text(name, entry, "keeps")


def _several(raw: Any) -> tuple[str, ...]:
    return tuple(str(value) for value in raw) if isinstance(raw, list) else (str(raw),)


def _bound(raw: Any) -> Bound:
    return raw if isinstance(raw, str) else float(raw)


def _fields_of(name: str) -> Iterator[str]:
    """Yield the sheet's fields that a window's name such as `foot.lean_deg` or `screw_torque_nm` stands for."""
    for side in ("front", "back"):
        path = name.replace("foot.", f"{side}.", 1)
        for candidate in (path, f"mount.{path}"):
            if candidate in field_rows():
                yield candidate
