"""A scene as SVG: greys alone, text that can be selected, sizes in mm of paper."""

from __future__ import annotations

import textwrap

from advisor.draw.paper import Pen
from advisor.draw.scene import Fall, Gap, Mark, Panel, Point, Scene, arrow
from advisor.geometry.workings import number

_A5_TEXT_MM = 128.0
_LEAST_MM = 100.0
_TEXT_MM = 3.0
_SMALL_MM = 2.6
_EMS = 0.53  # mean width of a letter over its size, sans serif
_LINE_MM = 4.4
_NAME_MM = 22.5
_NUMBER_MM = 13.5
_BAR_MM = 2.4
_INSIDE_MM = 3.0
_BAR_SCALES = (1, 2, 5, 10, 20)
_TILT_MM = 27.0


def render(scene: Scene, width_mm: float = _A5_TEXT_MM) -> str:
    """Draw a scene as SVG text.

    Parameters
    ----------
    scene
        From `from_above` or `in_section`.
    width_mm
        Width on paper [mm]; under 100 counts as 100. 128 fits an A5 page with margins.

    Returns
    -------
    str
        One `svg` element; its `viewBox` is in mm of paper.

    """
    pen = Pen(max(width_mm, _LEAST_MM))
    if scene.needs:
        _words(pen, scene.not_drawn)
    elif scene.fall:
        _section(pen, scene, scene.fall)
    else:
        _above(pen, scene)
    return pen.finish(scene.title)


def _words(pen: Pen, text: str) -> None:
    """Write a paragraph at the pen's height and move below it."""
    for line in textwrap.wrap(text, max(20, int(pen.width_mm / (_TEXT_MM * _EMS)))):
        pen.down += _LINE_MM
        pen.text(line, (0.5, pen.down - 1.2), _TEXT_MM)


class Laid:
    """A panel laid on the paper: from the panel's frame to mm of paper."""

    def __init__(self, panel: Panel, scale: float, left_mm: float, top_mm: float) -> None:
        self._panel, self.scale = panel, scale
        left, bottom, right, top = panel.page_box
        self._left, self._top = left, top
        self._x0, self._y0 = left_mm, top_mm
        self.width_mm, self.height_mm = (right - left) * scale, (top - bottom) * scale

    def at(self, point: Point) -> Point:
        """Return where a point of the panel's frame lies on the paper."""
        right, up = self._panel.view.page(point)
        return (self._x0 + (right - self._left) * self.scale, self._y0 + (self._top - up) * self.scale)

    def all(self, points: tuple[Point, ...]) -> list[Point]:
        """Return where points lie on the paper."""
        return [self.at(point) for point in points]


def _above(pen: Pen, scene: Scene) -> None:
    panel = scene.panel("whole")
    left, _, right, _ = panel.page_box
    scale = pen.width_mm / (right - left)
    _words(pen, f"{scene.title}, {panel.title}")
    sheet = Laid(panel, scale, 0.0, pen.down)
    paint_boards_and_boots(pen, panel, sheet)
    for mark in panel.marks:
        paint_mark(pen, mark, sheet)
    for label in panel.labels:
        x, y = sheet.at(label.at)
        half = len(label.text) * _SMALL_MM * _EMS / 2 + 0.2
        x = max(half, min(x, pen.width_mm - half))
        pen.text(label.text, (x, y + _SMALL_MM / 3), _SMALL_MM, "middle")
    pen.down += sheet.height_mm
    _scale_bar(pen, scale, scene.compared)
    _bars(pen, scene)
    stance = scene.stances
    widths = " → ".join(dict.fromkeys(f"{number(s.width_mm)} mm" for s in stance))
    setbacks = " → ".join(dict.fromkeys(f"{number(s.setback_mm)} mm" for s in stance))
    _words(pen, f"Stance {widths}, setback {setbacks}.")
    if scene.compared and not scene.moves:
        _words(pen, "Nothing moved.")
    for move in scene.moves:
        _words(pen, f"{move.side.capitalize()} {move.words}{arrow(panel.view, move.way)}")


def paint_boards_and_boots(pen: Pen, panel: Panel, sheet: Laid) -> None:
    """Paint the boots dark, the board over them, then the boots as glass: what stays dark hangs over."""
    boots = [o for o in panel.outlines if o.kind == "boot"]
    for boot in boots:
        if not boot.earlier:
            pen.shape(sheet.all(boot.points), fill="#444")
    for board in (o for o in panel.outlines if o.kind == "board"):
        pen.shape(sheet.all(board.points), fill="#fff")
    for boot in boots:
        if not boot.earlier:
            pen.shape(sheet.all(boot.points), fill="#000", fill_opacity=0.1, stroke="#000", stroke_width=0.3)
    for boot in boots:
        if boot.earlier:
            pen.shape(sheet.all(boot.points), fill="none", stroke="#000", stroke_width=0.25, stroke_dasharray="1 0.8")
    strokes = {"edge": ("#000", 0.5, ""), "cut": ("#777", 0.25, ""), "ramp": ("#555", 0.2, "0.4 0.4"),
               "foot": ("#777", 0.15, "2 0.6 0.4 0.6")}  # fmt: skip
    for line in panel.lines:
        if line.kind in strokes and not line.earlier:
            stroke, width, dashes = strokes[line.kind]
            pen.line(sheet.all(line.points), stroke=stroke, stroke_width=width, stroke_dasharray=dashes)


def paint_mark(pen: Pen, mark: Mark, sheet: Laid, mirrored: bool = False) -> None:
    """Paint a small sign; with `mirrored` its name runs to the right of it."""
    x, y = sheet.at(mark.at)
    if mark.kind == "hole":
        pen.circle((x, y), 0.45, fill="none", stroke="#555", stroke_width=0.2)
    elif mark.kind == "centre":
        arm, grey = 1.4, "#888" if mark.earlier else "#000"
        pen.line([(x - arm, y), (x + arm, y)], stroke=grey, stroke_width=0.35)
        pen.line([(x, y - arm), (x, y + arm)], stroke=grey, stroke_width=0.35)
    elif mark.kind in {"first", "part"}:
        fill = "#000" if mark.kind == "first" else "#fff"
        pen.circle((x, y), 0.9, fill=fill, stroke="#000", stroke_width=0.25)
        inward = 1.8 if mirrored else -1.8
        pen.text(mark.name, (x + inward, y - 1), _SMALL_MM, "start" if mirrored else "end")


def _scale_bar(pen: Pen, scale: float, compared: bool) -> None:
    pen.down += _LINE_MM
    length = 100 * scale
    y = pen.down - 2
    pen.line([(0.5, y - 1), (0.5, y), (0.5 + length, y), (0.5 + length, y - 1)], stroke="#000", stroke_width=0.25)
    pen.text(f"100 mm; scale 1 : {number(1 / scale)}", (length + 2.5, y), _SMALL_MM)
    words = "dark: hangs over" + ("; dashed: before" if compared else "")
    pen.text(words, (pen.width_mm - 0.5, y), _SMALL_MM, "end")


def _bars(pen: Pen, scene: Scene) -> None:
    half = pen.width_mm / 2
    values = [v for gap in scene.gaps for v in (gap.now_mm, gap.before_mm) if v is not None]
    inside = max(_INSIDE_MM, -min(values) + 2)
    room = half - _NAME_MM - _NUMBER_MM
    shrink = next((one for one in _BAR_SCALES if (inside + max(0.0, *values)) / one <= room), _BAR_SCALES[-1])
    pen.down += 1
    _words(pen, "Overhang, true size" if shrink == 1 else f"Overhang, 1 : {shrink}")
    top = pen.down
    for column, side in enumerate(("front", "back")):
        pen.down = top
        for gap in (one for one in scene.gaps if one.side == side):
            if gap.before_mm is not None:
                _bar(pen, gap, gap.before_mm, "before", column * half, inside / shrink, shrink)
            _bar(pen, gap, gap.now_mm, "" if gap.before_mm is None else "after", column * half, inside / shrink, shrink)
    pen.down += 1


def _bar(pen: Pen, gap: Gap, value: float, when: str, left: float, inside: float, shrink: int) -> None:
    pen.down += _LINE_MM
    y = pen.down - 1.2
    edge, start = left + _NAME_MM + inside, left + _NAME_MM
    end = max(start, min(edge + value / shrink, left + pen.width_mm / 2 - _NUMBER_MM))
    pen.text(f"{gap.side} {gap.edge} {when}".rstrip(), (left + 0.5, y), _SMALL_MM)
    pen.box(start, y - _BAR_MM + 0.2, min(edge, end) - start, _BAR_MM, fill="#ddd")
    if end > edge:
        pen.box(edge, y - _BAR_MM + 0.2, end - edge, _BAR_MM, fill="#999" if when == "before" else "#444")
    pen.line([(edge, y - 3), (edge, y + 0.8)], stroke="#000", stroke_width=0.5)
    pen.text(f"{value:+.1f} mm", (left + pen.width_mm / 2 - 1, y), _SMALL_MM, "end")


def _section(pen: Pen, scene: Scene, fall: Fall) -> None:
    panel = scene.panel("section")
    left, _, right, _ = panel.page_box
    scale = (pen.width_mm - _TILT_MM - 1) / (right - left)
    _words(pen, f"{scene.title}. Board drawn flat, snow tilted.")
    pen.down += 2 * _LINE_MM
    mirrored = panel.view.right[0] < 0
    sheet = Laid(panel, scale, _TILT_MM if mirrored else 0.5, pen.down)
    greys = {"sole": "#f2f2f2", "part": "#ccc", "board": "#888"}
    for kind, grey in greys.items():
        for outline in (o for o in panel.outlines if o.kind == kind):
            pen.shape(sheet.all(outline.points), fill=grey, stroke="#000", stroke_width=0.25)
    strokes = {"contact": (0.5, ""), "needed": (0.5, "1.6 1"), "base": (0.2, "0.6 0.6"), "angle": (0.25, "")}
    for line in panel.lines:
        width, dashes = strokes[line.kind]
        pen.line(sheet.all(line.points), stroke="#000", stroke_width=width, stroke_dasharray=dashes)
    for mark in panel.marks:
        paint_mark(pen, mark, sheet, mirrored)
    _tilts(pen, panel, sheet, mirrored)
    pen.down += sheet.height_mm
    _scale_bar_section(pen, scale)
    for sentence in fall.sentences():
        _words(pen, sentence)


def _scale_bar_section(pen: Pen, scale: float) -> None:
    pen.down += 1.2 * _LINE_MM
    y = pen.down - 2
    pen.line(
        [(0.5, y - 1), (0.5, y), (0.5 + 20 * scale, y), (0.5 + 20 * scale, y - 1)], stroke="#000", stroke_width=0.25
    )
    pen.text(f"20 mm; scale {number(scale, 2)} : 1", (20 * scale + 2.5, y), _SMALL_MM)
    _words(pen, "Solid line: the snow at contact. Dashed: at the needed tilt.")


def _tilts(pen: Pen, panel: Panel, sheet: Laid, mirrored: bool) -> None:
    """Write each tilt at the upper end of its snow line: above an end at the top, beside one at the side."""
    taken: list[Point] = []
    for label in panel.labels:
        x, y = sheet.at(label.at)
        at_top = label.at[1] > panel.box[3] - 1
        spot = (x, y - 1.5) if at_top else (x + (-1.0 if mirrored else 1.0), y + 1)
        while any(abs(spot[0] - other[0]) < _TILT_MM and abs(spot[1] - other[1]) < _TEXT_MM for other in taken):
            spot = (spot[0], spot[1] - _LINE_MM)
        taken.append(spot)
        pen.text(label.text, spot, _TEXT_MM, "middle" if at_top else ("end" if mirrored else "start"))
