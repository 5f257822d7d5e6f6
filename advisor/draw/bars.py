"""Overhang as bars, at a scale fine enough to see a slide of a few millimetres."""

from __future__ import annotations

from math import ceil, floor

from advisor.draw.cells import Signs
from advisor.draw.scene import Gap, Scene
from advisor.geometry.workings import number

_STEPS_MM = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_NAME = 12
_NUMBER = 9
_LEAST_INSIDE = 4
_EIGHTHS = " ▏▎▍▌▋▊▉"


def bar_lines(scene: Scene, side: str, columns: int, signs: Signs) -> list[str]:
    """Return one foot's overhang bars: the edge stands still, the boot's end runs out to the right.

    Parameters
    ----------
    scene
        From `from_above`.
    side
        `front` or `back`.
    columns
        Width to fill.
    signs
        The signs for boot, edge and overhang.

    Returns
    -------
    list of str
        A line that states the scale, then a bar for each edge, before and after.

    """
    room = columns - _NAME - _NUMBER
    inside, step = _room_and_scale(scene.gaps, room)
    lines = [f"Overhang, 1 column = {number(step)} mm"]
    for gap in scene.gaps:
        if gap.side != side:
            continue
        if gap.before_mm is None:
            lines.append(_bar(f"{gap.edge} end", gap.now_mm, inside, step, room, signs))
        else:
            lines.append(_bar(f"{gap.edge} before", gap.before_mm, inside, step, room, signs))
            lines.append(_bar(f"{gap.edge} after", gap.now_mm, inside, step, room, signs))
    return lines


def _room_and_scale(gaps: tuple[Gap, ...], room: int) -> tuple[int, float]:
    """Return how many columns lie inside the edge, and the least mm a column at which every bar fits."""
    values = [v for gap in gaps for v in (gap.now_mm, gap.before_mm) if v is not None]
    for step in _STEPS_MM:
        inside = max(_LEAST_INSIDE, ceil(-min(0.0, *values) / step) + 2)
        if inside + 1 + ceil(max(0.0, *values) / step) <= room:
            return inside, step
    return _LEAST_INSIDE, _STEPS_MM[-1]


def _bar(name: str, value: float, inside: int, step: float, room: int, signs: Signs) -> str:
    if value >= 0:
        body = signs.boot * inside + signs.edge + _over(value / step, signs)
    else:
        covered = inside - _rounded(-value / step)
        body = (signs.boot * max(0, covered)).ljust(inside) + signs.edge
    return f"{name:<{_NAME}}{body[:room]:<{room}}{f'{value:+.1f} mm':>{_NUMBER}}"


def _over(columns: float, signs: Signs) -> str:
    if signs.ascii_only:
        return signs.over * _rounded(columns)
    whole = floor(columns)
    part = floor((columns - whole) * 8)
    return signs.over * whole + (_EIGHTHS[part] if part else "")


def _rounded(columns: float) -> int:
    return floor(columns + 0.5)
