"""What a picture cannot do without."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import isfinite

from advisor.draw.scene import LeadingFoot, Panel
from advisor.geometry.measuring import measure
from advisor.geometry.register import Place, measure_named
from advisor.sheet.readings import Known
from advisor.sheet.setup import Setup

UNFIT = "numbers that fit together (sidecut radius, widths, boot)"


def missing_fields(
    setups: Iterable[Setup], wanted: Sequence[tuple[str, Place]], leading: LeadingFoot
) -> tuple[str, ...]:
    """Return the sheet's fields without which the wanted measures have no value, each once."""
    from advisor.sheet.paths import sheet_path

    found: dict[str, None] = {}
    for setup in setups:
        known = Known(setup, {})
        for name, place in wanted:
            gaps = _gaps(known, name, place)
            found.update(dict.fromkeys(_named(path, leading, sheet_path) for path in gaps))
    return tuple(found)


def _named(path: str, leading: LeadingFoot, sheet_path: Callable[[str, str], str]) -> str:
    return sheet_path(path.removeprefix("mount."), leading) or path


def _gaps(known: Known, name: str, place: Place) -> tuple[str, ...]:
    try:
        taken = measure(known, measure_named(name), place)
    except (ValueError, ZeroDivisionError, OverflowError):
        return (UNFIT,)
    if taken.needs:
        return taken.needs
    return () if isfinite(taken.value) else (UNFIT,)


def unfit(panels: Iterable[Panel]) -> bool:
    """Return whether a panel holds a point that is no number."""
    return not all(isfinite(x) and isfinite(y) for panel in panels for x, y in (*panel.points(), panel.box[:2]))
