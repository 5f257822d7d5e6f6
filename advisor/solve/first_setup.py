"""The whole mount from rider, boots, board and bindings: the bench order, each step solved by trying every value.

Steps are solved in order, each over all values of what it sets, on what the steps before it left; `bench.py` says how
values are ranked. Angles come before centring but are judged after it: for every angle each foot is centred anew, and
what then touches the snow too soon counts first.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import isnan, nan
from typing import Literal

from advisor.geometry.board_size import waists_for_overhang_mm
from advisor.geometry.carve import needed_tilt_deg
from advisor.geometry.measuring import Measurements, measure, measure_all
from advisor.geometry.register import MEASURES, Place
from advisor.sheet.fields import field_rows
from advisor.sheet.practice import PracticeValue, load_practice
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.solve.bench import Bench, Step
from advisor.solve.bench_order import load_bench_order
from advisor.solve.options import SIDES
from advisor.solve.shortfall import narrowest_waist_mm
from advisor.solve.windows import load_windows

__all__ = ["FirstSetup", "first_setup"]


@dataclass(frozen=True)
class FirstSetup:
    """A whole mount.

    Parameters
    ----------
    outcome
        `set`: all that must be good is good. `refer`: the board is too narrow for this boot whatever is set (see
        `min_waist_mm`). `needs`: a number is missing.
    needs
        The sheet's fields that are missing.
    fit
        How the board's waist suits the boot at these angles: `fits`, `narrow`, `wide` or `unknown`; said first.
    waist_mm, min_waist_mm, max_waist_mm
        The board's waist, and the waists that suit, with the degrees in hand that the trade wants.
    sheet_after
        The sheet with the mount in it.
    steps
        In bench order.
    hand_over
        What to say at the end.

    """

    outcome: Literal["set", "refer", "needs"]
    needs: tuple[str, ...]
    fit: Literal["fits", "narrow", "wide", "unknown"]
    waist_mm: float
    min_waist_mm: float
    max_waist_mm: float
    sheet_after: Sheet
    steps: tuple[Step, ...]
    hand_over: str
    known: Known

    @cached_property
    def after(self) -> Measurements:
        """Return every measure of the mount."""
        return measure_all(self.known)


def first_setup(sheet: Sheet, *, practice: Mapping[str, PracticeValue] | None = None) -> FirstSetup:
    """Return the whole mount for a rider, boots, board and bindings; what the sheet says of its mount is set anew.

    Parameters
    ----------
    sheet
        What is known; seat and straps are kept as they are measured.
    practice
        The trade's numbers; those of `trees/practice.yaml` where missing.

    """
    practice = load_practice() if practice is None else practice
    bare = _bare(sheet)
    known = resolve(bare, practice)
    bench = Bench(bare, known)
    needs = bench.needs()
    steps: list[Step] = []
    bad = 0
    if not needs:
        for step in load_bench_order().steps.values():
            for foot in SIDES if step.alone else (None,):
                solved, missed = bench.solve(step, foot)
                steps += solved
                bad += missed
    after = bare
    for path, value in bench.settings().items():
        after = after.with_value(path, value)
    known = resolve(after, practice)
    narrowest, widest = _waists(known)
    waist = known.setup.board.waist_width_mm
    fit: Literal["fits", "narrow", "wide", "unknown"] = "fits"
    if isnan(waist + narrowest + widest):
        fit = "unknown"
    elif bad or waist < narrowest:
        fit = "narrow"
    elif waist > widest:
        fit = "wide"
    outcome: Literal["set", "refer", "needs"] = "needs" if needs else "refer" if bad else "set"
    return FirstSetup(
        outcome, needs, fit, waist, narrowest, widest, after, tuple(steps), load_bench_order().hand_over, known
    )


def _waists(known: Known) -> tuple[float, float]:
    """Return the narrowest and the widest waist that suit the boot at its angles, boots centred [mm].

    On the narrowest nothing touches before the needed tilt, with the degrees in hand, and no boot end hangs over
    further than its window: a rider who tips the board little would clear the snow on a board that looks absurd.
    """
    if not all(measure(known, MEASURES[name], Place()).known for name in ("min_waist_mm", "max_waist_mm")):
        return nan, nan
    setup = known.setup
    good = load_windows().good("heel_margin_deg", known)
    tilt = needed_tilt_deg(setup) + (good.low if good else 0.0)
    over = load_windows().good("heel_overhang_mm", known)
    hanging = max(waists_for_overhang_mm(setup, over.high)) if over else 0.0
    return max(narrowest_waist_mm(setup, tilt), hanging), measure(known, MEASURES["max_waist_mm"], Place()).value


def _bare(sheet: Sheet) -> Sheet:
    """Return the sheet with its mount at the start."""
    track = sheet.value("board.insert_pattern") == "slot_track"
    for path, start in load_bench_order().start.items():
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
