"""All measures as tables: every one with its formula, or the short form for a conversation."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.explain.text import Block, Heading, Points, Say, Table, Text
from advisor.explain.wording import quantity, short_name, shown_unit, value_words
from advisor.geometry.measuring import Measured, Measurements
from advisor.geometry.register import EDGES, MEASURES
from advisor.graph.knowledge import Knowledge
from advisor.sheet.units import UnitSystem


def measures_text(measurements: Measurements, units: UnitSystem = "metric") -> Text:
    """Return every measure with ± and, below it, its formula with the numbers put in."""
    blocks: list[Block] = []
    for name in MEASURES:
        taken = [one for one in measurements.values() if one.measure.id == name]
        blocks.append(Heading(f"{name}: {MEASURES[name].words}"))
        rows = tuple((_place(one), value_words(one, units), _work(one, units)) for one in taken)
        if taken[0].place.side is None:
            blocks.append(Table(("value", "from"), tuple(row[1:] for row in rows)))
        else:
            blocks.append(Table(("foot", "value", "from"), rows))
    return tuple(blocks)


def short_measures_text(measurements: Measurements, units: UnitSystem = "metric") -> Text:
    """Return every measure with ± on one line: those at the feet side by side, then those of the whole board."""
    feet: list[tuple[str, ...]] = []
    board: list[tuple[str, ...]] = []
    for name, measure in MEASURES.items():
        if name in measurements:
            board.append((short_name(name), value_words(measurements[name], units)))
        elif f"{name}.front" in measurements:
            feet.append(
                (short_name(name), *(value_words(measurements[f"{name}.{s}"], units) for s in ("front", "back")))
            )
        elif measure:
            feet += [
                (
                    f"{short_name(name)}, {edge} edge",
                    *(value_words(measurements[f"{name}.{side}.{edge}"], units) for side in ("front", "back")),
                )
                for edge in EDGES
            ]
    return (
        Heading("At the feet"),
        Table(("measure", "front", "back"), tuple(feet), right=(1, 2)),
        Heading("Board, stance and screws"),
        Table(("measure", "value"), tuple(board), right=(1,)),
        Say("'numbers heel' shows those with 'heel' in their name, with formula and source."),
    )


def named_measures_text(
    measurements: Measurements, words: str, knowledge: Knowledge, units: UnitSystem = "metric"
) -> Text:
    """Return the measures whose name or words hold each of the words asked for, with meaning, formula and source."""
    wanted = words.lower().replace("_", " ").split()
    blocks: list[Block] = []
    for name, measure in MEASURES.items():
        if not all(word in f"{short_name(name)} {measure.words}".lower() for word in wanted):
            continue
        taken = [one for one in measurements.values() if one.measure.id == name]
        blocks.append(Heading(f"{short_name(name)}: {measure.words}"))
        blocks.append(Points(tuple(_lines(taken, units))))
        blocks.append(Say(f"Source: {knowledge.source(measure.source)}."))
    if not blocks:
        names = ", ".join(short_name(name) for name in MEASURES)
        return (Say(f"No measure has '{words}' in its name. There are: {names}."),)
    return tuple(blocks)


def _lines(taken: Iterable[Measured], units: UnitSystem) -> Iterable[str]:
    for one in taken:
        place = f"{_place(one)}: " if one.place.side else ""
        yield f"{place}{value_words(one, units)}; {_work(one, units)}"


def _place(one: Measured) -> str:
    return str(one.place).replace(".", " ") if one.place.side else ""


def _work(one: Measured, units: UnitSystem) -> str:
    """Return a measure's formula; formulas are worked in metric, so in other units they end in the metric value."""
    if not one.known:
        return f"needs {', '.join(one.needs)}"
    unit = shown_unit(one.measure.id, one.measure.unit)
    metric, shown = (quantity(one.value, unit, system) for system in ("metric", units))
    return one.formula if metric == shown or not one.formula else f"{one.formula} = {metric} = {shown}"
