"""The command `advisor drill`: cases for staff, marked and explained, with what is weak coming back sooner."""

from __future__ import annotations

from datetime import UTC, datetime
from random import Random
from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator

    from advisor.explain.text import Block
    from advisor.workshop.training.drill import Drill
    from advisor.workshop.training.spaced_repetition import Memory, SkillState

_BAR = 20
_LONGEST = 400
_LONGEST_NAME = 40


def add_drill(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("--trainee", default="", metavar="ALIAS", help="whose progress is kept; an alias, no full name")
    parser.add_argument("--skill", default="", metavar="NAME", help="cases of one skill only")
    parser.add_argument("--cases", type=int, default=1, metavar="N", help="how many cases in a row (default 1)")
    parser.add_argument("--fault", default="", metavar="ID", help="this fault, for a trainer to show")
    parser.add_argument("--seed", type=int, metavar="N", help="always the same customers")
    parser.add_argument("--forget", default="", metavar="ALIAS", help="delete a trainee for good")
    parser.add_argument("--overview", action="store_true", help="who is weak in what, for the trainer")


def drill(given: argparse.Namespace, around: Surroundings) -> int:
    """Hold drills until they are done or the input ends, or show the overview."""
    from advisor.cases.places import data_folder
    from advisor.plain_text import clean
    from advisor.workshop.training.spaced_repetition import Memory

    memory = Memory(data_folder(around.environ) / "training.sqlite")
    given.trainee = clean(given.trainee, _LONGEST_NAME).strip()
    if given.forget:
        name = clean(given.forget, _LONGEST_NAME).strip()
        if name not in memory.trainees():
            raise AdvisorError(f"there is no trainee '{name}'; 'advisor drill --overview' shows who there is")
        around.say(f"'{name}' is deleted for good, with {memory.forget(name)} marks.")
        return Exit.DONE
    if given.overview:
        return _overview(given, around, memory)
    if given.json:
        raise AdvisorError("--json goes with --overview; a drill is a conversation")
    lines = iter(around.lines_typed)
    for number in range(max(1, given.cases)):
        code = _one(given, around, memory, lines, number)
        if code is not None:
            return code
    return Exit.DONE


def _one(
    given: argparse.Namespace, around: Surroundings, memory: Memory, lines: Iterator[str], number: int
) -> int | None:
    """Hold one drill; return an exit code where it ends them all."""
    from advisor.cli.styled import show
    from advisor.graph.knowledge import load_knowledge
    from advisor.plain_text import clean
    from advisor.workshop.training.drill import Drill
    from advisor.workshop.training.marking import mark
    from advisor.workshop.training.planted_faults import load_faults

    random = Random() if given.seed is None else Random(f"drill {given.seed} {number}")
    if given.fault and given.fault not in load_faults():
        raise AdvisorError(f"--fault {given.fault}: no such fault; there are {', '.join(sorted(load_faults()))}")
    fault = given.fault or memory.next_fault(given.trainee, random, given.skill)
    case = Drill.draw(load_knowledge(around.trees), fault, random)
    show(case.story(), around)
    while not case.over:
        if around.stdout.isatty():
            around.stdout.write("\n> ")
            around.stdout.flush()
        try:
            line = next(lines, None)
        except KeyboardInterrupt:
            around.say()
            continue
        if line is None:
            return _left_open(case, around)
        text = clean(line, _LONGEST).strip()
        if not text:
            continue
        if not around.stdout.isatty():
            around.say(f"\n> {text}")
        show(case.hear(text), around)
    if not case.counted:
        return Exit.DONE
    given_mark = mark(case)
    if given.trainee and not given.fault:
        right = given_mark.right_cause, given_mark.right_remedy
        due = memory.keep(given.trainee, fault, case.rider.complaint, given_mark.total, case.minutes, right)
        days = max(0, (due - datetime.now(UTC)).days)
        around.say(f"\nKept for {given.trainee}. This fault comes again {f'in {days} days' if days else 'soon'}.")
    return None


def _left_open(case: Drill, around: Surroundings) -> int:
    if around.stdin.isatty():
        around.say(case.said["goodbye"])
        return Exit.DONE
    around.note("The input ended before 'done'; the case is not counted. End with 'done', or with 'stop' to leave it.")
    return Exit.BAD_INPUT


def _overview(given: argparse.Namespace, around: Surroundings, memory: Memory) -> int:
    from advisor.cli.styled import show
    from advisor.explain.text import Drawing, Heading, Say, Table

    names = [given.trainee] if given.trainee else list(memory.trainees())
    if given.json:
        from dataclasses import asdict

        from advisor.cli.as_json import dumps

        told = {name: [asdict(one) for one in memory.overview(name)] for name in names}
        around.say(dumps({"schema": 1, "trainees": told}))
        return Exit.DONE
    blocks: list[Block] = []
    for name in names:
        skills = memory.overview(name)
        blocks.append(Heading(name))
        rows = tuple(_row(one) for one in skills)
        columns = ("skill, weakest first", "cases", "mark", "cause", "remedy", "recall", "due")
        blocks.append(Table(columns, rows, right=(1, 2, 3, 4, 5)))
        wide = max(len(one.skill) for one in skills)
        blocks.append(Drawing(tuple(_bar(one.skill, one.mark if one.drills else None, wide) for one in skills)))
    if not names:
        blocks.append(Say("Nobody has been drilled yet. Begin: advisor drill --trainee ALIAS"))
    show(tuple(blocks), around)
    return Exit.DONE


def _row(one: SkillState) -> tuple[str, ...]:
    if not one.drills:
        return one.skill, "0", "", "", "", "", ""
    shares = (f"{share:.0%}" for share in (one.cause, one.remedy, one.recall))
    return one.skill, str(one.drills), f"{one.mark:.0f}", *shares, one.due


def _bar(skill: str, mark: float | None, wide: int) -> str:
    """Return a mark as a bar, for a skill."""
    if mark is None:
        return f"{skill:<{wide}} |{'.' * _BAR}| not yet"
    full = round(_BAR * mark / 100)
    return f"{skill:<{wide}} |{'#' * full}{' ' * (_BAR - full)}| {mark:.0f}"
