"""Both bindings along the board on one line, so that stance width and setback are seen at a glance."""

from __future__ import annotations

from advisor.draw.scene import Scene, Stance
from advisor.geometry.workings import number

_STEPS_MM = (5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0)
_NAME = 8
_ENDS = 14


def strip_lines(scene: Scene, width: int) -> list[str]:
    """Return the stance along the board, to scale: one line, or before and after where it changed.

    B and F are the binding centres; the noses of both lines stand on the same side as in the picture with the
    toe edge up.
    """
    stances = scene.stances
    same = len(stances) > 1 and stances[0] == stances[1]
    shown = stances[-1:] if same else stances
    room = width - _NAME - _ENDS
    low = min(min(s.back_mm, s.front_mm) for s in stances)
    high = max(max(s.back_mm, s.front_mm) for s in stances)
    step = next((mm for mm in _STEPS_MM if (high - low) / mm < room), (high - low) / (room - 1))
    names = [""] if len(shown) == 1 else ["before", "after"]
    nose_left = scene.leading == "left"
    lines = [
        f"{name or 'stance':<{_NAME}}{_strip(s, low, high, step, nose_left)}"
        for name, s in zip(names, shown, strict=True)
    ]
    words = " → ".join(dict.fromkeys(f"{number(s.width_mm)} mm" for s in shown))
    back = " → ".join(dict.fromkeys(f"{number(s.setback_mm)} mm" for s in shown))
    note = f"Along the board, 1 column = {number(step)} mm: stance {words}, setback {back}."
    return [*lines, note]


def _strip(s: Stance, low: float, high: float, step: float, nose_left: bool) -> str:
    last = round((high - low) / step)
    cells = ["-"] * (last + 1)
    cells[round((s.back_mm - low) / step)] = "B"
    cells[round((s.front_mm - low) / step)] = "F"
    line = "".join(cells)
    if nose_left:
        return f"nose ~{line[::-1]}~ tail"
    return f"tail ~{line}~ nose"
