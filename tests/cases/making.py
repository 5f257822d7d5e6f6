"""Cases to save. Larchfall, its shop and its riders are invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from advisor.cases.record import CaseRecord, new_id

HOSTILE = {
    "sql": "Robert'); DROP TABLE cases;-- \" ' % _ \\",
    "html": "<script>alert(1)</script><img src=x onerror=alert(2)>&amp;<!-- ]]> --></style></svg>",
    "terminal": "\x1b[31mred\x1b]0;title\x07\x1b[2J\x9b31m\r\b",
    "bidi": "abc\u202egnp.exe\u2066\u200f\ufeff\u200b",
    "formula": '=HYPERLINK("http://example.invalid","x")',
    "nul": "a\x00b",
    "half pair": "a\ud800b\udfff",
    "lines": "one\ntwo\r\nthree\u2028four\x85five",
    "long": "ab " * 350_000,
}


def case(alias: str = "Kim 7", number: int = 0, **fields: Any) -> CaseRecord:
    """Return a case of 2026-01-10, `number` minutes after eight."""
    at = f"2026-01-{10 + number // 600:02d}T{8 + number // 60 % 10:02d}:{number % 60:02d}:00.000Z"
    made = CaseRecord(
        id=new_id(),
        alias=alias,
        at=at,
        entry="heel_washout",
        complaint="my heel edge lets go on hard snow",
        board="hire 158 blue",
        sheet={"schema": 1, "rider": {"height_cm": 178}},
        said=("my heel edge lets go on hard snow",),
        answers={"snow": "hard"},
        outcome="advice",
        cause="heel_side_parts_drag",
        suspect="heel_contact",
        knowledge="0123456789abcdef",
    )
    return replace(made, **fields)
