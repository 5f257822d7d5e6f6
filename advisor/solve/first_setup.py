"""The whole mount from rider, boots, board and bindings: the bench order, each step solved by trying every value.

Steps are solved one after the other, each over all values of what it sets, on what the steps before it left; `bench.py`
says how values are ranked. Angles come before centring but are judged after it: for every angle each foot is centred
anew, and what then touches the snow too soon counts first. A step whose numbers are missing is told without them, and
leaves its fields open.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import isnan, nan
from typing import Literal

from advisor.geometry.board_size import waists_for_overhang_mm
from advisor.geometry.carve import needed_tilt_deg
from advisor.geometry.measuring import Measurements, measure, measure_all
from advisor.geometry.register import MEASURES, Place
from advisor.knowledge.trees import Trees
from advisor.sheet.fields import field_rows
from advisor.sheet.measured import as_fields
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.solve.bench import Bench, Step
from advisor.solve.bench_order import BenchStep, load_bench_order
from advisor.solve.options import SIDES
from advisor.solve.shortfall import narrowest_waist_mm
from advisor.solve.windows import load_windows


@dataclass(frozen=True)
class FirstSetup:
    """A whole mount.

    Parameters
    ----------
    outcome
        `set`: mounted as far as the numbers reach. `refer`: the board is too narrow for this boot whatever is set (see
        `min_waist_mm`).
    needs
        Fields that would tell more and are not on the sheet, what is worth asking for first.
    fit
        How the board's waist suits the boot at these angles: `fits`, `narrow`, `wide` or `unknown`; said first.
    waist_mm, min_waist_mm, max_waist_mm
        The board's waist, and the waists that suit, with the degrees in hand that the trade wants.
    length
        How the board's length suits the rider's weight: `fits`, `short`, `long` or `unknown`; said first.
    lengths_cm
        The lengths that suit; `nan` where the weight is not known.
    sheet_after
        The sheet with the mount in it.
    steps
        In bench order; those that could not be decided have no settings.
    hand_over
        What to say at the end.

    """

    outcome: Literal["set", "refer"]
    needs: tuple[str, ...]
    fit: Literal["fits", "narrow", "wide", "unknown"]
    waist_mm: float
    min_waist_mm: float
    max_waist_mm: float
    length: Literal["fits", "short", "long", "unknown"]
    lengths_cm: tuple[float, float]
    sheet_after: Sheet
    steps: tuple[Step, ...]
    hand_over: str
    known: Known

    @cached_property
    def after(self) -> Measurements:
        """Return every measure of the mount."""
        return measure_all(self.known)


def first_setup(sheet: Sheet, *, trees: Trees | None = None, stance: str | None = None) -> FirstSetup:
    """Return the whole mount for a rider, boots, board and bindings; what the sheet says of its mount is set anew.

    Parameters
    ----------
    sheet
        What is known; seat and straps are kept as they are measured.
    trees
        The knowledge; the authors' where missing.
    stance
        The kind of stance that angles and lean go to; the rider's style where missing.

    """
    order = load_bench_order(trees)
    bare = _bare(as_fields(sheet, resolve(sheet, trees=trees).readings), trees)
    known = resolve(bare, trees=trees)
    bench = Bench(bare, known, stance or known.setup.rider.style)
    solved: dict[str, list[Step]] = {}
    bad = 0
    for step in order.solving():
        for foot in SIDES if step.alone else (None,):
            found, missed = bench.solve(step, foot)
            solved.setdefault(step.id, []).extend(found)
            bad += missed
    steps = _in_bench_order(solved, order.steps)
    after = bare
    for path, value in bench.settings().items():
        after = after.with_value(path, value)
    for path in (path for step in steps for path in step.left_open):
        after = after.without(path)
    known = resolve(after, trees=trees)
    waist, narrowest, widest = _waists(known, after)
    fit: Literal["fits", "narrow", "wide", "unknown"] = "fits"
    if isnan(waist + narrowest + widest):
        fit = "unknown"
    elif bad or waist < narrowest:
        fit = "narrow"
    elif waist > widest:
        fit = "wide"
    length, lengths = lengths_that_suit(sheet, trees)
    needs = tuple(ask.path for ask in order.asks if not any(sheet.value(one) for one in (ask.path, *ask.instead)))
    return FirstSetup(
        "refer" if bad or (not isnan(waist) and _hangs_over(_on_a_usual_board(known, after))) else "set",
        needs, fit, waist, narrowest, widest, length, lengths, after, steps, order.hand_over, known,
    )  # fmt: skip


def _in_bench_order(solved: Mapping[str, list[Step]], order: Mapping[str, BenchStep]) -> tuple[Step, ...]:
    """Return the steps in the order of the bench, each told with the fields that it takes over from a later one."""
    steps: list[Step] = []
    for name, step in order.items():
        mine = solved[name]
        if step.takes:
            mine = [replace(one, settings={**_taken(step, one, solved), **one.settings}) for one in mine]
        taken = {part for other in order.values() if other.id != name for part in other.takes}
        for one in mine:
            settings = {p: v for p, v in one.settings.items() if p.rpartition(".")[2] not in taken}
            steps.append(replace(one, settings=settings))
    return tuple(one for place, one in enumerate(steps) if one.decided or one.id not in {s.id for s in steps[:place]})


def _taken(step: BenchStep, one: Step, solved: Mapping[str, list[Step]]) -> dict[str, LeafValue]:
    later = solved[step.after] if step.after else []
    return {
        path: value
        for other in later
        if other.foot == one.foot
        for path, value in other.settings.items()
        if path.rpartition(".")[2] in step.takes
    }


def _hangs_over(known: Known) -> bool:
    """Return whether boots, centred, hang over both edges further than the trade ever lets them."""
    window = load_windows(known.trees).window("toe_overhang_mm.front", known.setup)
    if window is None or isnan(known.setup.board.waist_width_mm):
        return False
    try:
        return known.setup.board.waist_width_mm < max(waists_for_overhang_mm(known.setup, window.close.high))
    except (ValueError, ZeroDivisionError):
        return False


def lengths_that_suit(
    sheet: Sheet, trees: Trees | None = None
) -> tuple[Literal["fits", "short", "long", "unknown"], tuple[float, float]]:
    """Return how the board's length suits the rider's weight, and the lengths that do [cm]; `nan` without a weight."""
    weight, length = sheet.value("rider.weight_kg"), sheet.value("board.length_cm")
    if not isinstance(weight, int | float):
        return "unknown", (nan, nan)
    order = load_bench_order(trees)
    suits = next((one for one in order.lengths if weight < one.below_kg), order.lengths[-1])
    ends = (suits.low_cm, suits.high_cm)
    if not isinstance(length, int | float):
        return "unknown", ends
    if length < suits.low_cm - order.length_spare_cm:
        return "short", ends
    return ("long" if length > suits.high_cm + order.length_spare_cm else "fits"), ends


def _on_a_usual_board(known: Known, sheet: Sheet) -> Known:
    """Return the set-up with a usual board's numbers where the sheet has none."""
    missing = {p: value for p, value in load_bench_order(known.trees).stand_in.items() if sheet.value(p) is None}
    for path, value in missing.items():
        sheet = sheet.with_value(path, value)
    return resolve(sheet, trees=known.trees) if missing else known


def _waists(known: Known, sheet: Sheet) -> tuple[float, float, float]:
    """Return the board's waist, and the narrowest and the widest that suit the boot at its angles, boots centred [mm].

    On the narrowest nothing touches before the needed tilt, with the degrees in hand, and no boot end hangs over
    further than its window: a rider who tips the board little would clear the snow on a board that looks absurd. Where
    no board is told yet, a usual one stands in for it.
    """
    waist = known.setup.board.waist_width_mm
    known = _on_a_usual_board(known, sheet)
    if not all(measure(known, MEASURES[name], Place()).known for name in ("min_waist_mm", "max_waist_mm")):
        return waist, nan, nan
    setup = known.setup
    good = load_windows(known.trees).good("heel_margin_deg", known)
    tilt = needed_tilt_deg(setup) + (good.low if good else 0.0)
    over = load_windows(known.trees).good("heel_overhang_mm", known)
    hanging = max(waists_for_overhang_mm(setup, over.high)) if over else 0.0
    narrowest = narrowest_waist_mm(setup, tilt)
    return waist, max(narrowest, hanging), measure(known, MEASURES["max_waist_mm"], Place()).value


def _bare(sheet: Sheet, trees: Trees | None) -> Sheet:
    """Return the sheet with its mount at the start."""
    track = sheet.value("board.insert_pattern") == "slot_track"
    for path, start in load_bench_order(trees).start.items():
        name = path.rpartition(".")[2]
        if name == ("row" if track else "track_mm"):
            sheet = sheet.without(path)
            continue
        value: LeafValue | None = start
        if isinstance(start, str) and start in field_rows():
            value = sheet.value(start)
        steps = sheet.value(f"bindings.{name}_steps") if f"bindings.{name}_steps" in field_rows() else None
        notch = sheet.value("bindings.notch_deg")
        if isinstance(steps, tuple) and isinstance(value, int):
            value = max(steps[0], min(steps[1], value))
        if name == "angle_deg" and isinstance(notch, int | float) and isinstance(value, int | float):
            value = round(value / notch) * notch
        sheet = sheet.without(path) if value is None else sheet.with_value(path, value)
    return sheet
