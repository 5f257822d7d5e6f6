"""The ruler first: two overhangs at the edge and one stance width are asked for in the place of what they settle."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.dialogue.case import Case
from advisor.dialogue.walk import Walk
from advisor.graph.knowledge import Knowledge
from advisor.knowledge.trees import Trees, of_trees


@of_trees
def _instead(trees: Trees) -> Mapping[str, tuple[str, ...]]:
    """Return, for a field, the measurements that settle it; {foot} filled in."""
    table: dict[str, list[str]] = trees.table("intake.yaml")["ruler_instead_of"]
    made = {}
    for path, wanted in table.items():
        for foot in ("front", "back"):
            made[path.replace("{foot}", foot)] = tuple(one.replace("{foot}", foot) for one in wanted)
    return made


def by_ruler(knowledge: Knowledge, case: Case, walk: Walk) -> Walk:
    """Return the walk with its question put to the ruler, where one reading settles what several fields make up.

    What can't be measured just now ("don't know") is asked for field by field, as it would have been.
    """
    question = walk.question
    if question is None:
        return walk
    for path in _instead(knowledge.trees).get(question.fact.id, ()):
        if path in case.unsure:
            return walk
        if case.sheet.value(path) is None and path in knowledge.facts:
            fact = knowledge.facts[path]
            asked = question._replace(fact=fact, minutes=fact.minutes)
            return walk._replace(questions=(asked, *walk.questions[1:]))
    return walk
