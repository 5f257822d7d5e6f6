"""What must come right: one measure, or one field, and the range it must reach."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import inf, isnan

from advisor.errors import UnknownName
from advisor.geometry.register import MEASURES, Place, measure_named, places
from advisor.sheet.setup import FootSide, Setup
from advisor.solve.windows import Interval, Window


@dataclass(frozen=True, slots=True)
class Aim:
    """A measure at its place (`heel_margin_deg.back`) or a field of the set-up (`back.lean_deg`) that must come right.

    Without `low` and `high` its good window holds; with only one of them the other end is open.
    """

    key: str
    low: float | None = None
    high: float | None = None

    def interval(self, window: Window | None) -> Interval:
        """Return the range to reach.

        Raises
        ------
        UnknownName
            When neither ends are given nor a window is known.

        """
        if self.low is None and self.high is None:
            if window is None:
                raise UnknownName(f"'{self.key}' has no window for this rider; give the aim a low or a high end")
            return window.good
        return Interval(-inf if self.low is None else self.low, inf if self.high is None else self.high)


def place_of(key: str, setup: Setup) -> tuple[str, Place]:
    """Return the measure's or the field's own name, and the place that a key speaks of.

    Examples
    --------
    >>> kind, place = place_of("heel_margin_deg.back", Setup())
    >>> kind, str(place)
    ('heel_margin_deg', 'back')
    >>> place_of("back.lean_deg", Setup())[0]
    'foot.lean_deg'

    Raises
    ------
    UnknownName
        When there is neither such a measure at that place nor such a number.

    """
    head, _, tail = key.partition(".")
    if head in MEASURES:
        for place in places(MEASURES[head]):
            if str(place) == tail:
                return head, place
        places_known = ", ".join(f"{head}.{place}" if place.side else head for place in places(MEASURES[head]))
        raise UnknownName(f"'{key}' is no place for that measure; it is taken at {places_known}")
    try:
        known = isinstance(setup.get(key), float | int)
    except AttributeError:
        known = False
    if not known:
        measure_named(head)
    side: FootSide | None = "front" if head == "front" else "back" if head == "back" else None
    return (f"foot.{tail}" if side else key), Place(side)


def kind_of(key: str) -> str:
    """Return a key's own name without its place."""
    head, _, tail = key.partition(".")
    return f"foot.{tail}" if head in {"front", "back"} else head if head in MEASURES else key


def aimed(aims: Iterable[Aim]) -> Iterator[Aim]:
    """Yield every aim, checked.

    Raises
    ------
    UnknownName
        When there is none, or its ends are the wrong way round.

    """
    found = tuple(aims)
    if not found:
        raise UnknownName("nothing to aim at: name at least one measure")
    for aim in found:
        for end in (aim.low, aim.high):
            if end is not None and isnan(end):
                raise UnknownName(f"the aim for '{aim.key}' has an end that is no number")
        if aim.low is not None and aim.high is not None and aim.low > aim.high:
            raise UnknownName(f"the aim for '{aim.key}' runs from {aim.low:g} to {aim.high:g}; put the low end first")
        yield aim


def spoken(key: str) -> str:
    """Return a key as a tech says it.

    Examples
    --------
    >>> spoken("heel_margin_deg.back"), spoken("back.lean_deg"), spoken("stance_width_mm")
    ('back heel margin', 'back lean', 'stance width')

    """
    head, _, tail = key.partition(".")
    if head in {"front", "back"}:
        head, tail = tail, head
    elif head not in MEASURES and tail:
        head, tail = tail, ""
    stem, _, unit = head.rpartition("_")
    name = stem if unit in {"mm", "deg", "kmh", "n", "m", "nm"} else head
    return " ".join([*tail.split("."), *name.split("_")]).strip()
