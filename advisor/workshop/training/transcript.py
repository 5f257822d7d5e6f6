"""A rehearsed rider's walk as a conversation that can be read, replayed and taken up in chat."""

from __future__ import annotations

from pathlib import Path
from random import Random

from advisor.graph.knowledge import Knowledge
from advisor.sheet.sheet import Sheet
from advisor.workshop.training.measured_sheet import seen_sheet
from advisor.workshop.training.rehearsal import Rehearsed
from advisor.workshop.training.rider import Noise, TrueRider, draw_rider
from advisor.written_files import write_whole

_RECORDED = (b"#", b"scenario:")


def rider_again(
    number: int, seed: int, noise: Noise, two: float = 0.0, only: str | None = None
) -> tuple[TrueRider, Sheet]:
    """Return the rider of a number and seed once more, with the sheet as the tech had it."""
    random = Random(f"{seed} rider {number}")
    rider = draw_rider(random, two, only)
    return rider, seen_sheet(rider.sheet, noise.ruler, noise.blank, random)


def lines_of(knowledge: Knowledge, one: Rehearsed) -> list[str]:
    """Return what was typed in a walk: the complaint, then each answer."""
    lines = [one.words or knowledge.entry(one.complaint).means]
    for name, value in one.told:
        fact = knowledge.facts[name]
        if value is None:
            lines.append("don't know")
        elif fact.options:
            lines.append(fact.options.get(str(value), str(value)))
        else:
            lines.append(f"{value:g} {fact.unit}".strip() if isinstance(value, int | float) else str(value))
    return lines


def sheet_text(sheet: Sheet, heading: str) -> str:
    """Return a sheet as a YAML file's text."""
    import yaml

    return f"# {heading}\n" + yaml.safe_dump(sheet.to_dict(), sort_keys=False, allow_unicode=True)


def write_recording(folder: Path, knowledge: Knowledge, one: Rehearsed, sheet: Sheet) -> Path:
    """Write a walk as a sheet and a recording beside it; `advisor replay --record` fills in the replies."""
    import yaml

    name = f"rider_{one.seed}_{one.number}"
    folder.mkdir(parents=True, exist_ok=True)
    story = f"Made up by a rehearsal: planted {' and '.join(one.faults)}; named {one.cause or 'nothing'}."
    write_whole(folder / f"{name}.yaml", (sheet_text(sheet, story),), over=True, heads=_RECORDED)
    turns = [{"say": line, "reply": ""} for line in lines_of(knowledge, one)]
    content = {"scenario": story, "sheet": f"{name}.yaml", "turns": turns}
    path = folder / f"{name}.talk.yaml"
    write_whole(path, (yaml.safe_dump(content, sort_keys=False, allow_unicode=True),), over=True, heads=_RECORDED)
    return path
