"""Fields of a sheet that cannot both be right: rows the board lacks, a slot beyond its travel, an odd angle.

What cannot be true by arithmetic is checked here; what is only hard to believe takes its limits from
`trees/estimates.yaml`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from advisor.knowledge.trees import authors
from advisor.sheet.estimates import load_estimates
from advisor.sheet.sheet import Leaf

_EXACT = 1e-6
_FEET = ("front", "back")

_OUTSOLE = "the outsole is longer than the foot; were they swapped?"
_NOT_LESS = (
    ("board.nose_width_mm", "board.waist_width_mm", "the nose is wider than the waist; were they swapped?"),
    ("board.tail_width_mm", "board.waist_width_mm", "the tail is wider than the waist; were they swapped?"),
    ("boots.ball_width_mm", "boots.heel_width_mm", "the ball is wider than the heel; were they swapped?"),
    ("boots.outsole_length_mm", "rider.foot_length_mm.left", _OUTSOLE),
    (
        "boots.outsole_length_mm",
        "rider.foot_length_mm.right",
        _OUTSOLE,
    ),
    ("rider.height_cm", "rider.inseam_cm", "the height is more than the inseam; were they swapped?"),
    ("bindings.lean_deg.max", "bindings.lean_deg.min", "the most lean is not less than the least; were they swapped?"),
)
"""(the larger, the smaller, what that means), both in the same unit."""


class _Values:
    """The values of a sheet, with their words."""

    def __init__(self, leaves: Mapping[str, Leaf]) -> None:
        self.leaves = leaves

    def number(self, path: str) -> float | None:
        leaf = self.leaves.get(path)
        return float(leaf.value) if leaf and isinstance(leaf.value, int | float) else None

    def any(self, path: str) -> Any:
        leaf = self.leaves.get(path)
        return leaf.value if leaf else None


def check_relations(leaves: Mapping[str, Leaf]) -> list[tuple[str, str]]:
    """Return the faults between fields: the field to look at, and the words.

    Parameters
    ----------
    leaves
        Leaves by path that are fine by themselves.

    """
    values = _Values(leaves)
    found = [*_sizes(values), *_pairs(values)]
    for side in _FEET:
        found.extend(_foot(values, f"mount.{side}."))
    return found


def _sizes(values: _Values) -> Iterator[tuple[str, str]]:
    for larger, smaller, meaning in _NOT_LESS:
        most, least = values.number(larger), values.number(smaller)
        if most is not None and least is not None and most < least:
            yield larger, f"expected {least:g} or more ({smaller}), found {most:g}; {meaning}"
    length = values.number("board.length_cm")
    for path in ("board.effective_edge_mm", "board.contact_length_mm"):
        part = values.number(path)
        if length is not None and part is not None and part > length * 10:
            yield path, f"expected less than the board's length ({length * 10:g} mm), found {part:g}; check both"


def _pairs(values: _Values) -> Iterator[tuple[str, str]]:
    pairs = (
        ("rider.foot_length_mm", "foot_length_difference_mm", "mm", "measure both feet again"),
        (
            "rider.turnout_deg",
            "turnout_difference_deg",
            "degrees",
            "outward is positive on both; is a sign or a side swapped?",
        ),
    )
    for path, limit, unit, remedy in pairs:
        left, right = values.number(f"{path}.left"), values.number(f"{path}.right")
        if left is None or right is None or left == right:
            continue
        most = load_estimates(authors()).believable[limit].most
        if abs(left - right) > most:
            yield (
                f"{path}.right",
                f"expected left and right within {most:g} {unit}, found {left:g} and {right:g}; {remedy}",
            )
    height, inseam = values.number("rider.height_cm"), values.number("rider.inseam_cm")
    if height is not None and inseam is not None and inseam <= height:
        share = load_estimates(authors()).believable["inseam_share_of_height"]
        if not share.least <= inseam / height <= share.most:
            yield (
                "rider.inseam_cm",
                f"expected {share.least * height:.0f} to {share.most * height:.0f} cm for a height of {height:g} cm, "
                f"found {inseam:g}; measure from the floor to the crotch, and check both units",
            )


def _foot(values: _Values, foot: str) -> Iterator[tuple[str, str]]:
    yield from _rows(values, foot)
    yield from _within_steps(values, foot)
    slot, travel = values.number(f"{foot}slot_mm"), values.number("bindings.slot_travel_mm")
    if slot is not None and travel is not None and abs(slot) > travel + _EXACT:
        yield (
            f"{foot}slot_mm",
            f"expected -{travel:g} to {travel:g} mm (bindings.slot_travel_mm), found {slot:g}; "
            "measure from the middle of the slots, or turn the disc half round (disc_flipped)",
        )
    angle, notch = values.number(f"{foot}angle_deg"), values.number("bindings.notch_deg")
    if angle is not None and notch is not None and _off_step(angle, notch):
        below = angle // notch * notch
        yield (
            f"{foot}angle_deg",
            f"expected a multiple of the disc's notch of {notch:g} degrees, found {angle:g}; "
            f"did you mean {below:g} or {below + notch:g}?",
        )
    yield from _lean(values, foot)
    tooth, teeth = values.number(f"{foot}ladder_at"), values.number("bindings.ladder_teeth")
    if tooth is not None and teeth is not None and tooth > teeth:
        yield (
            f"{foot}ladder_at",
            f"expected {teeth:g} or less (bindings.ladder_teeth), found {tooth:g}; count from the ladder's tip",
        )


def _rows(values: _Values, foot: str) -> Iterator[tuple[str, str]]:
    row, track = values.number(f"{foot}row"), values.number(f"{foot}track_mm")
    rows, pattern = values.number("board.rows_each_way"), values.any("board.insert_pattern")
    if pattern == "slot_track":
        if row:
            yield f"{foot}row", f"expected 0 or nothing, for a slot track has no rows, found {row:g}; use track_mm"
    elif row is not None and rows is not None and abs(row) > rows:
        yield (
            f"{foot}row",
            f"expected -{rows:g} to {rows:g}, for the board has {rows:g} rows either side of the reference row, "
            f"found {row:g}; count outward from the reference row",
        )
    if pattern not in {None, "slot_track"} and track:
        yield f"{foot}track_mm", f"expected 0 or nothing, for the inserts are {pattern}, found {track:g}; use row"


def _within_steps(values: _Values, foot: str) -> Iterator[tuple[str, str]]:
    for name, table in (("heelcup", "bindings.heelcup_steps"), ("toe_ramp", "bindings.toe_ramp_steps")):
        step, steps = values.number(f"{foot}{name}"), values.any(table)
        if step is not None and steps is not None and not steps[0] <= step <= steps[1]:
            yield f"{foot}{name}", f"expected {steps[0]} to {steps[1]} ({table}), found {step:g}; count the steps again"


def _lean(values: _Values, foot: str) -> Iterator[tuple[str, str]]:
    lean = values.number(f"{foot}lean_deg")
    least, most, step = (values.number(f"bindings.lean_deg.{name}") for name in ("min", "max", "step"))
    if lean is None:
        return
    remedy = f"(bindings.lean_deg), found {lean:g}; read the highback's scale again"
    if least is not None and lean < least - _EXACT:
        yield f"{foot}lean_deg", f"expected {least:g} or more {remedy}"
    elif most is not None and lean > most + _EXACT:
        yield f"{foot}lean_deg", f"expected {most:g} or less {remedy}"
    elif least is not None and step is not None and _off_step(lean - least, step):
        yield f"{foot}lean_deg", f"expected a step of {step:g} degrees from {least:g} {remedy}"


def _off_step(value: float, step: float) -> bool:
    return abs(value / step - round(value / step)) * step > 1e-3
