"""A rider who is well set up: a drawn body, boots and a board that suit it, and a mount in which every measure is good.

The mount is found setting by setting against the windows of the trade, not by the advisor's own search, so that the
search is judged from outside.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import ceil, copysign
from random import Random
from typing import Any, TypeVar

from advisor.errors import KnowledgeError
from advisor.geometry import fixings, leg, overhang, stance
from advisor.geometry.measuring import measure_all
from advisor.knowledge.trees import authors
from advisor.sheet.resolve import resolve
from advisor.sheet.setup import FootSetup, FootSide, Setup
from advisor.sheet.sheet import Leaf, LeafValue, Sheet
from advisor.solve.windows import Window, load_windows
from advisor.workshop.training.population import draw_body
from advisor.workshop.training.tables import chosen, drawn, training_table

_SIDES: tuple[FootSide, FootSide] = ("front", "back")
_Setting = TypeVar("_Setting")


@dataclass(frozen=True)
class Fitted:
    """A rider who is well set up.

    Parameters
    ----------
    sheet
        The whole sheet, as it truly is.
    sex
        As the body was drawn.
    tries
        How many riders were drawn until one could be set up well.

    """

    sheet: Sheet
    sex: str
    tries: int


def fit_rider(random: Random) -> Fitted:
    """Draw riders until one is well set up on what was fitted.

    Raises
    ------
    KnowledgeError
        When none is, as often as `trees/training/riders.yaml` allows.

    """
    table = training_table("riders")
    tries = int(table["well_mounted"]["tries"])
    for number in range(1, tries + 1):
        sex = "female" if random.random() < table["body"]["women"] else "male"
        sheet = _mounted(_unmounted(random, sex, table), random, table)
        if not faults_of_fit(sheet):
            return Fitted(sheet, sex, number)
    raise KnowledgeError(f"trees/training/riders.yaml: none of {tries} riders could be set up well; widen its ranges")


def faults_of_fit(sheet: Sheet) -> list[str]:
    """Return the measures and fields that are not as good as a well-mounted rider's."""
    rules = training_table("riders")["well_mounted"]
    known = resolve(sheet)
    windows, setup = load_windows(authors()), known.setup
    found = []
    values = {key: one.value for key, one in measure_all(known).items()}
    for name in windows.ids():
        if name in values or f"{name}.front" in values:
            continue
        if "." in name or hasattr(setup, name):
            values[name] = setup.get(name)
    for key, value in values.items():
        name = key if key in rules["may_be_out"] else key.partition(".")[0]
        window = windows.window(key, setup)
        if window is None or name in rules["may_be_out"]:
            continue
        state = window.state(value)
        if state == "out" or (state == "close" and name not in rules["may_be_close"]):
            found.append(key)
    return found


def _unmounted(random: Random, sex: str, table: dict[str, Any]) -> Sheet:
    """Return a sheet with body, boots, board and bindings, the bindings lying on the reference rows."""
    body = draw_body(random, sex, table["body"]["most_sd"])
    style = chosen(random, table["styles"])
    leaves: dict[str, LeafValue] = {
        "rider.leading_foot": "left" if random.random() < table["body"]["left_foot_leads"] else "right",
        "rider.height_cm": round(body["stature_mm"] / 10, 1),
        "rider.inseam_cm": round(body["crotchheight_mm"] / 10, 1),
        "rider.weight_kg": round(body["weightkg"], 1),
        "rider.style": style,
        "rider.speed_kmh": round(drawn(random, table["speed_kmh"][style])),
    }
    turnout = drawn(random, table["body"]["turnout_deg"])
    for side, sign in (("left", 1), ("right", -1)):
        besides = sign * drawn(random, table["body"]["turnout_between_feet"])
        leaves[f"rider.turnout_deg.{side}"] = round(min(20.0, max(-3.0, turnout + besides)))
        longer = sign * drawn(random, table["body"]["foot_between_feet_mm"]) / 2
        leaves[f"rider.foot_length_mm.{side}"] = round(body["footlength_mm"] + longer)
    _add_boots(leaves, random, table["boots"])
    _add_bindings(leaves, random, table["bindings"], table["mount"])
    _add_board(leaves, random, table, style)
    return Sheet("rehearsed rider", {path: Leaf(value) for path, value in leaves.items()})


def _add_boots(leaves: dict[str, LeafValue], random: Random, table: dict[str, Any]) -> None:
    foot = max(float(str(leaves[f"rider.foot_length_mm.{side}"])) for side in ("left", "right"))
    label = ceil(foot / table["grading_mm"]) * table["grading_mm"]
    leaves["boots.size"] = f"mondo {label / 10:.1f}"
    leaves["boots.outsole_length_mm"] = round(label + drawn(random, table["sole_over_label_mm"]))
    leaves["boots.ball_width_mm"] = round(table["ball_per_foot"] * label + drawn(random, table["ball_over_mm"]))
    leaves["boots.heel_width_mm"] = round(table["heel_per_foot"] * label + drawn(random, table["heel_over_mm"]))
    for name in ("toe_rise_mm", "toe_rise_length_mm", "heel_rise_mm", "heel_rise_length_mm"):
        leaves[f"boots.{name}"] = round(drawn(random, table[name]))


def _add_bindings(leaves: dict[str, LeafValue], random: Random, table: dict[str, Any], mount: dict[str, Any]) -> None:
    sole = float(str(leaves["boots.outsole_length_mm"]))
    for name in (
        "notch_deg", "slot_travel_mm", "hole_offset_mm", "toe_ramp_step_mm", "heelcup_step_mm", "heelcup_reach_mm",
        "heelcup_height_mm", "disc_thickness_mm", "washer_mm", "ladder_teeth", "base_width_mm",
    ):  # fmt: skip
        leaves[f"bindings.{name}"] = round(drawn(random, table[name]))
    leaves["bindings.base_height_mm.toe"] = round(drawn(random, table["base_height_toe_mm"]))
    leaves["bindings.base_height_mm.heel"] = round(drawn(random, table["base_height_heel_mm"]))
    leaves["bindings.base_length_mm"] = round(sole - drawn(random, table["base_length_under_sole_mm"]))
    leaves["bindings.toe_ramp_mm"] = round(sole / 2 - drawn(random, table["toe_ramp_under_half_sole_mm"]))
    for name in ("toe_ramp_steps", "heelcup_steps"):
        leaves[f"bindings.{name}"] = (int(table[name][0]), int(table[name][1]))
    for end in ("min", "max", "step"):
        leaves[f"bindings.lean_deg.{end}"] = table["lean_deg"][end]
    leaves["mount.screw_torque_nm"] = round(drawn(random, mount["torque_nm"]), 1)
    for side in _SIDES:
        strap = round(drawn(random, mount["strap_ends_mm"]))
        plain: dict[str, LeafValue] = {
            "angle_deg": 0.0, "row": 0, "slots": "across", "slot_mm": 0.0, "disc_flipped": False, "heelcup": 0,
            "lean_deg": 0.0, "highback_turn_deg": 0.0, "cant_deg": 0.0, "riser_mm": 0.0, "seat_mm": 0.0, "toe_ramp": 0,
            "strap_left_mm": strap, "strap_right_mm": strap + round(drawn(random, mount["strap_besides_mm"])),
            "ladder_at": round(drawn(random, mount["ladder_at"])),
        }  # fmt: skip
        leaves.update({f"mount.{side}.{name}": value for name, value in plain.items()})


def _add_board(leaves: dict[str, LeafValue], random: Random, whole: dict[str, Any], style: str) -> None:
    table = whole["board"]
    height = float(str(leaves["rider.height_cm"]))
    length = height * table["length_per_height"] + drawn(random, table["length_besides_cm"])
    edge = round(length * 10 * table["edge_per_length"])
    pattern = chosen(random, table["patterns"])
    depth = round(drawn(random, table["insert_depth_mm"]))
    leaves["board.length_cm"] = round(length)
    leaves["board.effective_edge_mm"] = edge
    leaves["board.contact_length_mm"] = round(edge * table["contact_per_edge"])
    leaves["board.sidecut_radius_m"] = round(drawn(random, table["radius_m"]), 1)
    leaves["board.thickness_mm"] = round(drawn(random, table["thickness_mm"]), 1)
    leaves["board.insert_pattern"] = pattern
    if pattern != "slot_track":
        leaves["board.rows_each_way"] = round(drawn(random, table["rows_each_way"][pattern]))
    leaves["board.insert_depth_mm"] = depth
    leaves["board.base_bevel_deg"] = round(drawn(random, table["base_bevel_deg"]), 1)
    leaves["board.side_bevel_deg"] = round(drawn(random, table["side_bevel_deg"]), 1)
    leaves["board.reference_setback_mm"] = round(drawn(random, table["setback_mm"][style]))
    clamped = float(str(leaves["bindings.disc_thickness_mm"])) + float(str(leaves["bindings.washer_mm"]))
    fitting = [length for length in whole["bindings"]["screw_lengths_mm"] if length - clamped <= depth - 1]
    leaves["bindings.screw_length_mm"] = max(fitting)


def _mounted(sheet: Sheet, random: Random, table: dict[str, Any]) -> Sheet:
    """Return a sheet with the board's width chosen for the boots, and everything mounted as well as it can be."""
    setup = resolve(sheet).setup
    style = setup.rider.style
    setup.board.reference_width_mm = setup.board.waist_width_mm = setup.board.nose_width_mm = 300.0
    setup.board.waist_place_mm = -setup.board.reference_setback_mm
    step = table["board"]["reference_step_mm"]
    low, high = stance.stance_width_goal_mm(setup)
    setup.board.reference_width_mm = round((low + high) / 2 / step) * step
    pattern = str(sheet.value("board.insert_pattern"))
    _set_along(setup, pattern, table["board"]["track_step_mm"])
    _set_angles(setup)
    _choose_width(setup, drawn(random, table["board"]["overhang_mm"][style]))
    for foot in (setup.front, setup.back):
        _set_across(setup, foot, table["bindings"]["heelcup_steps"])
        missing = fixings.highback_gap_deg(setup, foot)
        short_of_it = max(0, round(abs(missing) - table["mount"]["highback_gap_deg"]))
        foot.highback_turn_deg = copysign(short_of_it, missing)
        _set_ramp(setup, foot, table["bindings"]["toe_ramp_steps"])
    for foot in (setup.front, setup.back):
        _set_lean(setup, foot, table["bindings"]["lean_deg"], table["mount"]["lean_reserve_deg"])
    return _written(sheet, setup, pattern)


def _best(settings: Iterable[_Setting], cost: Callable[[_Setting], float]) -> _Setting:
    return min(settings, key=cost)


def _window(name: str, setup: Setup) -> Window:
    found = load_windows(authors()).window(name, setup)
    if found is None:
        raise KnowledgeError(f"trees/windows.yaml: '{name}' has no window; a mount can't be made without it")
    return found


def _set_along(setup: Setup, pattern: str, track_step: int) -> None:
    """Set rows or track: the width near the middle of its window, the load share in its window."""
    low, high = stance.stance_width_goal_mm(setup)
    share = _window("front_load_share", setup)
    if pattern == "slot_track":
        name, steps = "track_mm", [float(mm) for mm in range(-60, 61, track_step)]
    else:
        rows = int(setup.board.rows_each_way)
        name, steps = "row", [float(row) for row in range(-rows, rows + 1)]

    def cost(pair: tuple[float, float]) -> float:
        setattr(setup.front, name, pair[0])
        setattr(setup.back, name, pair[1])
        width = stance.stance_width_mm(setup)
        beside = abs(width - (low + high) / 2) / max(1.0, (high - low) / 2)
        return beside + 2 * share.strain(stance.front_load_share(setup)) + 0.01 * abs(pair[0] - pair[1])

    best = _best([(front, back) for front in steps for back in steps], cost)
    setattr(setup.front, name, best[0])
    setattr(setup.back, name, best[1])


def _set_angles(setup: Setup) -> None:
    """Set both angles by the rider's turnout first, then by the angle between the feet, then by style."""
    gap, splay = _window("turnout_gap_deg", setup), _window("splay_deg", setup)
    styles = (_window("front.angle_deg", setup), _window("back.angle_deg", setup))
    notch = int(setup.bindings.notch_deg)
    front, back = setup.front, setup.back

    def cost(pair: tuple[int, int]) -> float:
        front.angle_deg, back.angle_deg = pair
        feet = gap.strain(stance.turnout_gap_deg(setup, front)) + gap.strain(stance.turnout_gap_deg(setup, back))
        style = sum(window.strain(angle) for window, angle in zip(styles, pair, strict=True))
        return 3 * feet + 3 * splay.strain(stance.splay_deg(setup)) + style / 2

    front.angle_deg, back.angle_deg = _best(
        [(one, other) for one in range(0, 40, notch) for other in range(-27, 28, notch)], cost
    )


def _choose_width(setup: Setup, wanted_mm: float) -> None:
    """Choose the waist so that the boots hang over by so much, in the mean of both feet and edges."""
    for _ in range(2):
        hang = [
            overhang.overhang_mm(setup, foot, edge)
            for foot in (setup.front, setup.back)
            for edge in ("toe", "heel")
        ]  # fmt: skip
        setup.board.waist_width_mm = round(setup.board.waist_width_mm + 2 * (sum(hang) / len(hang) - wanted_mm))
    radius, chord = setup.board.sidecut_radius_mm, setup.board.contact_length_mm
    depth = radius - (radius**2 - chord**2 / 4) ** 0.5
    setup.board.nose_width_mm = setup.board.tail_width_mm = round(setup.board.waist_width_mm + 2 * depth)


def _set_across(setup: Setup, foot: FootSetup, heelcups: tuple[int, int]) -> None:
    """Set slot, disc and heelcup so that the boot sits in the middle, with as little turned as that takes."""
    travel = int(setup.bindings.slot_travel_mm)
    flips = (False, True) if setup.bindings.hole_offset_mm else (False,)

    def cost(setting: tuple[int, int, bool]) -> float:
        foot.slot_mm, foot.heelcup, foot.disc_flipped = setting
        return abs(overhang.overhang_split_mm(setup, foot)) + abs(setting[1]) + 0.5 * setting[2]

    settings = [
        (slot, cup, flip)
        for slot in range(-travel, travel + 1)
        for cup in range(max(-1, heelcups[0]), min(1, heelcups[1]) + 1)
        for flip in flips
    ]
    foot.slot_mm, foot.heelcup, foot.disc_flipped = _best(settings, cost)


def _set_ramp(setup: Setup, foot: FootSetup, steps: tuple[int, int]) -> None:
    past, edge = _window("toe_past_ramp_mm", setup), _window("ramp_to_edge_mm", setup)

    def cost(step: int) -> float:
        foot.toe_ramp = step
        ends = overhang.toe_past_ramp_mm(setup, foot), overhang.ramp_to_edge_mm(setup, foot)
        return past.strain(ends[0]) + edge.strain(ends[1])

    foot.toe_ramp = _best(range(steps[0], steps[1] + 1), cost)


def _set_lean(setup: Setup, foot: FootSetup, lean: dict[str, int], wanted_deg: float) -> None:
    def cost(deg: int) -> float:
        foot.lean_deg = deg
        return abs(leg.lean_reserve_deg(setup, foot) - wanted_deg)

    foot.lean_deg = _best(range(lean["min"], lean["max"] + 1, lean["step"]), cost)


def _written(sheet: Sheet, setup: Setup, pattern: str) -> Sheet:
    leaves = dict(sheet.leaves)
    for name in ("reference_width_mm", "waist_width_mm", "nose_width_mm", "tail_width_mm"):
        leaves[f"board.{name}"] = Leaf(float(getattr(setup.board, name)))
    for side in _SIDES:
        foot = setup.foot(side)
        for name in ("angle_deg", "slot_mm", "lean_deg", "highback_turn_deg"):
            leaves[f"mount.{side}.{name}"] = Leaf(float(getattr(foot, name)))
        for name in ("heelcup", "toe_ramp"):
            leaves[f"mount.{side}.{name}"] = Leaf(int(getattr(foot, name)))
        leaves[f"mount.{side}.disc_flipped"] = Leaf(bool(foot.disc_flipped))
        if pattern == "slot_track":
            leaves.pop(f"mount.{side}.row", None)
            leaves[f"mount.{side}.track_mm"] = Leaf(float(foot.track_mm))
        else:
            leaves[f"mount.{side}.row"] = Leaf(int(foot.row))
    return Sheet(sheet.name, leaves)
