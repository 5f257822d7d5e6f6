"""What the README shows is what the program says and draws."""

from __future__ import annotations

import re
from pathlib import Path

from tests.cli.running import advisor

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEMO = ROOT / "transcripts_demo" / "larchfall_heel.yaml"


def test_the_sample_at_the_head_is_what_the_conversation_says() -> None:
    sample = re.search(r"```\n(> .*?)```", README, re.DOTALL)
    assert sample
    lines = sample[1].splitlines()
    typed = [line[2:] for line in lines if line.startswith("> ")]
    said = " ".join(advisor("--sheet", DEMO, typed="\n".join(["short", *typed]) + "\n").out.split())
    told = " ".join(" ".join(line for line in lines if not line.startswith("> ")).split())
    for sentence in re.findall(r"[^.?]+(?:\.(?=\s|$)|\?)", told):
        assert sentence.strip() in said, sentence


def test_the_picture_is_the_one_that_the_command_draws(tmp_path: Path) -> None:
    """After a change of the answer or of the drawing: the command below with --picture transcripts_demo/... --over."""
    drawn = tmp_path / "drawn.svg"
    told = ("--answer", "binding_play=no", "--answer", "snow=hard")
    advisor("advise", DEMO, "--entry", "heel_washout", *told, "--picture", drawn)
    assert "(transcripts_demo/larchfall_heel.svg)" in README
    kept = ROOT / "transcripts_demo" / "larchfall_heel.svg"
    assert drawn.read_text(encoding="utf-8") == kept.read_text(encoding="utf-8")
