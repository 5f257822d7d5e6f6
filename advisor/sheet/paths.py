"""Which number of the set-up a field of the sheet gives, and the other way round."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from advisor.sheet.fields import field_rows
from advisor.sheet.setup import Setup

_RENAMED = {
    "rider.height_cm": ("rider.height_mm", 10.0),
    "rider.inseam_cm": ("rider.inseam_mm", 10.0),
    "board.sidecut_radius_m": ("board.sidecut_radius_mm", 1000.0),
    "bindings.base_height_mm.toe": ("bindings.base_height_toe_mm", 1.0),
    "bindings.base_height_mm.heel": ("bindings.base_height_heel_mm", 1.0),
    "bindings.lean_deg.min": ("lean.min_deg", 1.0),
    "rider.foot_length_mm.left": ("left.foot_length_mm", 1.0),
    "rider.foot_length_mm.right": ("right.foot_length_mm", 1.0),
    "rider.turnout_deg.left": ("left.turnout_deg", 1.0),
    "rider.turnout_deg.right": ("right.turnout_deg", 1.0),
}
"""Sheet fields whose name or unit the set-up changes. `left`, `right` and `lean` are steps on the way."""

OF_EACH_FOOT = ("foot_length_mm", "turnout_deg")


@cache
def setup_paths() -> tuple[Mapping[str, tuple[str, float]], Mapping[str, str]]:
    """Return sheet path -> (set-up path, factor), and set-up path -> sheet path."""
    setup = Setup()
    forward: dict[str, tuple[str, float]] = {}
    for path, row in field_rows().items():
        if row.kind not in {"number", "integer", "yes_no"}:
            continue
        if path in _RENAMED:
            forward[path] = _RENAMED[path]
            continue
        target = path.removeprefix("mount.").replace("snow.", "ride.")
        part, _, name = target.rpartition(".")
        if hasattr(getattr(setup, part, None) if part else setup, name):
            forward[path] = (target, 1.0)
    return forward, {"boots.for_foot_mm": "boots.size"} | {target: path for path, (target, _) in forward.items()}


def sheet_path(path: str, leading_foot: str = "left") -> str:
    """Return the sheet's field for a set-up path, `""` where the sheet has none.

    Examples
    --------
    >>> sheet_path("rider.height_mm"), sheet_path("back.turnout_deg", "left")
    ('rider.height_cm', 'rider.turnout_deg.right')

    """
    side, _, name = path.partition(".")
    if name in OF_EACH_FOOT and side in {"front", "back"}:
        other = "right" if leading_foot == "left" else "left"
        path = f"{leading_foot if side == 'front' else other}.{name}"
    return setup_paths()[1].get(path, "")


def setup_path(path: str, leading_foot: str = "left") -> str:
    """Return the set-up path of a sheet's field, `""` where the set-up has none.

    Examples
    --------
    >>> setup_path("board.sidecut_radius_m"), setup_path("rider.turnout_deg.right", "left")
    ('board.sidecut_radius_mm', 'back.turnout_deg')

    """
    target, _ = setup_paths()[0].get(path, ("", 1.0))
    side, _, name = target.partition(".")
    if name in OF_EACH_FOOT:
        return f"{'front' if side == leading_foot else 'back'}.{name}"
    return "" if side == "lean" else target
