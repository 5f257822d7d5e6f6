"""A seeded random rider: walks entries on made-up sheets with made-up answers, as the dialogue itself would.

Where `graph/walker.py` takes any branch, this one takes the branches that geometry and answers choose, so it shows what
a rider can come to, how many questions it takes, and what goes wrong on the way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from random import Random

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.walk import Line, Walk, walk
from advisor.errors import AdvisorError
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Aim, Cause, Do, Entry, Fact, Jump, Refer, Tell
from advisor.knowledge_home import trees_dir
from advisor.plain_text import clean
from advisor.sheet.fields import FieldRow, field_rows
from advisor.sheet.sheet import Leaf, LeafValue, Sheet

_MOST_QUESTIONS = 40
_UNSURE = 0.15
_NOTHING_MOVES = 0.15
_TRAVEL = ("bindings.slot_travel_mm", "board.rows_each_way")
_STEPS = ("bindings.heelcup_steps", "bindings.toe_ramp_steps", "bindings.lean_deg.step")


@dataclass
class Wandered:
    """What random riders came by in one entry.

    Parameters
    ----------
    seen
        How often each node was come to.
    questions
        Questions until the answer, walk by walk.
    outcomes
        How often each outcome came.
    endless
        Walks that went on asking.
    failed
        What went wrong in the code, by its words; there should be none.

    """

    seen: Counter[str] = field(default_factory=Counter)
    questions: list[int] = field(default_factory=list)
    outcomes: Counter[str] = field(default_factory=Counter)
    endless: int = 0
    failed: Counter[str] = field(default_factory=Counter)


@cache
def ordinary_sheet() -> Sheet:
    """Return the set-up that suits its rider, from `trees/ordinary_sheet.yaml`."""
    from advisor.sheet.reading import read_sheet

    return read_sheet(trees_dir() / "ordinary_sheet.yaml")


def random_sheet(random: Random) -> Sheet:
    """Return a made-up sheet: the ordinary one with a few fields changed or missing, or one in which nothing fits."""
    rows = field_rows()
    leaves = dict(ordinary_sheet().leaves)
    changed = random.choice((0, 1, 1, 2, 2, 3, 5, len(rows)))
    for path in random.sample(list(rows), changed):
        value = _value(rows[path], random)
        if value is not None:
            leaves[path] = Leaf(value, "measured", None, 0)
    if random.random() < _NOTHING_MOVES:
        leaves.update({path: Leaf(0.0, "measured", None, 0) for path in _TRAVEL})
        leaves = {path: leaf for path, leaf in leaves.items() if path not in _STEPS}
    missing = random.choice((0.0, 0.0, 0.1, 0.5))
    return Sheet("made up", {path: leaf for path, leaf in leaves.items() if random.random() >= missing})


def _value(row: FieldRow, random: Random) -> LeafValue | None:
    if row.kind == "choice":
        return random.choice(row.choices)
    if row.kind == "yes_no":
        return random.random() < 0.5
    if row.kind not in {"number", "integer"}:
        return None
    middle, half = (row.low + row.high) / 2, (row.high - row.low) / 2
    value = middle + half * random.choice((0.05, 0.2, 0.5, 1.0)) * random.uniform(-1, 1)
    return round(value) if row.kind == "integer" else round(value, 1)


def wander(knowledge: Knowledge, name: str, walks: int, random: Random) -> Wandered:
    """Walk an entry with so many made-up riders.

    Parameters
    ----------
    knowledge
        The knowledge, proven.
    name
        The entry.
    walks
        How many.
    random
        Seeded by the caller.

    """
    found = Wandered()
    for number in range(walks):
        case = Case(name, random_sheet(random), trees=knowledge.trees)
        try:
            _one_walk(knowledge, case, found, random)
        except AdvisorError as error:
            found.failed[f"walk {number + 1}: {clean(str(error), 200)}"] += 1
        except Exception as error:  # whatever it is, it is the find that random walks are for
            found.failed[f"walk {number + 1}: {type(error).__name__}: {clean(str(error), 200)}"] += 1
    return found


def _one_walk(knowledge: Knowledge, case: Case, found: Wandered, random: Random) -> None:
    asked = 0
    answer = answer_case(knowledge, case)
    found.seen.update(nodes_seen(answer.walk, answer))
    while answer.walk.question and asked < _MOST_QUESTIONS:
        case = told(case, answer.walk.question.fact, random)
        asked += 1
        answer = answer_case(knowledge, case, walk(knowledge, case))
        found.seen.update(nodes_seen(answer.walk, answer))
    found.endless += answer.walk.question is not None
    found.questions.append(asked)
    found.outcomes[answer.outcome] += 1


def told(case: Case, fact: Fact, random: Random) -> Case:
    """Return the case with a made-up answer, or with "don't know"."""
    if random.random() < _UNSURE:
        return case.with_unsure(fact.id)
    row = field_rows().get(fact.id)
    if row is None:
        return case.with_answer(fact.id, random.choice(list(fact.options)))
    value = _value(row, random)
    if value is None:
        return case.with_unsure(fact.id)
    return (
        case.with_number(fact.id, value, fact.plus_minus) if fact.kind == "number" else case.with_told(fact.id, value)
    )


def nodes_seen(done: Walk, answer: Answer | None = None) -> set[str]:
    """Return every node that a walk came to, with the end that its answer was given at."""
    entry = done.entry
    seen: set[str] = set()
    for line in (*done.lines, *((done.found,) if done.found else ())):
        seen |= _on_line(line)
        seen |= set(_jumps_before(entry, line.suspect.start))
    if answer and answer.outcome != "needs" and answer.line:
        seen |= set(_ends(entry, answer))
    for name in list(seen):
        node = entry.nodes.get(name)
        if isinstance(node, Cause):
            seen |= set(_jumps_before(entry, node.go))
    for name, node in entry.nodes.items():
        if isinstance(node, Jump) and node.go in seen:
            seen.add(name)
    return seen & set(entry.nodes)


def _on_line(line: Line) -> set[str]:
    seen = {step.node.id for step in line.steps}
    if line.end:
        seen.add(line.end.id)
    if line.question:
        seen.add(line.question.node.id)
    return seen


def _jumps_before(entry: Entry, place: str) -> Iterator[str]:
    while isinstance(node := entry.nodes.get(place), Jump):
        yield place
        place = node.go


def _ends(entry: Entry, answer: Answer) -> Iterator[str]:
    """Yield the ends that an answer was handed on by, up to the one that gave it."""
    assert answer.line is not None
    place = answer.line.end.id if answer.line.end else ""
    passed: set[str] = set()
    while place in entry.nodes and place not in passed:
        passed.add(place)
        node = entry.nodes[place]
        yield place
        if isinstance(node, Refer | Tell) or not isinstance(node, Aim | Do | Cause | Jump):
            return
        given = answer.referral is None and not (
            isinstance(entry.nodes.get(_on(node)), Tell) and _tells(entry, node, answer)
        )
        if isinstance(node, Aim | Do) and given:
            return
        if isinstance(node, Aim) and answer.referral and answer.referral.id == "not_enough_known":
            return
        place = _on(node)


def _on(node: Aim | Do | Cause | Jump) -> str:
    return node.otherwise if isinstance(node, Aim | Do) else node.go


def _tells(entry: Entry, node: Aim | Do | Cause | Jump, answer: Answer) -> bool:
    end = entry.nodes[_on(node)]
    return isinstance(end, Tell) and answer.says == end.says and answer.choice is None
