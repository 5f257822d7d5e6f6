"""What stands on a slip, from a case of the log, before anyone decides how it looks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from advisor.cases.of_answer import sheet_of
from advisor.cases.record import CaseRecord
from advisor.draw import from_above, in_section
from advisor.draw.scene import LeadingFoot, Scene
from advisor.errors import UnknownName
from advisor.explain.wording import in_units
from advisor.geometry.parts import Edge
from advisor.geometry.register import EDGES, MEASURES, SIDES, Place
from advisor.knowledge.trees import Trees
from advisor.plain_text import clean
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.setup import FootSide, Setup
from advisor.sheet.sheet import Sheet
from advisor.sheet.units import UnitSystem
from advisor.slip.checklist import Check, as_mapping, checks_of, put_back, slip_table

__all__ = ["Check", "Slip", "slip_of"]

_SHORT, _LONG = 60, 1000
_MOST_LINES = 30


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
    earlier
        That the change of the visit before stays, where it does.
    does, checks, told
        The heading over what is to be done, what to do in order, and what is told where nothing is done here.
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
    earlier: str
    does: str
    checks: tuple[Check, ...]
    told: str
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
            earlier=clean(self.earlier, longest),
            does=clean(self.does, longest),
            told=clean(self.told, longest),
            costs=clean(self.costs, longest),
            feel=clean(self.feel, longest),
            come_back=several(self.come_back),
            cautions=several(self.cautions),
        )


def slip_of(
    record: CaseRecord,
    units: UnitSystem = "metric",
    before: CaseRecord | None = None,
    *,
    trees: Trees | None = None,
) -> Slip:
    """Return what stands on a case's slip.

    Parameters
    ----------
    record
        The case. Its texts may be anything: they are cut and cleaned here.
    units
        Units to show.
    before
        The case that this one follows, where the log still has it: its change is put back first, or stays.

    Raises
    ------
    AdvisorError
        When the case's sheet can't be used.

    """
    known = resolve(sheet_of(record.sheet, f"case {record.id}: sheet"), trees=trees)
    after = sheet_of(record.sheet_after, f"case {record.id}: sheet after") if record.sheet_after else None
    known_after = resolve(after, trees=trees) if after else None
    advice = record.advice
    table = slip_table(trees)

    def told(key: str, where: Mapping[str, Any] = advice, longest: int = _LONG) -> str:
        return in_units(clean(str(where.get(key, "")), longest), units)

    changes = [as_mapping(one) for one in advice.get("changes", ()) or ()][:_MOST_LINES]
    does, below, come_back = _end(record, units, known.trees)
    checks = tuple(checks_of(changes, _texts(advice.get("steps"), units), known, units))
    earlier, goes_back = put_back(record, before, trees)
    back = (Check(in_units(earlier, units), main=True),) if goes_back else ()
    return Slip(
        record=record,
        alias=clean(record.alias, _SHORT),
        date=clean(record.at[:10], _SHORT),
        number=record.id,
        complaint=clean(record.complaint, 2 * _SHORT) or told("complaint", longest=_SHORT),
        title=told("title", longest=2 * _SHORT),
        because=" ".join(part for part in (told("because"), told("says")) if part),
        earlier="" if goes_back else in_units(earlier, units),
        does="Do this" if checks or back else does,
        checks=(*back, *checks),
        told=below,
        costs=told("costs"),
        feel=told("feel"),
        come_back=tuple(map(str, table["come_back"]["advice" if checks or back else come_back]))
        if record.outcome != "needs"
        else (),
        cautions=tuple(_texts(advice.get("cautions"), units)),
        above=_above(known, known_after, record),
        sections=_sections(known, known_after, record),
        units=units,
    )


def _end(record: CaseRecord, units: UnitSystem, trees: Trees) -> tuple[str, str, str]:
    """Return, for a case without a change: the heading, what is told below it, and when to come back."""
    advice, refer = record.advice, as_mapping(record.advice.get("refer"))

    def told(raw: object) -> str:
        return in_units(clean(str(raw or ""), _LONG), units)

    if refer:
        below = " ".join(part for part in (told(refer.get("says")), told(refer.get("shortfall"))) if part)
        to = clean(str(refer.get("to", "")), _SHORT)
        return ("Leave it as it is", below, "leave") if to == "nobody" else (f"This goes to {to}", below, "refer")
    if record.outcome == "needs":
        return slip_table(trees)["open"], told(advice.get("open")), "leave"
    if advice.get("near"):
        return "How near it comes", told(advice["near"]), "leave"
    # Words that only tell something have no heading of their own.
    return "Leave it as it is" if advice.get("aims") else "", "", "leave"


def _texts(raw: object, units: UnitSystem) -> list[str]:
    texts = raw if isinstance(raw, list | tuple) else ()
    return [in_units(clean(str(one), _LONG), units) for one in texts][:_MOST_LINES]


# ---------------------------------------------------------------------- the pictures


def _leading(sheet: Sheet | None) -> LeadingFoot:
    return "right" if sheet is not None and sheet.value("rider.leading_foot") == "right" else "left"


def _above(known: Known, after: Known | None, record: CaseRecord) -> Scene | None:
    leading = _leading(sheet_of(record.sheet))
    scene = from_above(known.setup, after.setup if after else None, leading)
    if scene.compared and not scene.moves:
        scene = from_above(known.setup, None, leading)
    return None if scene.needs else scene


def _sections(known: Known, after: Known | None, record: CaseRecord) -> tuple[tuple[str, Scene], ...]:
    place = _section_place(known.setup, record)
    if place is None:
        return ()
    side, edge = place
    now = in_section(known.setup, side, edge)
    drawn = [("As it is", now)]
    if after is not None:
        then = in_section(after.setup, side, edge)
        # A change that can't be seen in section is not drawn twice.
        drawn = [("Unchanged", then)] if then == now else [("Before", now), ("After", then)]
    return tuple((f"{when}: {side} foot, {edge} edge", scene) for when, scene in drawn if not scene.needs)


def _section_place(setup: Setup, record: CaseRecord) -> tuple[FootSide, Edge] | None:
    """Return the foot and edge that the advice is about, else those with the least tilt to spare."""
    advice = record.advice
    feet = [foot for foot in SIDES if foot in (advice.get("feet") or ())]
    feet += [foot for one in advice.get("changes", ()) or () for foot in SIDES if as_mapping(one).get("foot") == foot]
    names = [str(as_mapping(aim).get("key", "")) for aim in advice.get("aims", ()) or ()]
    names += [
        str(as_mapping(step).get("measure", ""))
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
