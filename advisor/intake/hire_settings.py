"""Settings from little: height, weight, shoe and style give angles, width, lean, and the board that they want.

The same first set-up as at the counter answers; what hangs on boots and style alone is worked out once for all riders
who share them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import isnan
from typing import TYPE_CHECKING, Any

from advisor.doubt.doubts import doubts_of
from advisor.intake.hire_list import FILE, HireRider
from advisor.knowledge.trees import Trees, authors
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Leaf, Sheet
from advisor.solve.bench_order import load_bench_order
from advisor.solve.first_setup import FirstSetup, first_setup, lengths_that_suit
from advisor.solve.windows import load_windows

if TYPE_CHECKING:
    from advisor.shelf.items import Item

_OF_THE_BODY = frozenset({"rider.height_cm", "rider.weight_kg"})
_IN_TWO = 200


@dataclass(frozen=True)
class HireSettings:
    """What to set for one rider; lengths in mm where their name says nothing else.

    Parameters
    ----------
    rider
        The line of the list.
    front_deg, back_deg, lean_front_deg, lean_back_deg
        The first set-up's.
    width_mm, width_spread_mm
        The middle of the stance widths that suit, and half of what does.
    sole_mm, sole_spread_mm
        What the boot's sole is likely to be.
    board_cm, waist_mm
        Lengths and waists that suit; `nan` where too little is known.
    board
        The fleet's board that suits best, its label; empty where none or no fleet.
    rows
        Rows outward on both feet on that board; None where it is not known.
    doubts
        What to ask or look at again.

    """

    rider: HireRider
    front_deg: float
    back_deg: float
    lean_front_deg: float
    lean_back_deg: float
    width_mm: float
    width_spread_mm: float
    sole_mm: float
    sole_spread_mm: float
    board_cm: tuple[float, float]
    waist_mm: tuple[float, float]
    board: str = ""
    rows: int | None = None
    doubts: tuple[str, ...] = ()


@lru_cache(maxsize=4096)
def _shared(leaves: tuple[tuple[str, Leaf], ...], trees: Trees) -> FirstSetup:
    return first_setup(Sheet("", dict(leaves)), trees=trees)


def settings_for(rider: HireRider, fleet: Sequence[Item] = (), trees: Trees | None = None) -> HireSettings:
    """Return what to set for one rider.

    Parameters
    ----------
    rider
        The line of the list.
    fleet
        The shop's boards for hire.
    trees
        The knowledge; the authors' where missing.

    """
    sheet, trees = rider.sheet, trees or authors()
    shared = _shared(tuple(sorted((p, leaf) for p, leaf in sheet.leaves.items() if p not in _OF_THE_BODY)), trees)
    mounted = shared.sheet_after
    known = resolve(sheet, trees=trees)
    width = load_windows(trees).good("stance_width_mm", known)
    assert width is not None, "a height gives a stance width"
    sole = known.readings["boots.outsole_length_mm"]
    _, lengths = lengths_that_suit(sheet, trees)
    waists = (shared.min_waist_mm, shared.max_waist_mm)
    middle = (width.low + width.high) / 2
    board = _board(fleet, lengths, waists)
    style = str(sheet.value("rider.style"))
    lean = load_bench_order(trees).steps["lean"]
    doubts = [*rider.guessed, *(doubt.says for doubt in doubts_of(sheet, trees=trees))]
    words = trees.table(FILE)["doubts"]
    if isnan(lengths[0]):
        doubts.append(words["no_weight"])
    elif fleet and board is None:
        doubts.append(_no_board(words["no_board"], lengths, waists))
    return HireSettings(
        rider,
        _number(mounted.value("mount.front.angle_deg")),
        _number(mounted.value("mount.back.angle_deg")),
        _number(lean.goal("front.lean_deg", style)),
        _number(lean.goal("back.lean_deg", style)),
        round(middle, -1),
        round((width.high - width.low) / 2, -1),
        round(sole.value),
        round(sole.plus_minus),
        lengths,
        waists,
        board.label if board else "",
        _rows(board, middle, trees) if board else None,
        tuple(doubts),
    )


def _number(value: Any) -> float:
    return float(value) if isinstance(value, int | float) else float("nan")


def _no_board(words: str, lengths: tuple[float, float], waists: tuple[float, float]) -> str:
    return words.format(
        low=f"{lengths[0]:.0f}", high=f"{lengths[1]:.0f}", least=f"{waists[0]:.0f}", most=f"{waists[1]:.0f} mm"
    )


def _board(fleet: Sequence[Item], lengths: tuple[float, float], waists: tuple[float, float]) -> Item | None:
    """Return the board nearest to the middle of both, among those that lie within both."""
    best: tuple[float, Item] | None = None
    for item in fleet:
        length, waist = item.numbers.get("board.length_cm"), item.numbers.get("board.waist_width_mm")
        if length is None or waist is None or isnan(lengths[0]) or isnan(waists[0]):
            continue
        if lengths[0] <= length <= lengths[1] and waists[0] <= waist <= waists[1]:
            away = abs(length - sum(lengths) / 2) / (lengths[1] - lengths[0] + 1)
            away += abs(waist - sum(waists) / 2) / (waists[1] - waists[0] + 1)
            if best is None or away < best[0]:
                best = away, item
    return best[1] if best else None


def _rows(board: Item, width_mm: float, trees: Trees) -> int | None:
    """Return the rows outward on both feet that come nearest to a width; None where the board's are not known."""
    known = resolve(Sheet("", dict(board.leaves)), trees=trees)
    reference, pitch = known.readings.get("board.reference_width_mm"), known.readings.get("board.row_pitch_mm")
    if reference is None or pitch is None or pitch.origin == "assumed" or not pitch.value:
        return None
    rows = round((width_mm - reference.value) / 2 / pitch.value)
    each = known.readings.get("board.rows_each_way")
    most = int(each.value) if each and each.origin != "assumed" else abs(rows)
    return max(-most, min(most, rows))


def settings_for_all(
    riders: Sequence[HireRider], fleet: Sequence[Item] = (), processes: int = 1, trees: Trees | None = None
) -> list[HireSettings]:
    """Return what to set for many riders, in their order.

    Parameters
    ----------
    riders
        The list.
    fleet
        The shop's boards for hire.
    processes
        How many to work with; riders with like boots go to the same.
    trees
        The knowledge; the authors' where missing.

    """
    if processes < 2 or len(riders) < _IN_TWO:
        return [settings_for(rider, fleet, trees) for rider in riders]
    from concurrent.futures import ProcessPoolExecutor

    parts: list[list[HireRider]] = [[] for _ in range(processes)]
    for rider in sorted(riders, key=_likeness):
        parts[_part_of(rider, processes)].append(rider)
    with ProcessPoolExecutor(processes) as pool:
        done = pool.map(_of_part, parts, [tuple(fleet)] * processes, [trees] * processes)
        by_line = {one.rider.line: one for part in done for one in part}
    return [by_line[rider.line] for rider in riders]


def _likeness(rider: HireRider) -> str:
    return f"{rider.sheet.value('boots.size')} {rider.sheet.value('rider.style')}"


def _part_of(rider: HireRider, parts: int) -> int:
    from zlib import crc32

    return crc32(_likeness(rider).encode()) % parts


def _of_part(riders: Iterable[HireRider], fleet: tuple[Item, ...], trees: Trees | None) -> list[HireSettings]:
    return [settings_for(rider, fleet, trees) for rider in riders]


def as_mapping(one: HireSettings) -> Mapping[str, Any]:
    """Return one rider's settings as a script reads them; what is not known is null."""

    def plain(value: float) -> float | None:
        return None if isnan(value) else value

    return {
        "name": one.rider.name,
        "line": one.rider.line,
        "front_deg": plain(one.front_deg),
        "back_deg": plain(one.back_deg),
        "lean_deg": {"front": plain(one.lean_front_deg), "back": plain(one.lean_back_deg)},
        "stance_width_mm": {"value": plain(one.width_mm), "plus_minus": plain(one.width_spread_mm)},
        "outsole_length_mm": {"value": plain(one.sole_mm), "plus_minus": plain(one.sole_spread_mm)},
        "board_length_cm": [plain(round(end, 1)) for end in one.board_cm],
        "waist_width_mm": [plain(round(end, 1)) for end in one.waist_mm],
        "board": one.board or None,
        "rows": one.rows,
        "leading_foot": one.rider.sheet.value("rider.leading_foot"),
        "style": one.rider.sheet.value("rider.style"),
        "size": one.rider.sheet.value("boots.size"),
        "doubts": list(one.doubts),
    }
