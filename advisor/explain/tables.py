"""All measures as tables."""

from __future__ import annotations

from advisor.explain.text import Block, Heading, Table, Text
from advisor.explain.wording import value_words
from advisor.geometry.measuring import Measured, Measurements
from advisor.geometry.register import MEASURES
from advisor.sheet.units import UnitSystem

__all__ = ["measures_text"]


def measures_text(measurements: Measurements, units: UnitSystem = "metric") -> Text:
    """Return every measure with ± and, below it, its formula with the numbers put in."""
    blocks: list[Block] = []
    for name in MEASURES:
        taken = [one for one in measurements.values() if one.measure.id == name]
        blocks.append(Heading(f"{name}: {MEASURES[name].words}"))
        rows = tuple((str(one.place).replace(".", " "), _value(one, units), _work(one)) for one in taken)
        if taken[0].place.side is None:
            blocks.append(Table(("value", "from"), tuple(row[1:] for row in rows)))
        else:
            blocks.append(Table(("foot", "value", "from"), rows))
    return tuple(blocks)


def _value(one: Measured, units: UnitSystem) -> str:
    return value_words(one, units)


def _work(one: Measured) -> str:
    return one.formula if one.known else f"needs {', '.join(one.needs)}"
