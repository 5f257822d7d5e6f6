"""The hire desk's labels: one page to print, two labels side by side, black on white, nothing fetched from anywhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from math import isnan
from typing import Any

from advisor.intake.hire_list import FILE
from advisor.intake.hire_settings import HireSettings
from advisor.knowledge.tables import load_table

_STYLE = """
@page { size: auto; margin: 8mm }
body { font: 10.5pt/1.3 system-ui, sans-serif; color: #000; background: #fff; margin: 0 auto; max-width: 194mm }
main { display: grid; grid-template-columns: repeat(auto-fill, minmax(88mm, 1fr)); gap: 4mm }
article { border: 0.4mm solid #000; border-radius: 2mm; padding: 3mm 4mm; break-inside: avoid }
h2 { font-size: 14pt; margin: 0 0 1mm; overflow-wrap: anywhere }
p { margin: 0 } .angles { font-size: 15pt; font-weight: 700 } .doubt { border-left: 1mm solid #000; padding-left: 2mm }
.small { font-size: 8.5pt; margin-top: 1.5mm }
"""


def label_lines(one: HireSettings) -> tuple[str, ...]:
    """Return a label's lines in words: angles first."""
    words = load_table(FILE)["label"]
    fields: dict[str, Any] = {
        "front": _degrees(one.front_deg),
        "back": _degrees(one.back_deg),
        "width": f"{one.width_mm:.0f} mm",
        "spread": f"{one.width_spread_mm:.0f}",
    }
    lines = [words["angles"].format(**fields), words["width"].format(**fields)]
    lines.append(words["rows_unknown"] if one.rows is None else words["rows"].format(rows=_signed(one.rows)))
    fields.update(front=_plain_degrees(one.lean_front_deg), back=_plain_degrees(one.lean_back_deg))
    lines.append(words["lean"].format(**fields))
    lines.append(words["sole"].format(sole=f"{one.sole_mm:.0f} mm", spread=f"{one.sole_spread_mm:.0f}"))
    low, high, least, most = (_whole(end) for end in (*one.board_cm, *one.waist_mm))
    board = words["board"].format(low=low, high=high, least=least, most=f"{most} mm")
    lines.append(f"{one.board} ({board})" if one.board else board)
    return tuple(lines)


def _degrees(value: float) -> str:
    return "?" if isnan(value) else f"{value:+.0f}°" if value else "0°"


def _plain_degrees(value: float) -> str:
    return "?" if isnan(value) else f"{value:.0f}°"


def _signed(rows: int) -> str:
    return "0" if rows == 0 else f"{abs(rows)} {'outward' if rows > 0 else 'inward'}"


def _whole(value: float) -> str:
    return "?" if isnan(value) else f"{value:.0f}"


def labels_page(settings: Sequence[HireSettings]) -> Iterator[str]:
    """Yield the page of labels, piece by piece."""
    table = load_table(FILE)
    title = escape(str(table["title"]))
    yield f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
    yield f'<meta name="viewport" content="width=device-width"><style>{_STYLE}</style></head><body><main>\n'
    for one in settings:
        yield _label(one, str(table["label"]["centre"]), str(table["caution"]))
    yield "</main></body></html>\n"


def _label(one: HireSettings, centre: str, caution: str) -> str:
    sheet = one.rider.sheet
    leads = sheet.value("rider.leading_foot")
    style = str(sheet.value("rider.style")).replace("_", " ")
    told = [f"{sheet.value('rider.height_cm'):g} cm", str(sheet.value("boots.size") or ""), style]
    told.append({"left": "regular", "right": "goofy"}.get(str(leads), "regular or goofy?"))
    angles, *rest = label_lines(one)
    lines = "".join(f"<p>{escape(line)}</p>" for line in rest)
    doubts = "".join(f'<p class="doubt">{escape(doubt)}</p>' for doubt in one.doubts)
    return (
        f"<article><h2>{escape(one.rider.name)}</h2><p>{escape(', '.join(word for word in told if word))}</p>"
        f'<p class="angles">{escape(angles)}</p>{lines}{doubts}'
        f'<p class="small">{escape(centre)} {escape(caution)}</p></article>\n'
    )
