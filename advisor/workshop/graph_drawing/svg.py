"""The graph of one entry as an SVG picture: layers from left to right, shapes and words by kind, no colour needed."""

from __future__ import annotations

import textwrap
from xml.sax.saxutils import escape, quoteattr

from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import CLEARED, Entry
from advisor.workshop.graph_drawing.labels import kind_of, label, links
from advisor.workshop.graph_drawing.layout import layers

_WIDTH, _GAP_X, _GAP_Y, _LINE, _PAD, _MARGIN = 210, 150, 18, 15, 8, 20
_CHARACTERS, _MOST_LINES = 32, 4
_ROUND = {
    "check": 0,
    "ask": 14,
    "look": 14,
    "cause": 4,
    "aim": 4,
    "do": 4,
    "mount": 4,
    "tell": 4,
    "refer": 4,
    "jump": 0,
}
_DASHED = {"jump": "4 3"}
_STYLE = (
    "text{font:12px sans-serif;fill:#111}.k{font-weight:bold}"
    ".c{font-size:10px;fill:#333;paint-order:stroke;stroke:#fff;stroke-width:3px}"
    ".n{fill:#fff;stroke:#333}.cause{stroke-width:3}.e{fill:none;stroke:#777}"
)


def as_svg(knowledge: Knowledge, entry: Entry) -> str:
    """Return an entry's graph as SVG text.

    Parameters
    ----------
    knowledge
        For the words.
    entry
        With its parts, and without circles.

    """
    laid = layers(entry)
    texts = {name: _lines(knowledge, entry, name) for name in entry.nodes}
    boxes: dict[str, tuple[float, float, float]] = {}
    tallest = 0.0
    for level, row in enumerate(laid.rows):
        y = float(_MARGIN + 2 * _LINE)
        for name in row:
            height = len(texts[name]) * _LINE + 2 * _PAD
            boxes[name] = (_MARGIN + level * (_WIDTH + _GAP_X), y, height)
            y += height + _GAP_Y
        tallest = max(tallest, y)
    width = 2 * _MARGIN + len(laid.rows) * (_WIDTH + _GAP_X) - _GAP_X
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {tallest:g}" role="img" '
        f"aria-label={quoteattr(entry.title)}>",
        f"<title>{escape(entry.title)}</title><style>{_STYLE}</style>",
        '<defs><marker id="a" viewBox="0 0 8 8" refX="8" refY="4" markerWidth="7" markerHeight="7" orient="auto">'
        '<path d="M0 0L8 4L0 8z" fill="#777"/></marker></defs>',
        f'<text class="k" x="{_MARGIN}" y="{_MARGIN}">{escape(entry.title)} ({escape(entry.id)})</text>',
    ]
    edges, words = [], []
    for name in entry.nodes:
        for link in links(knowledge, entry, name):
            if link.to != CLEARED:
                edge, word = _edge(boxes[name], boxes[link.to], link.words)
                edges.append(edge)
                words.append(word)
    parts += edges
    parts += [_box(entry, name, boxes[name], texts[name]) for name in entry.nodes]
    parts += [word for word in words if word]
    return "\n".join([*parts, "</svg>\n"])


def _lines(knowledge: Knowledge, entry: Entry, name: str) -> list[str]:
    node = entry.nodes[name]
    lines = textwrap.wrap(label(knowledge, node), _CHARACTERS)
    if len(lines) > _MOST_LINES:
        lines = [*lines[: _MOST_LINES - 1], f"{lines[_MOST_LINES - 1][: _CHARACTERS - 2]} …"]
    suspect = next((s for s in entry.suspects if s.start == name), None)
    odds = f", suspect {suspect.odds:.0%}" if suspect else ", nothing left" if name == entry.nothing_left else ""
    cleared = [link.words for link in links(knowledge, entry, name) if link.to == CLEARED]
    more = textwrap.wrap(f"cleared: {'; '.join(cleared)}", _CHARACTERS) if cleared else []
    return [f"{kind_of(node)}{odds}", *lines, *more[:2]]


def _box(entry: Entry, name: str, box: tuple[float, float, float], lines: list[str]) -> str:
    x, y, height = box
    kind = kind_of(entry.nodes[name])
    dashes = f' stroke-dasharray="{_DASHED[kind]}"' if kind in _DASHED else ""
    told = "".join(
        f'<text class="{"k" if number == 0 else "t"}" x="{x + _PAD:g}" y="{y + _PAD + (number + 0.8) * _LINE:g}">'
        f"{escape(line)}</text>"
        for number, line in enumerate(lines)
    )
    return (
        f"<g><title>{escape(name)}</title>"
        f'<rect class="n {kind}" x="{x:g}" y="{y:g}" width="{_WIDTH}" height="{height:g}" rx="{_ROUND[kind]}"{dashes}/>'
        f"{told}</g>"
    )


def _edge(start: tuple[float, float, float], end: tuple[float, float, float], words: str) -> tuple[str, str]:
    """Return a curve from one box to another, and its condition beside its end."""
    x1, y1 = start[0] + _WIDTH, start[1] + start[2] / 2
    x2, y2 = end[0], end[1] + end[2] / 2
    bend = _GAP_X / 2
    curve = f"M{x1:g} {y1:g}C{x1 + bend:g} {y1:g} {x2 - bend:g} {y2:g} {x2:g} {y2:g}"
    path = f'<path class="e" d="{curve}" marker-end="url(#a)"/>'
    if not words:
        return path, ""
    short = words if len(words) <= 26 else f"{words[:25]}…"
    told = f"<title>{escape(words)}</title>{escape(short)}"
    return path, f'<text class="c" text-anchor="end" x="{x2 - 12:g}" y="{y2 - 4:g}">{told}</text>'
