"""What a rider has to get used to has a limit for one visit, and every answer's step keeps it.

The second is shown by running the search: each aim of the knowledge on a few sheets drawn around the ordinary one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import inf
from random import Random
from typing import Any

from advisor.errors import AdvisorError
from advisor.geometry.register import SIDES
from advisor.graph.nodes import Aim
from advisor.knowledge.fault import Fault
from advisor.sheet.setup import FootSide
from advisor.workshop.proof.rule import Rule
from advisor.workshop.proof.subject import Subject

_USED_TO = ("angle_deg", "lean_deg", "row", "track_mm", "cant_deg", "riser_mm")
_MOST_DEG = 9.0
_SEARCHES = 12
_EXACT = 1e-6


def _check(subject: Subject) -> Iterator[Fault]:
    limits = subject.raw("limits").get("at_a_time", {})
    yield from _missing(subject, limits)
    yield from _broken(subject, limits)


def _missing(subject: Subject, limits: Mapping[str, Any]) -> Iterator[Fault]:
    for name, raw in subject.raw("adjustments").get("adjustments", {}).items():
        here = subject.table("adjustments", "adjustments", name)
        moved = {path.rpartition(".")[2] for way in raw.get("ways", []) for path in way.get("moves", {})}
        for part in sorted(moved.intersection(_USED_TO)):
            own = [entry for key, entry in limits.items() if key.partition(".")[0] == name]
            if not own or not all({"most", "most_steps"} & entry.keys() for entry in own):
                words = f"how much of {part} may one visit change? trees/limits.yaml says nothing of {name}"
                yield here.fault(f"{words}; write usual and most")
            elif part == "angle_deg":
                for key, entry in limits.items():
                    if key.partition(".")[0] == name and not float(entry.get("most", inf)) <= _MOST_DEG:
                        there = subject.table("limits", "at_a_time", key)
                        yield there.fault(f"is this little enough for a knee? Angles go {_MOST_DEG:g} degrees at most")


def _broken(subject: Subject, limits: Mapping[str, Any]) -> Iterator[Fault]:
    from advisor.dialogue.answer import solver_aims
    from advisor.sheet.resolve import resolve
    from advisor.solve.today import find_today

    random = Random(31)
    nodes = [node for entry in subject.entries for node in entry.nodes.values() if isinstance(node, Aim)]
    wanted = dict.fromkeys((node.targets, node.allowed) for node in nodes)
    for targets, allowed in wanted:
        for _ in range(max(1, _SEARCHES // len(wanted))):
            sheet = _drawn(random)
            known = resolve(sheet)
            feet: tuple[FootSide, ...] = (random.choice(SIDES),)
            aims = solver_aims(targets, feet, known)
            try:
                search = find_today(sheet, aims, known=known, allowed=allowed or None)
            except AdvisorError:  # an aim that is none is told by its own rule
                break
            for change in search.best.changes if search.best else ():
                yield from _over(subject, limits, change)


def _over(subject: Subject, limits: Mapping[str, Any], change: Any) -> Iterator[Fault]:
    limit = limits.get(f"{change.adjustment}.{change.unit}", limits.get(change.adjustment, {}))
    most = limit.get("most", inf)
    here = subject.table("limits", "at_a_time", change.adjustment)
    if isinstance(change.before, bool | str):
        return
    before, after = float(change.before), float(change.after)
    if abs(after - before) > float(most) + _EXACT:
        words = f"who kept the step? The search told '{change.words}', and {most:g} is the most"
        yield here.fault(f"{words}; mend the search, or the limit")
    if limit.get("across_zero") == "no" and before * after < 0:
        words = f"who kept the kind of stance? The search told '{change.words}', across 0"
        yield here.fault(f"{words}; mend the search, or the limit")


def _drawn(random: Random) -> Any:
    """Return the ordinary sheet mounted by chance."""
    from advisor.knowledge_home import trees_dir
    from advisor.sheet.reading import read_sheet

    sheet = read_sheet(trees_dir() / "ordinary_sheet.yaml")
    for foot in ("front", "back"):
        low = 0 if foot == "front" else -9
        drawn = {
            "angle_deg": 3.0 * random.randint(low, 12),
            "row": random.randint(-3, 3),
            "slot_mm": float(random.randint(-5, 5)),
            "seat_mm": float(random.randint(-12, 12)),
            "lean_deg": 5.0 * random.randint(0, 5),
            "highback_turn_deg": float(random.randint(0, 20)),
        }
        for field, value in drawn.items():
            sheet = sheet.with_value(f"mount.{foot}.{field}", value)
    return sheet


RULE = Rule(31, "Does every step keep to what one visit may change?", _check)
