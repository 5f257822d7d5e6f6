"""Every advice of `advisor advise --json`, over entries and sheets: the sheet after it holds what was promised."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml

from advisor.cli.main import run
from advisor.cli.surroundings import Surroundings
from advisor.geometry.measuring import measure_all
from advisor.knowledge_home import trees_dir
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import read_sheet
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.aims import Aim
from advisor.solve.search import find
from advisor.solve.windows import load_windows
from tests.solve.random_sheets import random_document, sheet_from

DEMOS = Path(__file__).parents[2] / "transcripts_demo"
ENTRIES = sorted(path.stem for path in (trees_dir() / "entries").glob("*.yaml"))
_WALKS = 160
_MOST_QUESTIONS = 40


def advise(sheet: Path, entry: str, answers: dict[str, str]) -> dict[str, Any]:
    out, err = StringIO(), StringIO()
    told = [part for key, value in answers.items() for part in ("--answer", f"{key}={value}")]
    code = run(["advise", str(sheet), "--entry", entry, "--json", *told], Surroundings(StringIO(), out, err, {}))
    assert (code, err.getvalue()) == (0, "")
    answer: dict[str, Any] = json.loads(out.getvalue())
    return answer


def walked(random: Random, sheet: Path, entry: str) -> dict[str, Any]:
    """Return an entry's end, its questions answered at random, its numbers not known."""
    answers: dict[str, str] = {}
    for _ in range(_MOST_QUESTIONS):
        answer = advise(sheet, entry, answers)
        if answer["outcome"] != "needs":
            return answer
        asked = answer["needs"][0]
        assert asked["key"] not in answers, "asked twice"
        answers[asked["key"]] = random.choice([*asked["options"]]) if asked["options"] else "don't know"
    raise AssertionError(f"{entry} asks on and on: {answers}")


def documents(random: Random) -> list[dict[str, Any]]:
    demos = [path for path in sorted(DEMOS.glob("*.yaml")) if not path.name.endswith(".talk.yaml")]
    return [yaml.safe_load(path.read_text()) for path in demos] + [random_document(random) for _ in demos]


def outside(sheet: Sheet, aim: dict[str, Any]) -> float:
    """Return how far an aim's measure lies outside its range, in parts of its window's scale; 0 inside."""
    known = resolve(sheet, load_practice())
    window = load_windows().window(aim["measure"], known.setup)
    wanted = Aim(aim["measure"], aim["low"], aim["high"]).interval(window)
    taken = measure_all(known)
    value = taken[aim["measure"]].value if aim["measure"] in taken else known.setup.get(aim["measure"])
    far = max(wanted.low - value, value - wanted.high)
    return far / (window.scale if window else 1.0) if far > 1e-6 else 0.0


def missed(sheet: Sheet, aims: list[dict[str, Any]]) -> float:
    return sum(outside(sheet, aim) for aim in aims)


def at(document: Any, path: str) -> Any:
    for part in path.split("."):
        document = document.get(part) if isinstance(document, dict) else None
    return document.get("value") if isinstance(document, dict) and "value" in document else document


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2])
def test_every_advice_holds_on_the_sheet_after_it(seed: int, tmp_path: Path) -> None:
    random = Random(seed)
    sheets = []
    for place, document in enumerate(documents(random)):
        sheets.append(tmp_path / f"{place}.yaml")
        sheets[-1].write_text(yaml.safe_dump(document))
    advised = aimed = 0
    for sheet, entry in random.sample([(sheet, entry) for sheet in sheets for entry in ENTRIES], _WALKS):
        answer = walked(random, sheet, entry)
        if answer["outcome"] != "advice" or not answer["adjustments"]:
            continue
        advised += 1
        after = sheet_from(answer["sheet_after"])
        front = after.value("mount.front.angle_deg")
        assert not isinstance(front, int | float) or front >= 0
        for made in answer["adjustments"]:
            if isinstance(made["from"], int | float) and made["field"]:
                assert abs(made["from"] + made["by"] - made["to"]) < 1e-6, (entry, made)
            if made["field"]:
                assert at(answer["sheet_after"], made["field"]) == made["to"], (entry, made)
        aims = [Aim(aim["measure"], aim["low"], aim["high"]) for aim in answer["aims"]]
        if answer["goal"] or answer["verdict"] == "partial" or "chance" in answer:
            before = after
            for made in answer["adjustments"]:
                before = before.with_value(made["field"], made["from"])
            was = max(missed(before, answer["aims"]), missed(read_sheet(sheet), answer["aims"]))
            assert missed(after, answer["aims"]) < was, (entry, answer["aims"])
        elif aims:
            aimed += 1
            assert missed(after, answer["aims"]) == 0, (entry, answer["aims"])
            assert find(after, aims).outcome == "leave"
    assert advised > 20
    assert aimed > 5
