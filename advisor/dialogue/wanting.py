"""What to ask when a measure lacks a number: the number itself, or one that it can be estimated from.

A leg measure needs thigh and shank, which nobody measures at a counter; the rider's height gives both.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from advisor.dialogue.case import Case
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Fact
from advisor.sheet.estimates import Rule, load_estimates
from advisor.sheet.paths import setup_path, sheet_path

_FEET = ("front", "back")


def wanted(knowledge: Knowledge, case: Case, needs: Iterable[str]) -> tuple[Fact, ...] | None:
    """Return the facts to ask so that every need is known or estimated, as few bench minutes as a greedy choice finds.

    Parameters
    ----------
    knowledge
        With the facts that can be asked.
    case
        Facts that it knows, or knows that nobody can tell, are not asked.
    needs
        What `Measured.needs` names.

    Returns
    -------
    tuple of Fact or None
        None where some need can't be had, so that asking for the others would be for nothing.

    """
    leading = case.sheet.value("rider.leading_foot")
    rules = load_estimates(case.trees).rules
    chosen: dict[str, Fact] = {}
    for need in needs:
        ways = [
            knowledge.facts[path]
            for path in _givers(need, str(leading or "left"), rules)
            if path in knowledge.facts and path not in case.unsure and case.sheet.value(path) is None
        ]
        if any(fact.id in chosen for fact in ways):
            continue
        if not ways:
            return None
        cheapest = min(ways, key=lambda fact: fact.minutes)
        chosen[cheapest.id] = cheapest
    return tuple(chosen.values())


def to_measure(knowledge: Knowledge, case: Case, needs: Iterable[str]) -> tuple[str, ...]:
    """Return the sheet's fields that a tech can measure to give every need, told or not: height and not the thigh."""
    leading = str(case.sheet.value("rider.leading_foot") or "left")
    rules = load_estimates(case.trees).rules
    named: dict[str, None] = {}
    for need in needs:
        ways = [path for path in _givers(need, leading, rules) if path in knowledge.facts]
        if not any(path in named for path in ways):
            named[min(ways, key=lambda path: knowledge.facts[path].minutes) if ways else need] = None
    return tuple(named)


def _givers(need: str, leading: str, rules: Sequence[Rule]) -> list[str]:
    """Return the sheet's fields that give a need, itself first, then those that it can be estimated from."""
    start = need.removeprefix("mount.") if need.startswith("mount.") else setup_path(need, leading) or need
    waiting, seen = [_by_body_side(start, leading, rules)], set()
    found: list[str] = []
    while waiting:
        path = waiting.pop(0)
        if path in seen:
            continue
        seen.add(path)
        field = sheet_path(path, leading)
        if field and field not in found:
            found.append(field)
        waiting += [rule.takes for rule in rules if rule.gives == path and rule.takes]
    return found


def _by_body_side(path: str, leading: str, rules: Sequence[Rule]) -> str:
    """Return a set-up path with its foot as left or right where the rules speak of the body's sides."""
    side, _, name = path.partition(".")
    if side not in _FEET or any(rule.gives == path for rule in rules):
        return path
    other = "right" if leading == "left" else "left"
    body = f"{leading if side == 'front' else other}.{name}"
    return body if any(rule.gives == body for rule in rules) else path
