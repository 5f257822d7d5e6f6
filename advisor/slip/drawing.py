"""The slip as one SVG page of A5."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.draw.paper import Pen, escaped
from advisor.draw.small import small_above, small_sections
from advisor.slip.content import Slip
from advisor.slip.fitting import ABOVE_SECTIONS_MM, PAGE_MM, fitted
from advisor.slip.inputs import inputs_json
from advisor.slip.letters import lines_of, width_em
from advisor.slip.page import footer

_MARGIN_MM = 8.0
_PAPER_MM = (148.0, 210.0)
_LINE = 1.3


@dataclass(frozen=True, slots=True)
class _Column:
    left: float
    width: float


def drawing(slip: Slip) -> str:
    """Return a slip as SVG text, 148 by 210 mm, with its inputs in its metadata."""
    slip, size = fitted(slip)
    writer = _Writer(Pen(PAGE_MM[0]), size.letters_mm)
    whole = _Column(0.0, PAGE_MM[0])
    writer.head(slip)
    writer.paragraph(f"“{slip.complaint}”" if slip.complaint else "", whole)
    writer.paragraph(slip.title, whole, larger=1.25, bold=True)
    writer.paragraph(slip.because, whole)
    writer.paragraph(slip.earlier, whole)
    pictures = _pictures(slip, size.pictures * PAGE_MM[0])
    left = (1 - size.pictures) / 2 * PAGE_MM[0]
    top = writer.pen.down + 1
    writer.pen.down = top + pictures.down + 1
    writer.paragraph(slip.does, whole, bold=True)
    writer.checks(slip, whole)
    writer.paragraph(slip.told, whole)
    writer.paragraph(slip.costs, whole)
    writer.two_columns(slip)
    writer.paragraph(footer(slip), whole, larger=0.85)
    return _page(slip, writer.pen, pictures, left, top)


def _pictures(slip: Slip, width_mm: float) -> Pen:
    pen = Pen(width_mm)
    if slip.above:
        small_above(pen, slip.above, slip.units)
    if slip.sections:
        pen.down += ABOVE_SECTIONS_MM
        small_sections(pen, slip.sections, slip.units)
    return pen


def _page(slip: Slip, text: Pen, pictures: Pen, left: float, top: float) -> str:
    width, height = _PAPER_MM
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
            f'viewBox="0 0 {width:g} {height:g}" role="img" font-family="Arial, Helvetica, DejaVu Sans, sans-serif">',
            f"<title>Slip {escaped(slip.number)}</title>",
            f'<metadata id="advisor-slip">{inputs_json(slip.record)}</metadata>',
            f'<rect width="{width:g}" height="{height:g}" fill="#fff"/>',
            f'<g transform="translate({_MARGIN_MM:g} {_MARGIN_MM:g})">',
            *text.parts,
            f'<g transform="translate({left:.2f} {top:.2f})">',
            *pictures.parts,
            "</g>",
            "</g>",
            "</svg>\n",
        ]
    )


class _Writer:
    """Writes paragraphs down the page."""

    def __init__(self, pen: Pen, letters_mm: float) -> None:
        self.pen = pen
        self.size = letters_mm

    def head(self, slip: Slip) -> None:
        """Write alias, date and number on one line."""
        self.pen.down += self.size * _LINE
        width, y = self.pen.width_mm, self.pen.down - 0.8
        shown, *more = lines_of(slip.alias, width * 0.42 / self.size, bold=True) or [""]
        shown = f"{shown}…" if more else shown
        self.pen.text(shown, (0, y), self.size, weight="bold")
        self.pen.text(slip.date, (width * 0.62, y), self.size, "middle")
        self.pen.text(f"case {slip.number}", (width, y), self.size, "end")
        self.pen.line([(0, y + 0.9), (width, y + 0.9)], stroke="#000", stroke_width=0.3)
        self.pen.down += 0.8

    def paragraph(self, words: str, column: _Column, *, larger: float = 1.0, bold: bool = False) -> None:
        """Write a paragraph and move below it."""
        size = self.size * larger
        for line in lines_of(words, column.width / size, bold):
            self.pen.down += size * _LINE
            at = (column.left, self.pen.down - 0.3 * size)
            self.pen.text(line, at, size, weight="bold" if bold else "", long_mm=width_em(line, bold) * size)
        if words:
            self.pen.down += 0.25 * size

    def checks(self, slip: Slip, column: _Column) -> None:
        """Write the checklist with its boxes."""
        indent = 1.6 * self.size
        for check in slip.checks:
            top = self.pen.down + 0.35 * self.size
            box = 0.8 * self.size
            self.pen.box(column.left + 0.3, top, box, box, fill="none", stroke="#000", stroke_width=0.25)
            self.paragraph(check.words, _Column(column.left + indent, column.width - indent), bold=check.main)
        self.pen.down += 0.3 * self.size if slip.checks else 0

    def two_columns(self, slip: Slip) -> None:
        """Write what to feel for and when to come back beside what to mind."""
        half = self.pen.width_mm / 2 - 2
        top = self.pen.down
        left = _Column(0.0, half if slip.cautions else self.pen.width_mm)
        if slip.feel:
            self.paragraph("On the next run", left, bold=True)
            self.paragraph(slip.feel, left)
        self._points("Come back", slip.come_back, left)
        bottom = self.pen.down
        if slip.feel or slip.come_back:
            self.pen.down = top
            self._points("Mind", slip.cautions, _Column(half + 4, half))
        else:
            self._points("Mind", slip.cautions, _Column(0.0, self.pen.width_mm))
        self.pen.down = max(bottom, self.pen.down)

    def _points(self, heading: str, items: tuple[str, ...], column: _Column) -> None:
        if items:
            self.paragraph(heading, column, bold=True)
        for item in items:
            dot = self.pen.down + 0.75 * self.size
            self.pen.circle((column.left + 0.8, dot), 0.16 * self.size, fill="#000")
            self.paragraph(item, _Column(column.left + 2.4, column.width - 2.4))
