"""SVG elements on paper, in mm, with text made safe."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.draw.scene import Anchor, Point
from advisor.plain_text import clean

_LONGEST = 1000


def escaped(text: str) -> str:
    """Return outside text as XML text: control characters gone, markup signs escaped.

    Examples
    --------
    >>> escaped('<b>"5 & 6"')
    '&lt;b&gt;&quot;5 &amp; 6&quot;'

    """
    text = clean(text, _LONGEST)
    for sign, name in (("&", "&amp;"), ("<", "&lt;"), (">", "&gt;"), ('"', "&quot;")):
        text = text.replace(sign, name)
    return text


class Pen:
    """Collects SVG elements; `down` is how far the drawing has come down the paper [mm]."""

    def __init__(self, width_mm: float) -> None:
        self.width_mm = width_mm
        self.down = 0.0
        self._parts: list[str] = []

    def finish(self, title: str) -> str:
        """Return the whole drawing."""
        size = f'width="{self.width_mm:g}mm" height="{self.down:.2f}mm" viewBox="0 0 {self.width_mm:g} {self.down:.2f}"'
        fonts = 'font-family="Arial, Helvetica, DejaVu Sans, sans-serif"'
        head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" {fonts}>'
        return "\n".join([head, f"<title>{escaped(title)}</title>", *self._parts, "</svg>"]) + "\n"

    @property
    def parts(self) -> tuple[str, ...]:
        """Return the elements drawn so far, for a page that holds several drawings."""
        return tuple(self._parts)

    def text(
        self, words: str, at: Point, size_mm: float, anchor: Anchor = "start", weight: str = "", long_mm: float = 0.0
    ) -> None:
        """Write words at a point; with `long_mm` they are drawn that long in whatever font there is."""
        style: dict[str, str | float] = {"font_size": size_mm, "text_anchor": anchor, "font_weight": weight}
        if long_mm:
            style |= {"textLength": long_mm, "lengthAdjust": "spacingAndGlyphs"}
        self._add("text", escaped(words), x=at[0], y=at[1], **style)

    def shape(self, points: Sequence[Point], **style: str | float) -> None:
        """Draw a closed shape."""
        self._add("polygon", "", points=_points(points), **style)

    def line(self, points: Sequence[Point], **style: str | float) -> None:
        """Draw an open line."""
        self._add("polyline", "", points=_points(points), fill="none", **style)

    def circle(self, at: Point, radius_mm: float, **style: str | float) -> None:
        """Draw a circle."""
        self._add("circle", "", cx=at[0], cy=at[1], r=radius_mm, **style)

    def box(self, left: float, top: float, width: float, height: float, **style: str | float) -> None:
        """Draw a rectangle."""
        self._add("rect", "", x=left, y=top, width=max(0.0, width), height=height, **style)

    def _add(self, name: str, inside: str, **attributes: str | float) -> None:
        written = "".join(
            f' {key.replace("_", "-")}="{value if isinstance(value, str) else f"{value:.2f}"}"'
            for key, value in attributes.items()
            if value != ""
        )
        self._parts.append(f"<{name}{written}>{inside}</{name}>" if inside else f"<{name}{written}/>")


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
