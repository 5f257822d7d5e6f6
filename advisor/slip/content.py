"""What stands on a slip, from a case of the log, before anyone decides how it looks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from advisor.cases.of_answer import sheet_of
from advisor.cases.record import CaseRecord
from advisor.draw import from_above, in_section
from advisor.draw.scene import LeadingFoot, Scene
from advisor.errors import UnknownName
from advisor.explain.wording import in_units
from advisor.geometry.parts import Edge
from advisor.geometry.register import EDGES, MEASURES, SIDES, Place
from advisor.sheet.knowledge import entry_fault, load_table
from advisor.sheet.plain_text import clean
from advisor.sheet.practice import load_practice
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.setup import FootSide, Setup
from advisor.sheet.sheet import Sheet
from advisor.sheet.units import UnitSystem
from advisor.solve.windows import load_windows

__all__ = ["Check", "Slip", "slip_of"]

_SHORT, _LONG = 60, 1000
_MOST_LINES = 30
_WHOLE = "whole"


@dataclass(frozen=True, slots=True)
class Check:
    """One line of the checklist; the change itself is `main`, opening and closing are not."""

    words: str
    main: bool = False


@dataclass(frozen=True)
class Slip:
    """Everything that stands on the page.

    Parameters
    ----------
    record
        The case; its inputs travel with the slip.
    alias, date, number, complaint
        The head.
    title, because
        The cause and why.
    checks
        What to do, in order.
    refer_to, refer
        Who or what helps, where no adjustment does, and why.
    costs, feel
        What it costs elsewhere, and what to feel for.
    come_back, cautions
        When to come back, and what to mind.
    above, sections
        The pictures: the board from above, and one foot in section, before and after.
    units
        `metric` or `imperial`.

    """

    record: CaseRecord
    alias: str
    date: str
    number: str
    complaint: str
    title: str
    because: str
    checks: tuple[Check, ...]
    refer_to: str
    refer: str
    costs: str
    feel: str
    come_back: tuple[str, ...]
    cautions: tuple[str, ...]
    above: Scene | None
    sections: tuple[tuple[str, Scene], ...]
    units: UnitSystem = "metric"

    def cut(self, longest: int) -> Slip:
        """Return the slip with every text cut to a length."""

        def several(texts: tuple[str, ...]) -> tuple[str, ...]:
            return tuple(clean(text, longest) for text in texts)

        return replace(
            self,
            title=clean(self.title, longest),
            because=clean(self.because, longest),
            checks=tuple(replace(check, words=clean(check.words, longest)) for check in self.checks),
            refer=clean(self.refer, longest),
            refer_to=clean(self.refer_to, longest),
            costs=clean(self.costs, longest),
            feel=clean(self.feel, longest),
            come_back=several(self.come_back),
            cautions=several(self.cautions),
        )

    @property
    def does(self) -> str:
        """Return the heading over what is to be done."""
        if self.checks:
            return "Do this"
        return f"This goes to {self.refer_to}" if self.refer and self.refer_to != "nobody" else "Leave it as it is"


def slip_of(record: CaseRecord, units: UnitSystem = "metric") -> Slip:
    """Return what stands on a case's slip.

    Parameters
    ----------
    record
        The case. Its texts may be anything: they are cut and cleaned here.
    units
        Units to show.

    Raises
    ------
    AdvisorError
        When the case's sheet can't be used.

    """
    known = resolve(sheet_of(record.sheet, f"case {record.id}: sheet"), load_practice())
    after = sheet_of(record.sheet_after, f"case {record.id}: sheet after") if record.sheet_after else None
    known_after = resolve(after, load_practice()) if after else None
    advice = record.advice
    refer = _mapping(advice.get("refer"))
    table = _slip_table()

    def told(key: str, where: Mapping[str, Any] = advice, longest: int = _LONG) -> str:
        return in_units(clean(str(where.get(key, "")), longest), units)

    changes = [_mapping(one) for one in advice.get("changes", ()) or ()][:_MOST_LINES]
    come_back = table["come_back"]["advice" if changes else "refer" if refer else "leave"]
    why = " ".join(part for part in (told("because"), told("says")) if part)
    return Slip(
        record=record,
        alias=clean(record.alias, _SHORT),
        date=clean(record.at[:10], _SHORT),
        number=record.id,
        complaint=clean(record.complaint, 2 * _SHORT) or told("complaint", longest=_SHORT),
        title=told("title", longest=2 * _SHORT),
        because=why,
        checks=tuple(_checks(changes, known, units)),
        refer_to=told("to", refer, _SHORT),
        refer=" ".join(part for part in (told("says", refer), told("shortfall", refer)) if part),
        costs=told("costs"),
        feel=told("feel"),
        come_back=tuple(map(str, come_back)) if record.outcome != "needs" else (),
        cautions=tuple(_texts(advice.get("cautions"), units)),
        above=_above(known, known_after, record),
        sections=_sections(known, known_after, record),
        units=units,
    )


def _texts(raw: object, units: UnitSystem) -> list[str]:
    texts = raw if isinstance(raw, list | tuple) else ()
    return [in_units(clean(str(one), _LONG), units) for one in texts][:_MOST_LINES]


def _mapping(raw: object) -> Mapping[str, Any]:
    return raw if isinstance(raw, Mapping) else {}


@cache
def _slip_table() -> dict[str, Any]:
    table = load_table("slip.yaml")
    for key, kind in (("work", dict), ("torque", str), ("come_back", dict)):
        if not isinstance(table.get(key), kind):
            raise entry_fault("slip.yaml", key, f"expected {'a text' if kind is str else 'a mapping'}; restore it")
    for key in ("advice", "refer", "leave"):
        if not isinstance(table["come_back"].get(key), list):
            raise entry_fault("slip.yaml", f"come_back.{key}", "expected a list of sentences")
    return table


@cache
def _adjustments() -> dict[str, Any]:
    table: dict[str, Any] = load_table("adjustments.yaml")["adjustments"]
    return table


# ---------------------------------------------------------------------- the checklist


def _checks(changes: list[Mapping[str, Any]], known: Known, units: UnitSystem) -> Iterator[Check]:
    """Yield the handwork in bench order: open each part once, change what it holds, close it."""
    for (work, foot), held in _by_part(changes).items():
        bench = _mapping(_slip_table()["work"].get(work))
        spots = {"{foot}": foot or "front and back", "{torque}": _torque(known)}
        if bench.get("open"):
            yield Check(_put_in(bench["open"], spots))
        for change in held:
            yield Check(in_units(clean(str(change.get("words", "")), _LONG), units), main=True)
            for name in change.get("needs", ()) or ():
                words = _mapping(_adjustments().get(str(name))).get("words")
                if words:
                    yield Check(f"Then check: {clean(str(words), _LONG)}.")
        if bench.get("close"):
            yield Check(_put_in(bench["close"], spots))


def _by_part(changes: list[Mapping[str, Any]]) -> dict[tuple[str, str], list[Mapping[str, Any]]]:
    """Return the changes by what has to be opened for them and at which foot, in the order advised."""
    found: dict[tuple[str, str], list[Mapping[str, Any]]] = {}
    for change in changes:
        known = _mapping(_adjustments().get(str(change.get("id"))))
        work = str(known.get("work", "nothing")) if known else _WHOLE
        foot = str(change.get("foot") or "") if known else ""
        found.setdefault((work, foot if foot in SIDES else ""), []).append(change)
    return found


def _put_in(words: str, spots: Mapping[str, str]) -> str:
    for spot, text in spots.items():
        words = words.replace(spot, text)
    return words


def _torque(known: Known) -> str:
    window = load_windows().window("screw_torque_nm", known.setup)
    if window is None:
        return "to the maker's torque."
    words: str = _slip_table()["torque"]
    return words.format(low=f"{window.good.low:g}", high=f"{window.good.high:g}")


# ---------------------------------------------------------------------- the pictures


def _leading(sheet: Sheet | None) -> LeadingFoot:
    return "right" if sheet is not None and sheet.value("rider.leading_foot") == "right" else "left"


def _above(known: Known, after: Known | None, record: CaseRecord) -> Scene | None:
    scene = from_above(known.setup, after.setup if after else None, _leading(sheet_of(record.sheet)))
    return None if scene.needs else scene


def _sections(known: Known, after: Known | None, record: CaseRecord) -> tuple[tuple[str, Scene], ...]:
    place = _section_place(known.setup, record)
    if place is None:
        return ()
    side, edge = place
    drawn = [("Now" if after is None else "Before", in_section(known.setup, side, edge))]
    if after is not None:
        drawn.append(("After", in_section(after.setup, side, edge)))
    return tuple((f"{when}: {side} foot, {edge} edge", scene) for when, scene in drawn if not scene.needs)


def _section_place(setup: Setup, record: CaseRecord) -> tuple[FootSide, Edge] | None:
    """Return the foot and edge that the advice is about, else those with the least tilt to spare."""
    advice = record.advice
    feet = [foot for foot in SIDES if foot in (advice.get("feet") or ())]
    feet += [foot for one in advice.get("changes", ()) or () for foot in SIDES if _mapping(one).get("foot") == foot]
    names = [str(_mapping(aim).get("key", "")) for aim in advice.get("aims", ()) or ()]
    names += [
        str(_mapping(step).get("measure", ""))
        for line in record.trail
        if line.get("suspect") == record.suspect
        for step in line.get("steps", ()) or ()
    ]
    for name in names:
        for edge in EDGES:
            if name.startswith(f"{edge}_"):
                side = next((one for one in SIDES if name.endswith(f".{one}")), feet[0] if feet else "front")
                return side, edge
    return _tightest(setup, feet) if advice.get("changes") else None


def _tightest(setup: Setup, feet: list[FootSide]) -> tuple[FootSide, Edge] | None:
    found: list[tuple[float, FootSide, Edge]] = []
    for side in feet[:1] or SIDES:
        for edge in EDGES:
            try:
                margin = MEASURES[f"{edge}_margin_deg"].at(setup, Place(side))
            except (ValueError, ZeroDivisionError, OverflowError, UnknownName):
                continue
            if margin == margin:
                found.append((margin, side, edge))
    return min(found)[1:] if found else None
