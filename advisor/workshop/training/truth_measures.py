"""What a fault's data may speak of: the measures of the register, and a few that only the true rider has."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from advisor.errors import KnowledgeError
from advisor.geometry import contact, leg, overhang
from advisor.geometry.parts import Edge
from advisor.geometry.register import MEASURES, places
from advisor.sheet.resolve import resolve
from advisor.sheet.setup import FootSide, Setup
from advisor.sheet.sheet import Sheet

_SIDES: tuple[FootSide, FootSide] = ("front", "back")
_EDGES = ("toe", "heel")


class Truth:
    """A rider's set-up as it truly is, with the tilt that the rider truly rides.

    Parameters
    ----------
    sheet
        The whole sheet.
    tilt_deg
        The tilt ridden; the sheet does not say it.

    """

    def __init__(self, sheet: Sheet, tilt_deg: float) -> None:
        self.sheet = sheet
        self.tilt_deg = tilt_deg
        self.setup: Setup = resolve(sheet).setup

    def value(self, measure: str, at: str, foot: FootSide | None) -> float:
        """Return a measure at `board`, at the fault's own `foot`, at a named one, or the most or least of both feet.

        Raises
        ------
        KnowledgeError
            When there is no such measure.

        """
        if measure in _OF_THE_WHOLE:
            return _OF_THE_WHOLE[measure](self)
        if at in {"worst", "least"}:
            values = [self._at(measure, side) for side in _SIDES]
            return max(values) if at == "worst" else min(values)
        if at == "board":
            return self._at(measure, None)
        side = foot if at == "foot" else "front" if at == "front" else "back"
        return self._at(measure, side)

    def _at(self, measure: str, side: FootSide | None) -> float:
        if measure in {"heel_room_deg", "toe_room_deg"}:
            assert side is not None
            edge: Edge = "heel" if measure == "heel_room_deg" else "toe"
            return contact.contact_deg(self.setup, self.setup.foot(side), edge) - self.tilt_deg
        if measure not in MEASURES:
            raise KnowledgeError(f"trees/training: '{measure}' is no measure")
        wanted = MEASURES[measure]
        for place in places(wanted):
            if place.side == side:
                return wanted.at(self.setup, place)
        raise KnowledgeError(f"trees/training: '{measure}' is not taken there; say at: foot, front, back or board")

    def first_part(self, edge: str) -> str | None:
        """Return the part that met the snow at an edge in the rider's turns, None where none did."""
        at: Edge = "heel" if edge == "heel" else "toe"
        firsts = [contact.first_contact(self.setup, self.setup.foot(side), at) for side in _SIDES]
        part, _, tilt = min(firsts, key=lambda first: first[2])
        return part.name if tilt < self.tilt_deg else None


def _room_both_edges(truth: Truth) -> float:
    return max(min(truth._at(f"{edge}_room_deg", side) for side in _SIDES) for edge in _EDGES)


def _overhang_most(truth: Truth) -> float:
    setup = truth.setup
    ends = [overhang.overhang_mm(setup, foot, edge) for foot in (setup.front, setup.back) for edge in ("toe", "heel")]
    return max(ends)


def _lean_apart(truth: Truth) -> float:
    setup = truth.setup
    return abs(leg.lean_reserve_deg(setup, setup.front) - leg.lean_reserve_deg(setup, setup.back))


_OF_THE_WHOLE: dict[str, Callable[[Truth], float]] = {
    "room_both_edges_deg": _room_both_edges,
    "overhang_most_mm": _overhang_most,
    "lean_apart_deg": _lean_apart,
}


def holds(truth: Truth, condition: dict[str, Any], foot: FootSide | None) -> bool:
    """Return whether a condition of the data holds: a measure from `from` on, and below `below`."""
    if "measure" not in condition:
        return True
    value = truth.value(condition["measure"], condition.get("at", "board"), foot)
    return bool(condition.get("from", -1e9) <= value < condition.get("below", 1e9))
