"""The scene from above: the board across both bindings, boots, overhang, and what moved.

Seen from above, a regular rider's board with its nose up has its toe edge on the right, a goofy rider's on the left.
"""

from __future__ import annotations

from advisor.draw.missing import UNFIT, missing_fields, unfit
from advisor.draw.scene import Gap, Label, LeadingFoot, Line, Mark, Move, Outline, Panel, Point, Scene, Stance, View
from advisor.draw.shapes import boot_outline, edge_curve, on_the_foot, overhang_ends, row_places
from advisor.geometry.maths import toes_direction
from advisor.geometry.placing import binding_x_mm, binding_y_mm, boot_middle_along_mm, ramp_end_along_mm
from advisor.geometry.register import EDGES, MEASURES, SIDES, Place
from advisor.geometry.workings import number
from advisor.sheet.setup import FootSetup, FootSide, Setup

_MARGIN_MM = 8.0
_BEYOND_BOOTS_MM = 58.0  # so that the words nose and tail stand clear of the boots on the smallest picture
_CUT_MM = 5.0
_WANTED = [
    *((f"{edge}_overhang_mm", Place(side)) for side in SIDES for edge in EDGES),
    ("stance_width_mm", Place()),
    ("setback_mm", Place()),
]


def from_above(before: Setup, after: Setup | None = None, leading: LeadingFoot = "left") -> Scene:
    """Draw the board across both bindings from above.

    Parameters
    ----------
    before
        The set-up as it is.
    after
        The set-up after the change; `None` draws the present one alone.
    leading
        The foot in front: `left` (regular) or `right` (goofy). It decides on which side the toe edge lies.

    Returns
    -------
    Scene
        With the panels `whole` (board lying, toe edge up), `front` and `back` (one foot each, nose up).

    """
    rider = "regular, left foot leads" if leading == "left" else "goofy, right foot leads"
    title = f"From above ({rider})"
    setups = [before] if after is None else [before, after]
    needs = missing_fields(setups, _WANTED, leading)
    if needs:
        return Scene(title, leading=leading, needs=needs)
    try:
        panels = (_whole(setups, leading), *(_one_foot(setups, side, leading) for side in SIDES))
    except (ValueError, ZeroDivisionError, OverflowError):
        return Scene(title, leading=leading, needs=(UNFIT,))
    if unfit(panels):
        return Scene(title, leading=leading, needs=(UNFIT,))
    return Scene(
        title,
        panels,
        gaps=tuple(_gap(setups, side, edge) for side in SIDES for edge in EDGES),
        stances=tuple(_stance(s) for s in setups),
        moves=_moves(before, after) if after else (),
        leading=leading,
        compared=after is not None,
    )


def _gap(setups: list[Setup], side: FootSide, edge: str) -> Gap:
    values = [MEASURES[f"{edge}_overhang_mm"].at(s, Place(side)) for s in setups]
    return Gap(side, "toe" if edge == "toe" else "heel", values[-1], values[0] if len(values) > 1 else None)


def _stance(s: Setup) -> Stance:
    width, setback = (MEASURES[name].at(s, Place()) for name in ("stance_width_mm", "setback_mm"))
    return Stance(binding_x_mm(s, s.front), binding_x_mm(s, s.back), width, setback)


def _foot_title(f: FootSetup, earlier: FootSetup, leading: LeadingFoot) -> str:
    foot = leading if f.side == "front" else ("right" if leading == "left" else "left")
    angle = f"{number(f.angle_deg)}°" if f.angle_deg <= 0 else f"+{number(f.angle_deg)}°"
    if f.angle_deg != earlier.angle_deg:
        was = f"{number(earlier.angle_deg)}°" if earlier.angle_deg <= 0 else f"+{number(earlier.angle_deg)}°"
        angle = f"{was} → {angle}"
    return f"{f.side} foot ({foot}) {angle}"


def _foot_shapes(s: Setup, f: FootSetup, earlier: bool) -> tuple[list[Outline], list[Line], list[Mark]]:
    outlines = [Outline("boot", boot_outline(s, f), earlier, f.side)]
    lines = [Line("overhang", overhang_ends(s, f, edge), earlier, f"{f.side}.{edge}") for edge in EDGES]
    middle, half = boot_middle_along_mm(s, f), s.boots.outsole_length_mm / 2
    lines.append(
        Line("foot", (on_the_foot(s, f, middle - half), on_the_foot(s, f, middle + half)), earlier, f.side),
    )
    ramp, wide = ramp_end_along_mm(s, f), s.boots.ball_width_mm / 2
    if ramp == ramp:
        lines.append(Line("ramp", (on_the_foot(s, f, ramp, -wide), on_the_foot(s, f, ramp, wide)), earlier, f.side))
    marks = [Mark("centre", (binding_x_mm(s, f), binding_y_mm(s, f)), earlier, f.side)]
    return outlines, lines, marks


def _shapes(setups: list[Setup], sides: tuple[FootSide, ...]) -> tuple[list[Outline], list[Line], list[Mark]]:
    outlines: list[Outline] = []
    lines: list[Line] = []
    marks: list[Mark] = []
    for s in setups:
        for side in sides:
            new = _foot_shapes(s, s.foot(side), s is not setups[-1])
            outlines += new[0]
            lines += new[1]
            marks += new[2]
    return outlines, lines, marks


def _board(s: Setup, low: float, high: float) -> tuple[Outline, list[Line]]:
    toe, heel = edge_curve(s, "toe", low, high), edge_curve(s, "heel", low, high)
    board = Outline("board", (*toe, *reversed(heel)))
    return board, [Line("edge", toe, name="toe"), Line("edge", heel, name="heel")]


def _cut(x: float, half: float) -> Line:
    """Return the zigzag that says that the board goes on."""
    teeth = 12
    ys = [half * (2 * step / teeth - 1) for step in range(teeth + 1)]
    return Line("cut", tuple((x + (_CUT_MM if step % 2 else 0.0), y) for step, y in enumerate(ys)))


def _reach(points: list[Point], edges: list[Line]) -> float:
    return max(abs(y) for _, y in [*points, *(p for line in edges for p in line.points)]) + _MARGIN_MM


def _whole(setups: list[Setup], leading: LeadingFoot) -> Panel:
    now = setups[-1]
    outlines, lines, marks = _shapes(setups, SIDES)
    boots = [point for outline in outlines for point in outline.points]
    low, high = min(x for x, _ in boots) - _BEYOND_BOOTS_MM, max(x for x, _ in boots) + _BEYOND_BOOTS_MM
    board, edges = _board(now, low, high)
    cuts = [_cut(low, -edges[1].points[0][1]), _cut(high, edges[0].points[-1][1])]
    reach = _reach(boots, edges)
    holes = [Mark("hole", at) for at in row_places(now) if low < at[0] < high]
    middle = (low + high) / 2
    labels = [
        Label("toe edge", (middle, edges[0].points[len(edges[0].points) // 2][1] + 14)),
        Label("heel edge", (middle, edges[1].points[len(edges[1].points) // 2][1] - 14)),
        Label("nose", (high - _BEYOND_BOOTS_MM / 2, 0)),
        Label("tail", (low + _BEYOND_BOOTS_MM / 2, 0)),
    ]
    for gap in (_gap(setups, side, edge) for side in SIDES for edge in EDGES):
        _, boot = overhang_ends(now, now.foot(gap.side), gap.edge)
        sign = 1 if gap.edge == "toe" else -1
        labels.append(Label(_change(gap), (boot[0], sign * (reach + 8))))
    view = View(right=(-1, 0) if leading == "left" else (1, 0), up=(0, 1))
    box = (low - _CUT_MM, -reach - 20, high + 2 * _CUT_MM, reach + 20)
    return Panel(
        "whole", "toe edge up", box, view, (board, *outlines), (*edges, *cuts, *lines), (*holes, *marks), tuple(labels)
    )


def _change(gap: Gap) -> str:
    now = _signed(gap.now_mm)
    was = now if gap.before_mm is None else _signed(gap.before_mm)
    return f"{now} mm" if was == now else f"{was} → {now} mm"


def _signed(value: float) -> str:
    text = number(value)
    return f"+{text}" if value > 0 and text != "0" else text


def _one_foot(setups: list[Setup], side: FootSide, leading: LeadingFoot) -> Panel:
    now = setups[-1]
    outlines, lines, marks = _shapes(setups, (side,))
    half = max(
        abs(x - binding_x_mm(now, now.foot(one)))
        for one in SIDES
        for s in setups
        for x, _ in boot_outline(s, s.foot(one))
    )
    middle = binding_x_mm(now, now.foot(side))
    low, high = middle - half - _MARGIN_MM, middle + half + _MARGIN_MM
    board, edges = _board(now, low, high)
    both = [point for one in SIDES for s in setups for point in boot_outline(s, s.foot(one))]
    reach = _reach(both, edges)
    holes = [Mark("hole", at) for at in row_places(now) if low < at[0] < high]
    view = View(right=(0, 1) if leading == "left" else (0, -1), up=(1, 0))
    title = _foot_title(now.foot(side), setups[0].foot(side), leading)
    return Panel(side, title, (low, -reach, high, reach), view, (board, *outlines), (*edges, *lines), (*holes, *marks))


def _moves(before: Setup, after: Setup) -> tuple[Move, ...]:
    return tuple(move for side in SIDES for move in _foot_moves(before, after, side))


def _foot_moves(before: Setup, after: Setup, side: FootSide) -> list[Move]:
    old, new = before.foot(side), after.foot(side)
    found: list[Move] = []
    along = binding_x_mm(after, new) - binding_x_mm(before, old)
    across = binding_y_mm(after, new) - binding_y_mm(before, old)
    seat = boot_middle_along_mm(after, new) - boot_middle_along_mm(before, old)
    riser = new.riser_mm - old.riser_mm
    if _shows(along):
        found.append(Move(side, f"binding {_size(along)} toward the {'nose' if along > 0 else 'tail'}", (along, 0.0)))
    if _shows(across):
        edge = "toe" if across > 0 else "heel"
        found.append(Move(side, f"binding {_size(across)} toward the {edge} edge", (0.0, across)))
    if _shows(seat):
        end = "toes" if seat > 0 else "heel"
        ux, uy = toes_direction(new.angle_deg)
        found.append(Move(side, f"boot {_size(seat)} toward its {end} on the baseplate", (seat * ux, seat * uy)))
    if _shows(new.angle_deg - old.angle_deg):
        found.append(Move(side, f"angle {_signed(old.angle_deg)}° → {_signed(new.angle_deg)}°"))
    if _shows(riser):
        found.append(Move(side, f"{_size(riser)} {'higher' if riser > 0 else 'lower'} over the board"))
    return found


def _shows(change: float) -> bool:
    return change == change and number(change) != "0"


def _size(change: float) -> str:
    return f"{number(abs(change))} mm"
