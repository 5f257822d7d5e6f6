"""Make text from outside fit to show: no control characters, no tricks with reading direction, not too long."""

from __future__ import annotations

import unicodedata

_LONGEST = 60


def clean(text: str, longest: int = _LONGEST) -> str:
    """Return `text` without control and format characters, on one line, cut to `longest` characters.

    Examples
    --------
    >>> clean("waist\\x1b[31m_width")
    'waist[31m_width'
    >>> clean("a\\nb")
    'a b'

    """
    kept: list[str] = []
    for char in text:
        if char in "\t\r\n\u2028\u2029":
            kept.append(" ")
        elif not unicodedata.category(char).startswith("C"):
            kept.append(char)
        if len(kept) > longest:
            return "".join(kept[: longest - 1]) + "…"
    return "".join(kept)
