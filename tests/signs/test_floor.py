"""The listener keeps what it was measured at on two sets written by somebody else: one to look at, one held out.

The set to look at is learnt from, so its floor says only that nothing was unlearnt. Measured without a sheet: dev .985
heard and .015 sent away, held .835 and .080. The floors stand a little below, not at the aim of .98 and .01.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.sheet.sheet import Sheet
from tests.bench.bench_signs import play, score


@pytest.mark.slow
@pytest.mark.parametrize(("name", "heard", "sent_away"), [("dev", 0.97, 0.03), ("held", 0.81, 0.10)])
def test_signs_are_heard_and_harmless_lines_are_not_sent_away(name: str, heard: float, sent_away: float) -> None:
    lines = (Path(__file__).parent / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
    figures = score([play(json.loads(line), Sheet("", {})) for line in lines if line.strip()])
    part, whole = figures["signs referred or asked the right question"]
    assert part / whole >= heard
    part, whole = figures["harmless sent away"]
    assert part / whole <= sent_away
