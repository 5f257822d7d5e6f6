"""The scene: what a picture shows, as plain shapes in mm, before anyone decides how to paint it.

A shape's points lie in the panel's own frame. Seen from above that is the board's frame: (x to the nose, y to the toe
edge). In section it is (out, up): `out` runs from the edge away from the board, `up` from the base. A panel's `view`
turns the frame onto the page; both renderers go through it, so both show the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from advisor.geometry.contact import NEVER_DEG
from advisor.geometry.parts import Edge
from advisor.geometry.workings import number
from advisor.sheet.setup import FootSide

Point = tuple[float, float]
LeadingFoot = Literal["left", "right"]
OutlineKind = Literal["board", "boot", "sole", "part"]
LineKind = Literal["edge", "cut", "foot", "ramp", "overhang", "contact", "needed", "base", "angle"]
MarkKind = Literal["hole", "centre", "edge", "first", "part"]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class View:
    """How a panel's frame lies on the page: which of its directions runs right and which runs up."""

    right: Point
    up: Point

    def page(self, point: Point) -> Point:
        """Return a point as (right, up) on the page [mm].

        Examples
        --------
        A regular rider's board with its nose up has its toe edge on the right.

        >>> View(right=(0, 1), up=(1, 0)).page((270, 130))
        (130, 270)

        """
        x, y = point
        return (x * self.right[0] + y * self.right[1], x * self.up[0] + y * self.up[1])


@dataclass(frozen=True, slots=True)
class Outline:
    """A closed shape; `earlier` marks the set-up before the change."""

    kind: OutlineKind
    points: tuple[Point, ...]
    earlier: bool = False
    name: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """An open line."""

    kind: LineKind
    points: tuple[Point, ...]
    earlier: bool = False
    name: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """A small sign at a point: an insert's hole, a binding's centre, the edge in section, the first contact."""

    kind: MarkKind
    at: Point
    earlier: bool = False
    name: str = ""


@dataclass(frozen=True, slots=True)
class Label:
    """A few words at a point."""

    text: str
    at: Point
    anchor: Anchor = "middle"
    earlier: bool = False


@dataclass(frozen=True, slots=True)
class Panel:
    """One drawing to one scale: `box` is (low x, low y, high x, high y) of its frame [mm]."""

    name: str
    title: str
    box: tuple[float, float, float, float]
    view: View
    outlines: tuple[Outline, ...] = ()
    lines: tuple[Line, ...] = ()
    marks: tuple[Mark, ...] = ()
    labels: tuple[Label, ...] = ()

    @property
    def page_box(self) -> tuple[float, float, float, float]:
        """Return the box on the page (left, bottom, right, top) [mm]."""
        low, high = self.view.page(self.box[:2]), self.view.page(self.box[2:])
        return (min(low[0], high[0]), min(low[1], high[1]), max(low[0], high[0]), max(low[1], high[1]))

    def points(self) -> Iterator[Point]:
        """Yield every point of every shape."""
        for outline in self.outlines:
            yield from outline.points
        for line in self.lines:
            yield from line.points
        for mark in self.marks:
            yield mark.at
        for label in self.labels:
            yield label.at


@dataclass(frozen=True, slots=True)
class Gap:
    """The boot's end beyond one edge [mm], positive hangs over; `before_mm` is `None` without an earlier set-up."""

    side: FootSide
    edge: Edge
    now_mm: float
    before_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Stance:
    """Where both bindings stand along the board [mm from the middle of the effective edge, nose positive]."""

    front_mm: float
    back_mm: float
    width_mm: float
    setback_mm: float


@dataclass(frozen=True, slots=True)
class Move:
    """One thing that moved at a foot: `way` is its direction in the board's frame, (0, 0) for a turn."""

    side: FootSide
    words: str
    way: Point = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Fall:
    """What the section says of one edge: the tilts [deg], and the part that meets the snow first."""

    side: FootSide
    edge: Edge
    contact_deg: float
    needed_deg: float
    margin_deg: float
    part: str
    beyond_mm: float
    height_mm: float
    sink_mm: float

    def sentences(self) -> list[str]:
        """Return what the picture shows, in words and numbers."""
        needed = f"Needed {number(self.needed_deg)}°"
        if self.contact_deg >= NEVER_DEG:
            return ["Contact: never; nothing hangs over this edge.", f"{needed}."]
        word = "in hand" if self.margin_deg >= 0 else "short: it drags first"
        said = [
            f"Contact at {number(self.contact_deg)}°: the {self.part}, {number(self.beyond_mm)} mm beyond the edge, "
            f"{number(self.height_mm)} mm over the base.",
            f"{needed}: {number(abs(self.margin_deg))}° {word}.",
        ]
        return [*said, f"The edge stands {number(self.sink_mm)} mm in the snow."] if self.sink_mm > 0 else said


@dataclass(frozen=True, slots=True)
class Scene:
    """A whole picture. With `needs`, nothing is drawn, and they say which numbers are missing."""

    title: str
    panels: tuple[Panel, ...] = ()
    gaps: tuple[Gap, ...] = ()
    stances: tuple[Stance, ...] = ()
    moves: tuple[Move, ...] = ()
    fall: Fall | None = None
    leading: LeadingFoot = "left"
    compared: bool = False
    needs: tuple[str, ...] = ()

    def panel(self, name: str) -> Panel:
        """Return the panel of a name; `KeyError` without one."""
        for panel in self.panels:
            if panel.name == name:
                return panel
        raise KeyError(name)

    @property
    def not_drawn(self) -> str:
        """Return the sentence that stands in place of the picture, empty where there is one."""
        return f"{self.title}: not drawn: needs {', '.join(self.needs)}." if self.needs else ""


def arrow(view: View, way: Point) -> str:
    """Return a space and the arrow nearest to a direction as it lies on the page, empty for none.

    Examples
    --------
    >>> arrow(View(right=(-1, 0), up=(0, 1)), (20, 0))
    ' ←'

    """
    right, up = view.page(way)
    if not (right or up):
        return ""
    if abs(right) >= abs(up):
        return " →" if right > 0 else " ←"
    return " ↑" if up > 0 else " ↓"
