"""The scene in section: one foot cut square to one edge, with the snow at two tilts.

The board lies flat in the frame and the snow is tilted instead, so both tilts show in one picture. Points are
(out, up): `out` from the edge away from the board, `up` from the base. A snow line is z cos t - d sin t = p.
"""

from __future__ import annotations

from math import cos, isfinite, radians, sin, tan

from advisor.draw.missing import UNFIT, missing_fields, unfit
from advisor.draw.scene import Fall, Label, Line, Mark, Outline, Panel, Point, Scene, View
from advisor.geometry.contact import NEVER_DEG, first_contact
from advisor.geometry.parts import Edge, Part, beyond_edge_mm, fixed_parts, floor_mm, sole_at, sole_profile
from advisor.geometry.register import MEASURES, Place
from advisor.geometry.workings import number
from advisor.sheet.setup import FootSetup, FootSide, Setup

_MARGIN_MM = 10.0
_INSIDE_MM = 75.0
_SOLE_MM = 30.0
_ARCS_MM = {"contact": 17.0, "needed": 25.0}


def in_section(setup: Setup, side: FootSide, edge: Edge) -> Scene:
    """Draw one foot in section at one edge: edge, board, sole, binding, and the snow at contact and at needed tilt.

    Parameters
    ----------
    setup
        The set-up.
    side
        `front` or `back`.
    edge
        `toe` (drawn to the right) or `heel` (drawn to the left).

    Returns
    -------
    Scene
        With one panel, `section`, and its `fall`.

    """
    title = f"In section: {side} foot at the {edge} edge"
    wanted = [(f"{edge}_margin_deg", Place(side)), (f"{edge}_contact_deg", Place(side))]
    needs = missing_fields([setup], wanted, "left")
    if needs:
        return Scene(title, needs=needs)
    try:
        panel, fall = _panel(setup, setup.foot(side), edge)
    except (ValueError, ZeroDivisionError, OverflowError):
        return Scene(title, needs=(UNFIT,))
    if unfit([panel]):
        return Scene(title, needs=(UNFIT,))
    return Scene(title, (panel,), fall=fall)


def _panel(s: Setup, f: FootSetup, edge: Edge) -> tuple[Panel, Fall]:
    part, beyond, contact = first_contact(s, f, edge)
    needed = MEASURES["needed_tilt_deg"].at(s, Place())
    margin = MEASURES[f"{edge}_margin_deg"].at(s, Place(f.side))
    fall = Fall(f.side, edge, contact, needed, margin, part.name, beyond, part.height_mm, s.ride.edge_sink_mm)
    sole = sole_at(s, f, edge)
    underside = [(_out(s, f, edge, p), p.height_mm) for p in sole_profile(edge, sole, contact)]
    spots = {p.name: (_out(s, f, edge, p), p.height_mm) for p in fixed_parts(s, f, edge, sole)}
    tip = underside[-1]
    inside = min(-_INSIDE_MM, min(out for out, _ in (*underside, *spots.values())) - _MARGIN_MM)
    top = max(tip[1] + _SOLE_MM, part.height_mm)
    # room for the shallower snow line to rise past the sole before the picture ends
    high = max(tip[0], beyond, 0.0) + 4 * _MARGIN_MM
    low = -1.5 * _MARGIN_MM
    box = (inside, low, high, top + _MARGIN_MM)
    thickness = s.board.thickness_mm
    outlines = [
        Outline("board", ((inside, 0.0), (0.0, 0.0), (0.0, thickness), (inside, thickness))),
        Outline("sole", _sole(underside, inside, top)),
    ]
    floor = floor_mm(s, f)
    if "baseplate" in spots:
        end = spots["baseplate"][0]
        deck = min(underside[0][1], box[3])
        outlines.append(Outline("part", ((inside, floor), (end, floor), (end, deck), (inside, deck)), name="baseplate"))
    marks = [Mark("edge", (0.0, 0.0))]
    marks += [
        Mark("part", spots[name], name=name)
        for name in ("heelcup", "highback")
        if name in spots
        and not (name == part.name and contact < NEVER_DEG)
        and spots[name][1] < box[3]
        and inside < spots[name][0] < high
    ]
    if contact < NEVER_DEG:
        marks.append(Mark("first", (beyond, part.height_mm), name=part.name))
    lines = [Line("base", ((0.0, 0.0), (high, 0.0)))]
    labels: list[Label] = []
    for kind, tilt in (("contact", contact), ("needed", needed)):
        if kind == "contact" and tilt >= NEVER_DEG:
            continue
        snow = _snow(tilt, s.ride.edge_sink_mm, box)
        lines.append(Line("contact" if kind == "contact" else "needed", snow))
        lines.append(_angle(tilt, s.ride.edge_sink_mm, _ARCS_MM[kind], kind))
        labels.append(Label(f"{kind} {number(tilt)}°", snow[-1], "start"))
    view = View(right=(1, 0) if edge == "toe" else (-1, 0), up=(0, 1))
    return Panel("section", f"{edge} edge", box, view, tuple(outlines), tuple(lines), tuple(marks), tuple(labels)), fall


def _angle(tilt_deg: float, sink_mm: float, radius_mm: float, name: str) -> Line:
    """Return the arc between the base and a snow line, about the point where they cross."""
    steps = 12
    apex = -sink_mm / sin(radians(tilt_deg)) if tilt_deg > 0 else 0.0
    turns = [radians(tilt_deg) * step / steps for step in range(steps + 1)]
    return Line("angle", tuple((apex + radius_mm * cos(turn), radius_mm * sin(turn)) for turn in turns), name=name)


def _out(s: Setup, f: FootSetup, edge: Edge, part: Part) -> float:
    return beyond_edge_mm(s, f, edge, part.along_mm, part.radius_mm, part.beside_mm)


def _sole(underside: list[Point], inside: float, top: float) -> tuple[Point, ...]:
    """Return the sole: flat underside from inside the board, its rise to the furthest point, then straight up."""
    return ((inside, underside[0][1]), *underside, (underside[-1][0], top), (inside, top))


def _snow(tilt_deg: float, sink_mm: float, box: tuple[float, float, float, float]) -> tuple[Point, ...]:
    """Return the snow's line across a box: up = out tan t + p / cos t."""
    slope, start = tan(radians(tilt_deg)), sink_mm / cos(radians(tilt_deg))
    left, bottom, right, top = box
    if slope <= 0 or not isfinite(slope):
        return ((left, start), (right, start))
    first = max(left, (bottom - start) / slope)
    last = min(right, (top - start) / slope)
    return ((first, first * slope + start), (last, last * slope + start))
