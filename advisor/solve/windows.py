"""What is good, measure by measure (`trees/windows.yaml`), and how far a value lies from it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import inf, isnan, nan
from typing import Any, Literal

from advisor.geometry.measuring import Measured
from advisor.geometry.register import MEASURES, Place
from advisor.knowledge.tables import entry_fault, number_of
from advisor.knowledge.trees import Trees, of_trees
from advisor.sheet.practice import load_practice
from advisor.sheet.readings import Known
from advisor.sheet.setup import Setup

State = Literal["good", "close", "out", "unknown"]

_FILE = "windows.yaml"
_KEYS = frozenset({"good", "look_closer", "look_closer_by", "guard", "same_as", "notice", "why", "source", "by_style"})
TINY = 1e-9
"""How near to an end a value may lie and still count as in."""

End = float | str


@dataclass(frozen=True, slots=True)
class Interval:
    """A range with both ends in it; an open end is infinite.

    Examples
    --------
    >>> Interval(0, 20).distance(23.5)
    3.5

    """

    low: float = -inf
    high: float = inf

    def has(self, value: float) -> bool:
        """Return whether a value lies inside."""
        return self.low - TINY <= value <= self.high + TINY

    def distance(self, value: float) -> float:
        """Return how far a value lies outside; 0 inside, `nan` for an unknown value."""
        if isnan(value):
            return nan
        if value < self.low - TINY:
            return self.low - value
        return value - self.high if value > self.high + TINY else 0.0

    def words(self, unit: str = "") -> str:
        """Return the range in words.

        Examples
        --------
        >>> Interval(5, inf).words("deg"), Interval(-4, 4).words("mm")
        ('5 deg and more', '-4 to 4 mm')

        """
        tail = f" {unit}" if unit and unit != "1" else ""
        if self.high == inf:
            return f"{self.low:.4g}{tail} and more" if self.low > -inf else "anything"
        if self.low == -inf:
            return f"{self.high:.4g}{tail} and less"
        return f"{self.low:.4g} to {self.high:.4g}{tail}"


@dataclass(frozen=True, slots=True)
class Window:
    """A measure's window with its numbers put in for one rider.

    Parameters
    ----------
    good
        Where it should lie.
    close
        Around `good`: worth a look but not wrong yet.
    guard
        What an adjustment for something else must not leave; None for nothing.
    notice
        The smallest change worth a word.
    scale
        How far from `good` things go from right to wrong; makes measures comparable.
    why
        Why this is good.
    source
        Entry of `trees/sources.yaml`.
    same_as
        Measures that say the same in other words: it guards nothing where one of them is aimed at.

    """

    good: Interval
    close: Interval
    guard: Interval | None
    notice: float
    scale: float
    why: str
    source: str
    same_as: frozenset[str] = frozenset()

    def state(self, value: float) -> State:
        """Return where a value lies."""
        if isnan(value):
            return "unknown"
        if self.good.has(value):
            return "good"
        return "close" if self.close.has(value) else "out"

    def strain(self, value: float) -> float:
        """Return how near to wrong a value lies: 0 well inside, 1 at an end of the window, one more for each `scale`.

        Within a window the strain starts one `scale` from an end, or at the middle where the window is narrower.
        """
        good, scale = self.good, self.scale
        room = min(scale, (good.high - good.low) / 2)
        worst = 0.0
        for outside in (good.low - value, value - good.high):
            if outside > 0:
                worst = max(worst, 1 + outside / scale)
            elif outside > -room:
                worst = max(worst, 1 + outside / room)
        return worst


@dataclass(frozen=True, slots=True)
class _Row:
    """One entry of the file, its ends not yet looked up."""

    good: tuple[End, End] | str
    close: tuple[End, End] | None
    close_by: float
    guard: tuple[End, End] | Literal["good"] | None
    notice: float
    why: str
    source: str
    same_as: frozenset[str]

    def window(self, setup: Setup) -> Window | None:
        """Return the window for a set-up, None where a number that it needs is not known."""
        good = _measured_window(self.good, setup) if isinstance(self.good, str) else _interval(self.good, setup)
        if good is None:
            return None
        close = Interval(good.low - self.close_by, good.high + self.close_by)
        if self.close is not None:
            close = _interval(self.close, setup) or close
        guard = good if self.guard == "good" else _interval(self.guard, setup) if self.guard else None
        gaps = [gap for gap in (good.low - close.low, close.high - good.high) if gap > 0 and gap < inf]
        half = (good.high - good.low) / 2
        scale = min(gaps) if gaps else half if half < inf else self.notice
        return Window(good, close, guard, self.notice, max(scale, self.notice), self.why, self.source, self.same_as)

    def reads(self) -> Iterator[str]:
        """Yield the set-up's numbers that its ends name."""
        for ends in (self.good, self.close, self.guard):
            if isinstance(ends, tuple):
                yield from (end for end in ends if isinstance(end, str))
            elif ends in MEASURES:
                yield from MEASURES[ends].paths(Place())
                yield from MEASURES[ends].paths(Place(), optional=True)


class Windows:
    """Every window, by measure and by field of the set-up."""

    def __init__(self, rows: Mapping[str, tuple[_Row, Mapping[str, _Row]]]) -> None:
        self._rows = rows
        self._reads: dict[str, frozenset[str]] = {}

    def __contains__(self, name: str) -> bool:
        """Return whether a measure or field has a window."""
        return window_id(name, self._rows) is not None

    def ids(self) -> tuple[str, ...]:
        """Return every measure and field that has a window."""
        return tuple(self._rows)

    def window(self, name: str, setup: Setup, style: str = "") -> Window | None:
        """Return the whole window of a measure or field, with or without its place; None where there is none.

        It is that of the riding style `style`, of the rider's own where none is given.
        """
        key = window_id(name, self._rows)
        if key is None:
            return None
        row, by_style = self._rows[key]
        return by_style.get(style or setup.rider.style, row).window(setup)

    def styles(self, name: str) -> tuple[str, ...]:
        """Return the riding styles for which a measure or field has a window of its own."""
        key = window_id(name, self._rows)
        return tuple(self._rows[key][1]) if key else ()

    def reads(self, name: str) -> frozenset[str]:
        """Return the set-up's numbers on which the ends of a window hang."""
        key = window_id(name, self._rows)
        if key is None:
            return frozenset()
        if key not in self._reads:
            row, by_style = self._rows[key]
            self._reads[key] = frozenset(path for one in (row, *by_style.values()) for path in one.reads())
        return self._reads[key]

    def good(self, measure_id: str, known: Known) -> Interval | None:
        """Return where a measure should lie for this rider; None where the trade has no window for it."""
        window = self.window(measure_id, known.setup)
        return window.good if window else None

    def state(self, measured: Measured) -> State:
        """Return where a taken measure lies: `good`, `close` (look closer), `out`, or `unknown`."""
        window = self.window(measured.measure.id, measured.setup)
        return window.state(measured.value) if window else "unknown"


def window_id(name: str, rows: Mapping[str, Any]) -> str | None:
    """Return the key under which a measure or field stands: `heel_margin_deg.back` -> `heel_margin_deg`."""
    if name in rows:
        return name
    head, _, tail = name.partition(".")
    if head in MEASURES:
        return head if head in rows else None
    if head in {"front", "back"} and f"foot.{tail}" in rows:
        return f"foot.{tail}"
    return None


def _end(end: End, setup: Setup) -> float:
    return setup.get(end) if isinstance(end, str) else end


def _interval(ends: tuple[End, End] | Literal["good"] | None, setup: Setup) -> Interval | None:
    assert isinstance(ends, tuple)
    low, high = _end(ends[0], setup), _end(ends[1], setup)
    return None if isnan(low) or isnan(high) else Interval(low, high)


def _measured_window(measure_id: str, setup: Setup) -> Interval | None:
    window = MEASURES[measure_id].window
    assert window is not None
    low, high = window(setup)
    return None if isnan(low) or isnan(high) else Interval(low, high)


@of_trees
def ordinary_rider(trees: Trees) -> Setup:
    """Return a set-up of which only the trade's numbers are known: for windows without a rider."""
    setup = Setup()
    for name, practice in load_practice(trees).items():
        if "." not in name and hasattr(setup.practice, name):
            setattr(setup.practice, name, practice.value)
    return setup


@of_trees
def load_windows(trees: Trees) -> Windows:
    """Return the windows of `trees/windows.yaml`.

    Raises
    ------
    KnowledgeError
        When the file is not of its shape, or names a measure or number that does not exist.

    """
    return windows_of(trees.table(_FILE))


def windows_of(table: Mapping[str, Any]) -> Windows:
    """Return the windows of a table that is read already.

    Raises
    ------
    KnowledgeError
        As `load_windows`.

    """
    setup = Setup()
    rows: dict[str, tuple[_Row, Mapping[str, _Row]]] = {}
    for name, entry in table.items():
        if not isinstance(entry, dict):
            raise entry_fault(_FILE, name, "expected good, notice, why, source")
        if name not in MEASURES and not _is_field(name.replace("foot.", "front.", 1), setup):
            raise entry_fault(_FILE, name, "is neither a measure nor a number of the set-up; check the spelling")
        styles = entry.get("by_style", {})
        plain = {key: value for key, value in entry.items() if key != "by_style"}
        by_style = {style: _row(f"{name}.by_style.{style}", {**plain, **own}, setup) for style, own in styles.items()}
        rows[name] = (_row(name, plain, setup), by_style)
    return Windows(rows)


def _row(name: str, entry: Mapping[str, Any], setup: Setup) -> _Row:
    strange = sorted(set(entry) - _KEYS)
    if strange:
        raise entry_fault(_FILE, name, f"does not know {strange[0]}; it knows {', '.join(sorted(_KEYS))}")
    for key in ("why", "source"):
        if not isinstance(entry.get(key), str):
            raise entry_fault(_FILE, name, f"expected {key} as text")
    same_as = frozenset(entry.get("same_as", ()))
    for other in sorted(same_as - set(MEASURES)):
        raise entry_fault(_FILE, name, f"same_as names {other}, which is no measure")
    good = entry.get("good")
    if isinstance(good, str) and (good not in MEASURES or MEASURES[good].window is None):
        raise entry_fault(_FILE, name, f"good names {good}, which is no measure with a window")
    guard: tuple[End, End] | Literal["good"] | None = "good"
    if "guard" in entry:
        guard = None if entry["guard"] is None else _ends(name, "guard", entry["guard"], setup)
    return _Row(
        good if isinstance(good, str) else _ends(name, "good", good, setup),
        _ends(name, "look_closer", entry["look_closer"], setup) if "look_closer" in entry else None,
        number_of(_FILE, name, "look_closer_by", entry.get("look_closer_by", 0)),
        guard,
        number_of(_FILE, name, "notice", entry.get("notice")),
        entry["why"],
        entry["source"],
        same_as,
    )


def _ends(name: str, key: str, raw: Any, setup: Setup) -> tuple[End, End]:
    if not isinstance(raw, list) or len(raw) != 2:
        raise entry_fault(_FILE, name, f"expected {key} as [low, high]")
    ends: list[End] = []
    for end, open_end in zip(raw, (-inf, inf), strict=True):
        if end is None:
            ends.append(open_end)
        elif isinstance(end, str):
            if not _is_field(end, setup):
                raise entry_fault(_FILE, name, f"{key} names {end}, which is no number of the set-up")
            ends.append(end)
        else:
            ends.append(number_of(_FILE, name, key, end))
    low, high = ends
    if isinstance(low, float) and isinstance(high, float) and low > high:
        raise entry_fault(_FILE, name, f"expected {key} with the low end first, found {raw}")
    return low, high


def _is_field(path: str, setup: Setup) -> bool:
    try:
        return isinstance(setup.get(path), float)
    except AttributeError:
        return False
