"""How wide text is in Helvetica, whose widths Arial and Liberation Sans share: to break lines where a browser would.

Widths in thousandths of the size, from Adobe's metrics of the 14 base fonts (from memory).
"""

from __future__ import annotations

from functools import cache

_WIDTHS = {
    191: "'",
    222: "ijl‘’",
    260: "|",
    278: " !,./:;I[\\]ft·",
    333: "()-`r“”",
    334: "{}",
    355: '"',
    389: "*",
    400: "°",
    469: "^",
    500: "Jckszvxy",
    556: "#$0123456789?L_abdeghnopqu–",
    584: "+<=>~±−",
    611: "FTZ",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQ",
    833: "Mm",
    889: "%",
    944: "W",
    1000: "…→—",
    1015: "@",
}
_OTHER = 1000
_BOLD = 1.08


@cache
def _table() -> dict[str, int]:
    return {sign: width for width, signs in _WIDTHS.items() for sign in signs}


def width_em(words: str, bold: bool = False) -> float:
    """Return how wide a text is, as a share of its size; a sign that is not known counts as a whole em.

    Examples
    --------
    >>> width_em("mm"), width_em("1.5")
    (1.666, 1.39)

    """
    table = _table()
    return round(sum(table.get(sign, _OTHER) for sign in words) / 1000 * (_BOLD if bold else 1), 4)


def lines_of(words: str, most_em: float, bold: bool = False) -> list[str]:
    """Return a text as lines no wider than told; a word that is wider is broken.

    Examples
    --------
    >>> lines_of("the heel edge lets go", 7)
    ['the heel edge', 'lets go']
    >>> lines_of("mmmmm", 2)
    ['mm', 'mm', 'm']

    """
    lines: list[str] = []
    line = ""
    for word in words.split():
        together = f"{line} {word}" if line else word
        if width_em(together, bold) <= most_em:
            line = together
            continue
        if line:
            lines.append(line)
        line = ""
        for sign in word:
            if line and width_em(line + sign, bold) > most_em:
                lines.append(line)
                line = ""
            line += sign
    return [*lines, line] if line else lines
