"""How large the letters of a slip may be so that all of it fits one page; one page is A5, and other papers scale it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from advisor.draw.paper import Pen
from advisor.draw.small import small_above, small_sections
from advisor.slip.content import Slip
from advisor.slip.letters import lines_of

PAGE_MM = (132.0, 192.0)
"""What A5 leaves inside margins of 8 mm, and 2 mm in hand."""

ABOVE_SECTIONS_MM = 1.5
_WIDER = 1.09  # how much wider than Helvetica the widest of the common fonts is, drawn smaller as the page has it
_BOLD = 1.08
_LETTERS_MM = (2.9, 2.75, 2.6, 2.45, 2.3, 2.15, 2.0, 1.9)
_PICTURES = (0.92, 0.86, 0.8, 0.74)
_LINE = 1.32
_GAP = 0.55
_READABLE_MM = 2.15
_LONGEST = (1000, 300, 200, 120, 60)


@dataclass(frozen=True, slots=True)
class Fit:
    """The size of the letters [mm on A5], and the width of the pictures as a share of the page."""

    letters_mm: float
    pictures: float


def text_lines(words: str, letters_mm: float, width_mm: float) -> int:
    """Return how many lines a text takes, in a wide font.

    Examples
    --------
    >>> text_lines("a" * 100, 2.5, 132), text_lines("", 2.5, 132)
    (2, 0)

    """
    return _line_count(words, round(width_mm / letters_mm / _WIDER, 2)) if words else 0


@lru_cache(maxsize=4096)
def _line_count(words: str, most_em: float) -> int:
    return len(lines_of(words, most_em))


def pictures(slip: Slip, width_mm: float) -> tuple[str, str, float]:
    """Return both pictures as SVG, empty where there is none, and their height [mm]."""
    above = sections = ""
    height = 0.0
    if slip.above:
        pen = Pen(width_mm)
        small_above(pen, slip.above, slip.units)
        above, height = pen.finish(slip.above.title), pen.down
    if slip.sections:
        pen = Pen(width_mm)
        pen.down = ABOVE_SECTIONS_MM
        small_sections(pen, slip.sections, slip.units)
        sections = pen.finish("In section: board drawn flat, snow tilted")
        height += pen.down
    return above, sections, height


def fitted(slip: Slip) -> tuple[Slip, Fit]:
    """Return a slip with the largest letters and pictures with which it fits; the pictures shrink sooner.

    Texts far longer than the knowledge holds (a case may come from elsewhere) are cut until the page holds them.
    """
    best = _best(slip, 1)
    if best and best[1].letters_mm >= _READABLE_MM:
        return best
    # Words come before the second picture, and whole sentences before both.
    bare = replace(slip, sections=())
    return _best(bare, len(_LONGEST)) or (bare.cut(_LONGEST[-1]), Fit(_LETTERS_MM[-1], _PICTURES[-1]))


def _best(slip: Slip, cuts: int) -> tuple[Slip, Fit] | None:
    heights = {share: pictures(slip, share * PAGE_MM[0])[2] for share in _PICTURES}
    tries = sorted(
        (Fit(letters, share) for letters in _LETTERS_MM for share in _PICTURES),
        key=lambda one: 1.5 * _LETTERS_MM.index(one.letters_mm) + _PICTURES.index(one.pictures),
    )
    for longest in _LONGEST[:cuts]:
        shorter = slip.cut(longest)
        for one in tries:
            if heights[one.pictures] + text_height_mm(shorter, one.letters_mm) <= PAGE_MM[1]:
                return shorter, one
    return None


def text_height_mm(slip: Slip, letters_mm: float) -> float:
    """Return about how tall all the text is [mm]."""
    width = PAGE_MM[0]
    lines = 1.5 + text_lines(slip.complaint, letters_mm, width)
    lines += 1.35 * text_lines(slip.title, 1.25 * _BOLD * letters_mm, width) + text_lines(
        slip.because, letters_mm, width
    )
    blocks = 4
    lines += 1.2 + sum(
        text_lines(check.words, letters_mm * (_BOLD if check.main else 1), width - 3 * letters_mm)
        for check in slip.checks
    )
    lines += 0.35 * len(slip.checks)
    for words in (slip.earlier, slip.told, slip.costs):
        lines += text_lines(words, letters_mm, width)
    # Feel, come back and cautions stand in two columns.
    half = width / 2 - 4
    left = (1.2 + text_lines(slip.feel, letters_mm, half)) if slip.feel else 0
    left += (
        (1.4 + sum(text_lines(one, letters_mm, half - 1.2 * letters_mm) for one in slip.come_back))
        if slip.come_back
        else 0
    )
    right = (
        (1.2 + sum(text_lines(one, letters_mm, half - 1.2 * letters_mm) for one in slip.cautions))
        if slip.cautions
        else 0
    )
    lines += max(left, right)
    lines += 2.6
    return (lines * _LINE + blocks * _GAP) * letters_mm
