"""What a measure is made of, by the sheet's fields: what it lacks on an empty sheet, and what it can read at all."""

from __future__ import annotations

from collections.abc import Container
from functools import cache

from advisor.geometry.measuring import measure
from advisor.geometry.one_number import measure_or_field
from advisor.geometry.register import places
from advisor.knowledge.trees import authors
from advisor.sheet.estimates import load_estimates
from advisor.sheet.paths import setup_path, sheet_path
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet


@cache
def _empty() -> Known:
    return resolve(Sheet("", {}))


@cache
def fields_lacking(name: str) -> tuple[str, ...]:
    """Return the sheet's fields without which a measure has no value, for they are not estimated."""
    wanted = measure_or_field(name)
    found = [path for place in places(wanted) for path in measure(_empty(), wanted, place).needs]
    return tuple(dict.fromkeys(found))


def can_be_had(path: str, facts: Container[str]) -> bool:
    """Return whether a number can be asked for, or is estimated from one that can.

    Parameters
    ----------
    path
        As `fields_lacking` names it.
    facts
        The ids of what can be asked.

    """
    paths = {setup_path(path, leading) or path for leading in ("left", "right")}
    names = paths.union(*map(_behind, paths))
    fields = {sheet_path(name, leading) for name in names for leading in ("left", "right")}
    return any(name in facts for name in {path} | names | fields)


@cache
def fields_read(name: str) -> frozenset[str]:
    """Return every field of the sheet that a measure reads or is estimated from, whichever foot leads."""
    wanted = measure_or_field(name)
    paths = {
        p for place in places(wanted) for optional in (False, True) for p in wanted.paths(place, optional=optional)
    }
    for path in list(paths):
        paths |= _behind(path)
    return frozenset(sheet_path(path, leading) for path in paths for leading in ("left", "right")) - {""}


@cache
def _behind(path: str) -> frozenset[str]:
    """Return the set-up's paths from which a number can be estimated, near and far."""
    found: set[str] = set()
    waiting = [path]
    while waiting:
        side, _, name = waiting.pop().partition(".")
        feet = (f"left.{name}", f"right.{name}", f"foot.{name}") if side in {"front", "back"} else ()
        names = {f"{side}.{name}", *feet}
        new = {rule.takes for rule in load_estimates(authors()).rules if rule.gives in names and rule.takes} - found
        found |= new
        waiting += new
    return frozenset(found)
