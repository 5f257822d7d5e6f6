"""Whether a value told or tried fits the rest of the sheet: rows the board lacks, a slot beyond its travel."""

from __future__ import annotations

from advisor.errors import SheetError
from advisor.sheet.relations import check_relations
from advisor.sheet.sheet import Sheet


def clashes(before: Sheet, after: Sheet) -> tuple[str, ...]:
    """Return what cannot both be right after a change and could before, one sentence each.

    Parameters
    ----------
    before, after
        The sheet without and with the change.

    """
    known = set(check_relations(before.leaves))
    return tuple(f"{path}: {words}" for path, words in check_relations(after.leaves) if (path, words) not in known)


def refuse_clashes(before: Sheet, after: Sheet) -> None:
    """Refuse a change that clashes with the rest of the sheet.

    Raises
    ------
    SheetError
        With every clash.

    """
    found = clashes(before, after)
    if found:
        raise SheetError(found)
