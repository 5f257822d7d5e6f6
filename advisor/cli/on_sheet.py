"""Commands on one setup sheet: its measures, a whole walk, and what a change would do."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.plain_text import clean
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value, read_sheet
from advisor.sheet.resolve import resolve

if TYPE_CHECKING:
    import argparse

    from advisor.dialogue.answer import Answer
    from advisor.dialogue.case import Case
    from advisor.graph.knowledge import Knowledge


def measure(given: argparse.Namespace, around: Surroundings) -> int:
    """Print every measure of a sheet."""
    from advisor.geometry.measuring import measure_all

    sheet = read_sheet(Path(given.sheet_file))
    measurements = measure_all(resolve(sheet, trees=around.trees))
    if given.json:
        from advisor.cli.as_json import dumps, measures_json

        around.say(dumps({"schema": 1, "sheet": sheet.name, "measures": measures_json(measurements)}))
        return Exit.DONE
    from advisor.cli.styled import show
    from advisor.explain.tables import measures_text

    show(measures_text(measurements, given.units), around)
    return Exit.DONE


def advise(given: argparse.Namespace, around: Surroundings) -> int:
    """Walk an entry on a sheet with the answers given, and print the outcome."""
    from advisor.dialogue.answer import answer_case
    from advisor.dialogue.case import Case
    from advisor.dialogue.doubting import settled
    from advisor.graph.knowledge import load_knowledge

    knowledge = load_knowledge(around.trees)
    knowledge.entry(given.entry)
    case = Case(given.entry, read_sheet(Path(given.sheet_file)), trees=around.trees)
    for answer in given.answer:
        case = _with_answer(knowledge, case, answer)
    answered = settled(knowledge, answer_case(knowledge, case))
    if given.picture:
        _draw(answered, Path(given.picture), over=given.over)
    if given.json:
        from advisor.cli.as_json import answer_json, dumps

        around.say(dumps(answer_json(answered)))
        return Exit.DONE
    from advisor.cli.styled import show
    from advisor.dialogue.replies import Answered, Asked, Before
    from advisor.explain.telling import Telling, tell

    how = Telling(knowledge, given.units, around.width, around.ascii_only)
    before = Before(opening=answered.walk.entry.opening)
    question = answered.walk.question
    reply = Asked(question, answered.walk, before) if question else Answered(answered, before)
    show(tell(reply, how), around)
    if question:
        around.note(f"still needed: --answer {question.fact.id}=...")
    return Exit.DONE


def _draw(answered: Answer, file: Path, *, over: bool) -> None:
    """Write the board from above into an SVG file, before and after where the answer changes something."""
    from advisor.draw.above import from_above
    from advisor.draw.svg import render
    from advisor.written_files import SVG, write_whole

    if file.suffix.lower() != ".svg":
        raise AdvisorError(f"--picture {clean(str(file), 200)}: expected a file that ends in .svg")
    known = answered.case.known
    after = answered.choice.what_if.known_after.setup if answered.choice else None
    scene = from_above(known.setup, after, "right" if known.leading_foot == "right" else "left")
    write_whole(file, (render(scene),), over=over, heads=SVG, private=False)


def _with_answer(knowledge: Knowledge, case: Case, answer: str) -> Case:
    from advisor.dialogue.choosing import chosen_option, says_unsure
    from advisor.dialogue.clashing import refuse_clashes
    from advisor.match.heard import hear

    key, equals, value = answer.partition("=")
    key = key.strip()
    fact = knowledge.facts.get(key)
    if not equals or (fact is None and key not in field_rows()):
        from difflib import get_close_matches

        names = [*knowledge.facts, *field_rows()]
        near = ", ".join(get_close_matches(key, names, 3)) or ", ".join(sorted(knowledge.facts)[:8])
        raise AdvisorError(f"--answer {answer}: expected KEY=VALUE with a key such as {near}")
    if says_unsure(hear(value)):
        return case.with_unsure(key)
    if key in field_rows():
        told = case.with_told(key, parse_value(key, value))
        refuse_clashes(case.sheet, told.sheet)
        return told
    assert fact is not None
    option = chosen_option(fact, value)
    if option is None:
        raise AdvisorError(f"--answer {answer}: expected one of {', '.join(fact.options)}, found '{value}'")
    return case.with_answer(key, option)


def try_changes(given: argparse.Namespace, around: Surroundings) -> int:
    """Print what changes of the sheet would do to every measure."""
    from advisor.dialogue.clashing import refuse_clashes
    from advisor.solve.whatif import what_if

    sheet = read_sheet(Path(given.sheet_file))
    changes = {}
    for change in given.changes:
        path, equals, value = change.partition("=")
        if not equals:
            raise AdvisorError(f"{change}: expected FIELD=VALUE, for example mount.back.slot_mm=3")
        changes[path.strip()] = parse_value(path.strip(), value.strip())
    changed = sheet
    for path, value in changes.items():
        changed = changed.with_value(path, value)
    refuse_clashes(sheet, changed)
    result = what_if(sheet, changes, around.trees)
    if given.json:
        from advisor.cli.as_json import dumps, measures_json

        effects = [
            {"measure": e.key, "before": round(e.before, 6), "after": round(e.after, 6), "unit": e.unit}
            for e in result.effects
            if e.before == e.before and e.after == e.after
        ]
        around.say(
            dumps(
                {
                    "schema": 1,
                    "changes": changes,
                    "effects": effects,
                    "sheet_after": result.sheet_after.to_dict(),
                    "before": measures_json(result.before),
                    "after": measures_json(result.after),
                }
            )
        )
        return Exit.DONE
    from advisor.cli.styled import show
    from advisor.dialogue.replies import Tried
    from advisor.explain.telling import Telling, tell

    how = Telling(None, given.units, around.width, around.ascii_only)
    show(tell(Tried(result, tuple(changes.items())), how), around)
    return Exit.DONE
