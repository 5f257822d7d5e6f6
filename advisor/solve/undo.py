"""How to take a change back: the same adjustments the other way, in words, with what to mind."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from advisor.knowledge.trees import Trees
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.solve.choice import Change, changes_of
from advisor.solve.options import Lever, Option, lever_key, levers


def taken_back(now: Sheet, before: Sheet, advised: Sheet, trees: Trees | None = None) -> tuple[Change, ...]:
    """Return what has to be done so that every field that a change set is as it was.

    Parameters
    ----------
    now
        The sheet as it is.
    before, advised
        The sheet before the change, and with it made as advised.

    """
    wanted = {
        path: earlier
        for path, leaf in advised.leaves.items()
        if (earlier := before.value(path)) is not None
        and leaf.value != before.value(path)
        and now.value(path) != earlier
    }
    known = resolve(now, trees=trees)
    found: list[Change] = []
    offered = sorted(levers(now, known), key=lambda lever: -len(lever_key(lever)))
    for lever in offered:
        option = _back(lever, wanted)
        if option is not None:
            found += changes_of([(lever, option)], known)
            for path, _ in option.sets:
                wanted.pop(path, None)
    return tuple(found)


def _back(lever: Lever, wanted: Mapping[str, LeafValue]) -> Option | None:
    """Return the value that puts back all that an adjustment is about, with nothing carried along."""
    about = {*lever_key(lever), *(path for path in lever.before if path.endswith(".slots"))}
    mine = {path for path in lever.before if path in about}
    if not mine or not mine <= wanted.keys():
        return None
    for option in lever.options:
        own = tuple((path, value) for path, value in option.sets if path in mine)
        if own and all(wanted[path] == value for path, value in own):
            return replace(option, sets=tuple((path, lever.before[path]) if path not in mine else (path, value)
                                              for path, value in option.sets))  # fmt: skip
    return None
