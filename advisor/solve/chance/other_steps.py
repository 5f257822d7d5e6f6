"""Another step of the ladder instead of today's: less, more, or another way."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from advisor.solve.chance.ladder import Rung
from advisor.solve.chance.likely import Likely
from advisor.solve.choice import Choice
from advisor.solve.search import Search

Wanted = Literal["less", "more", "another_way"]


def other_step(search: Search, wanted: Wanted, without: frozenset[str] = frozenset()) -> Search | None:
    """Return a search with another step of its ladder as today's; None where the ladder has none.

    Parameters
    ----------
    search
        Searched by chance.
    wanted
        Less or more of the same, or another way.
    without
        Adjustments that were shown already as another way.

    """
    found = search.likely
    if found is None:
        return None
    rung = _rung(found, wanted, without)
    if rung is None:
        return None
    hunt = found.model.hunt
    made = hunt.weigh(rung.way)
    instead = Likely(found.model, rung, None, found.reach, found.enough, tuple(found.ladder))
    return replace(search, best=search.choice(made, ""), found=made, goal=None, likely=instead)


def other_choices(search: Search) -> list[tuple[Choice, Rung]]:
    """Return the other ways of the ladder, those that gain most for their cost first."""
    found = search.likely
    if found is None:
        return []
    mine = {lever for lever, _ in found.today.way}
    others = [rung for rung in found.ladder if not {lever for lever, _ in rung.way} & mine]
    others.sort(key=lambda rung: -rung.net)
    return [(search.choice(found.model.hunt.weigh(rung.way), ""), rung) for rung in others]


def _rung(found: Likely, wanted: Wanted, without: frozenset[str]) -> Rung | None:
    names = [hunt_lever.adjustment.id for hunt_lever in found.model.hunt.levers]
    mine = {lever for lever, _ in found.today.way}
    same = [rung for rung in found.ladder if {lever for lever, _ in rung.way} == mine and rung is not found.today]
    if wanted == "less":
        return max((r for r in same if r.chance < found.chance), key=lambda rung: rung.chance, default=None)
    if wanted == "more":
        return min((r for r in same if r.chance > found.chance), key=lambda rung: rung.chance, default=None)
    others = [rung for rung in found.ladder if not {lever for lever, _ in rung.way} & mine]
    others = [rung for rung in others if not {names[lever] for lever, _ in rung.way} & without]
    return max(others, key=lambda rung: rung.net, default=None)
