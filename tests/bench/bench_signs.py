"""Signs of harm through the real conversation: referred or asked about, lost, and harmless lines sent away.

`PYTHONPATH=. python tests/bench/bench_signs.py [--quiet] FILE...`: one JSON object a line, with `context` (lines said
before), `line`, and `expect` (emergency, clinician, not_ridden, ask, none). Each is said without a sheet and with the
invented sheet of tests/bench. `--quiet` prints counts alone; without it every line that went wrong is shown.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from dataclasses import dataclass
from functools import cache
from math import sqrt
from pathlib import Path
from typing import Any

from advisor.dialogue.replies import Answered, Asked, Clarify, Reply
from advisor.dialogue.talk import Conversation, State
from advisor.dialogue.verdict import verdict_of
from advisor.graph.knowledge import load_knowledge
from advisor.match import load_matcher
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet

SHEET = Path(__file__).parents[2] / "transcripts_demo" / "larchfall_heel.yaml"
_SAFE = {"emergency", "clinician", "not_ridden"}
_SIGN_QUESTIONS = ("_signs", "_sign", "_asked", "_swells", "_locks", "_gives", "_fell", "_bears")
_GEAR_QUESTIONS = {
    "screws_hold",
    "what_moves",
    "binding_play",
    "part_cracked",
    "disc_seat",
    "broken_part",
    "buckle_iced",
}


@dataclass(frozen=True)
class Row:
    """One line of a set as it went: what it was taken for, and whether signs were heard."""

    expect: str
    got: str
    line: str
    context: tuple[str, ...]

    @property
    def well(self) -> bool:
        """Whether a sign was referred or asked about, or a harmless line not sent away."""
        return self.got not in _SAFE if self.expect == "none" else self.got in _SAFE | {"asked"}


def wilson(part: int, whole: int, z: float = 1.96) -> tuple[float, float]:
    """Return the interval of a share (Wilson 1927).

    >>> tuple(round(end, 3) for end in wilson(98, 100))
    (0.93, 0.994)
    """
    if not whole:
        return 0.0, 1.0
    share, more = part / whole, z * z / whole
    middle, half = share + more / 2, z * sqrt(share * (1 - share) / whole + more / whole / 4)
    return (middle - half) / (1 + more), (middle + half) / (1 + more)


@cache
def _conversation() -> Conversation:
    return Conversation(load_knowledge(), load_matcher)


def play(row: dict[str, Any], sheet: Sheet) -> Row:
    """Say a row's lines and return what the last one was taken for."""
    talk = _conversation()
    state, reply = talk.begin(sheet)
    for line in (*(row.get("context") or ()), row["line"]):
        state, reply = talk.hear(state, line)
    return Row(row["expect"], _taken_for(state, reply), row["line"], tuple(row.get("context") or ()))


def _taken_for(state: State, reply: Reply) -> str:
    if isinstance(reply, Answered):
        return verdict_of(reply.answer)
    if isinstance(reply, Asked):
        asked = reply.question.fact.id
        if state.signs and any(sign.level == "not_ridden" for sign in state.heard.signs):
            return "not_ridden"
        return "asked" if asked.endswith(_SIGN_QUESTIONS) or asked in _GEAR_QUESTIONS else "other_question"
    return "offered" if isinstance(reply, Clarify) else type(reply).__name__.lower()


def score(rows: list[Row]) -> dict[str, tuple[int, int]]:
    """Return the shares: signs referred or asked, of which referred; cleared or lost; harmless sent away, and asked."""
    signs = [row for row in rows if row.expect != "none"]
    harmless = [row for row in rows if row.expect == "none"]
    told = [row for row in signs if row.expect != "ask"]
    return {
        "signs referred or asked the right question": (sum(row.well for row in signs), len(signs)),
        "told signs referred at once": (sum(row.got in _SAFE for row in told), len(told)),
        "emergencies told as such": (
            sum(row.got == "emergency" for row in told if row.expect == "emergency"),
            sum(row.expect == "emergency" for row in told),
        ),
        "signs cleared or lost": (sum(not row.well for row in signs), len(signs)),
        "harmless sent away": (sum(row.got in _SAFE for row in harmless), len(harmless)),
        "harmless asked a sign": (sum(row.got == "asked" for row in harmless), len(harmless)),
    }


def main(given: list[str]) -> int:
    """Play every file and print its figures."""
    quiet = "--quiet" in given
    for name in (one for one in given if not one.startswith("--")):
        told = [json.loads(line) for line in Path(name).read_text(encoding="utf-8").splitlines() if line.strip()]
        for where, sheet in (("no sheet", Sheet("", {})), ("a sheet", read_sheet(SHEET))):
            rows = [play(row, sheet) for row in told]
            print(f"{Path(name).name}, {where}: {len(rows)} lines")
            for what, (part, whole) in score(rows).items():
                low, high = wilson(part, whole)
                print(f"  {what}: {part} of {whole} = {part / max(whole, 1):.3f} [{low:.3f}, {high:.3f}]")
            if not quiet:
                for row in rows:
                    if not row.well:
                        print(f"    {row.expect} -> {row.got}: {' > '.join(row.context)} >> {row.line}")
                print("   ", dict(Counter((row.expect, row.got) for row in rows)))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
