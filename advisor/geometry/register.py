"""The one register of measures: code, trees, chat, JSON and documents all read this."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple

from advisor.errors import UnknownName
from advisor.geometry import board_size, carve, contact, fixings, hips, leg, overhang, stance, workings
from advisor.geometry.board import sidecut_radius_mm
from advisor.geometry.parts import Edge
from advisor.sheet.setup import FootSetup, FootSide, Setup

Scope = Literal["board", "foot", "foot and edge"]
SIDES: tuple[FootSide, FootSide] = ("front", "back")
EDGES: tuple[Edge, Edge] = ("toe", "heel")


class Place(NamedTuple):
    """Where a measure is taken: nowhere in particular, at a foot, or at a foot's edge."""

    side: FootSide | None = None
    edge: Edge | None = None

    def __str__(self) -> str:
        """Return `front`, `front.toe` or an empty text."""
        return ".".join(part for part in (self.side, self.edge) if part)


class Measure(NamedTuple):
    """One measure of the set-up.

    Parameters
    ----------
    id
        Its name everywhere; ends in its unit.
    unit
        `mm`, `deg`, `km/h`, `N`, `m`, `turns`, `teeth` or `1`.
    scope
        Whether it is one number, one a foot, or one a foot and edge.
    words
        What it is, in a tech's words.
    source
        Entry of `trees/sources.yaml`.
    inputs
        Set-up paths it cannot do without; `foot.` stands for the foot at hand.
    optional
        Set-up paths it reads when they are known.
    compute
        The pure function; takes the set-up, then the foot, then the edge, as the scope says.
    work
        Its formula with the numbers put in.
    window
        For a measure that is a range: its two ends.
    push
        For a measure that stands still over a stretch of its inputs: a function that keeps moving with them.
    safety
        Whether its ± is a bound, every input at its worst, because of what it would mean if it happened at all.
    made_of
        Measures of which it is the sum or difference, and which share no input worth the name: its ± comes from theirs.
    follows
        A measure at the same edge that it rises and falls with, and the value for one of that one's.

    """

    id: str
    unit: str
    scope: Scope
    words: str
    source: str
    inputs: tuple[str, ...]
    optional: tuple[str, ...]
    compute: Callable[..., float]
    work: Callable[..., str]
    window: Callable[[Setup], tuple[float, float]] | None = None
    push: Callable[..., float] | None = None
    safety: bool = False
    made_of: tuple[str, ...] = ()
    follows: tuple[str, Callable[[Setup, float], float]] | None = None

    def at(self, s: Setup, place: Place) -> float:
        """Return the value at a place."""
        return self.compute(*self._arguments(s, place))

    def push_at(self, s: Setup, place: Place) -> float:
        """Return what tells which way each input pushes the value at a place."""
        return (self.push or self.compute)(*self._arguments(s, place))

    def work_at(self, s: Setup, place: Place) -> str:
        """Return the formula with the numbers put in at a place."""
        return self.work(*self._arguments(s, place))

    def paths(self, place: Place, *, optional: bool = False) -> Iterator[str]:
        """Yield the set-up paths read at a place."""
        elsewhere = _ONLY_AT_THE_OTHER[place.edge] if place.edge else frozenset()
        for path in self.optional if optional else self.inputs:
            if path in elsewhere:
                continue
            yield f"{place.side}.{path[5:]}" if path.startswith("foot.") else path

    def _arguments(self, s: Setup, place: Place) -> tuple[Setup | FootSetup | Edge, ...]:
        if place.side is None:
            return (s,)
        foot = s.foot(place.side)
        return (s, foot) if place.edge is None else (s, foot, place.edge)


_ALONG_FOOT = (
    "foot.row", "foot.track_mm", "foot.slot_mm", "bindings.hole_offset_mm", "board.row_pitch_mm",
    "board.reference_width_mm",
)  # fmt: skip
_ALONG = (*_ALONG_FOOT, "board.reference_setback_mm")
_ACROSS = ("foot.slot_mm", "bindings.hole_offset_mm")
_SEAT = ("foot.seat_mm", "foot.heelcup", "bindings.heelcup_step_mm")
_BOTH_ALONG = (
    "board.reference_width_mm",
    "board.row_pitch_mm",
    "bindings.hole_offset_mm",
    *(f"{side}.{name}" for side in SIDES for name in ("row", "track_mm", "slot_mm")),
)
_RAMP = ("bindings.toe_ramp_mm", "bindings.toe_ramp_step_mm", "foot.toe_ramp")
_EDGE = ("board.waist_width_mm", "board.reference_setback_mm")
_RADIUS = (
    "board.sidecut_radius_mm",
    "board.nose_width_mm",
    "board.tail_width_mm",
    "board.contact_length_mm",
    "board.waist_place_mm",
)
_FOOT_ON_BOARD = tuple(dict.fromkeys((*_ALONG, *_ACROSS, *_SEAT, *_EDGE, "foot.angle_deg")))
_TIP = {
    "toe": ("boots.outsole_length_mm", "boots.ball_width_mm"),
    "heel": ("boots.outsole_length_mm", "boots.heel_width_mm"),
}
_SOLE = ("boots.outsole_length_mm", "boots.ball_width_mm", "boots.heel_width_mm")
_FLOOR = ("board.thickness_mm", "foot.riser_mm", "foot.cant_deg", "practice.wedge_width_mm")
_HEIGHT = {
    "toe": (*_FLOOR, "bindings.base_height_toe_mm", "boots.toe_rise_mm", "boots.toe_rise_length_mm"),
    "heel": (*_FLOOR, "bindings.base_height_heel_mm", "boots.heel_rise_mm", "boots.heel_rise_length_mm"),
}
_BINDING_PARTS = {
    "toe": ("bindings.base_length_mm", "bindings.base_width_mm", *_RAMP),
    "heel": (
        "bindings.base_length_mm",
        "bindings.base_width_mm",
        "bindings.heelcup_reach_mm",
        "bindings.heelcup_height_mm",
        "bindings.highback_reach_mm",
        "bindings.highback_height_mm",
    ),
}
_AT_EDGE = {edge: {*_HEIGHT[edge], *_BINDING_PARTS[edge]} for edge in EDGES}
_ONLY_AT_THE_OTHER = {
    "toe": frozenset(_AT_EDGE["heel"] - _AT_EDGE["toe"]),
    "heel": frozenset(_AT_EDGE["toe"] - _AT_EDGE["heel"]),
}
_TILT = ("rider.tilt_deg", "rider.speed_kmh", "ride.slope_deg")
_LEG = (
    "rider.thigh_mm",
    "rider.shank_mm",
    "rider.pelvis_width_mm",
    "practice.hip_joint_mm",
    "practice.riding_knee_flex_deg",
)
_ANKLES = (
    *_LEG,
    "rider.ankle_height_mm",
    "practice.ankle_place_share",
    "board.thickness_mm",
    "board.reference_setback_mm",
    "bindings.base_height_heel_mm",
    "bindings.heelcup_step_mm",
    "practice.wedge_width_mm",
    *_BOTH_ALONG,
    *(
        f"{side}.{name}"
        for side in SIDES
        for name in ("angle_deg", "seat_mm", "heelcup", "riser_mm", "cant_deg", "foot_length_mm")
    ),
)
_HIPS = (
    *(f"{side}.{name}" for side in SIDES for name in ("angle_deg", "turnout_deg")),
    "practice.hips_turn_deg_low",
    "practice.hips_turn_deg_high",
)
_KNEE = tuple(
    dict.fromkeys(
        (
            *_ANKLES,
            *_HIPS,
            "practice.knee_twist_share",
            "practice.cuff_give_share",
            "practice.hip_opening_limit_deg",
        )
    )
)
_SCREW = (
    "bindings.screw_length_mm",
    "bindings.disc_thickness_mm",
    "bindings.washer_mm",
    "board.insert_depth_mm",
    "practice.wedge_width_mm",
    "practice.screw_from_centre_mm",
    *(f"{side}.{name}" for side in SIDES for name in ("riser_mm", "cant_deg", "angle_deg")),
)


def _at_edge(function: Callable[..., float], edge: Edge) -> Callable[..., float]:
    def at_edge(s: Setup, f: FootSetup) -> float:
        return function(s, f, edge)

    return at_edge


def _work_at_edge(function: Callable[..., str], edge: Edge) -> Callable[..., str]:
    def at_edge(s: Setup, f: FootSetup) -> str:
        return function(s, f, edge)

    return at_edge


def _all_parts(edges: tuple[Edge, ...]) -> tuple[str, ...]:
    paths = (path for edge in edges for path in (*_SOLE, *_HEIGHT[edge]))
    return tuple(dict.fromkeys((*_FOOT_ON_BOARD, *paths, "ride.edge_sink_mm")))


def _all_binding_parts(edges: tuple[Edge, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(path for edge in edges for path in _BINDING_PARTS[edge]))


def _both_feet(paths: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(f"{side}.{path[5:]}" if path.startswith("foot.") else path for side in SIDES for path in paths)
    )


_FEET_TO_EDGES = _both_feet(
    (
        *_FOOT_ON_BOARD,
        "foot.foot_length_mm",
        "practice.foot_width_share",
        "practice.foot_heel_width_share",
        "practice.foot_inside_edge_mm",
    )
)


def _sidecut_radius_m(s: Setup) -> float:
    return sidecut_radius_mm(s.board) / 1000


def _width_off_mm(s: Setup) -> float:
    return stance.stance_width_mm(s) - _width_goal_middle_mm(s)


def _width_goal_middle_mm(s: Setup) -> float:
    low, high = stance.stance_width_goal_mm(s)
    return (low + high) / 2


def _foot_measures() -> Iterator[Measure]:
    w = workings
    yield Measure(
        "local_width_mm", "mm", "foot", "board's width under the binding's centre", "circle",
        (*_ALONG_FOOT, *_EDGE), _RADIUS, overhang.local_width_mm, w.local_width,
    )  # fmt: skip
    for edge in EDGES:
        yield Measure(
            f"{edge}_overhang_mm", "mm", "foot", f"how far the boot hangs beyond the {edge} edge (negative: inside)",
            "derived", (*_FOOT_ON_BOARD, *_TIP[edge]), _RADIUS,
            _at_edge(overhang.overhang_mm, edge), _work_at_edge(w.overhang, edge),
        )  # fmt: skip
    yield Measure(
        "boot_offset_mm", "mm", "foot", "boot's middle from the board's centre line, toward the toe edge", "derived",
        (*_ACROSS, *_SEAT, "foot.angle_deg"), (), overhang.boot_offset_mm, w.boot_offset,
    )  # fmt: skip
    yield Measure(
        "overhang_split_mm", "mm", "foot", "toe overhang minus heel overhang; 0 = centred between the edges", "derived",
        (*_FOOT_ON_BOARD, *_TIP["toe"], *_TIP["heel"][1:]), _RADIUS, overhang.overhang_split_mm, w.split,
    )  # fmt: skip
    for edge in EDGES:
        yield Measure(
            f"{edge}_contact_deg", "deg", "foot", f"board tilt at which the first part at the {edge} edge meets snow",
            "derived", _all_parts((edge,)), (*_RADIUS, *_BINDING_PARTS[edge]),
            _at_edge(contact.contact_deg, edge), _work_at_edge(w.contact, edge),
            push=_at_edge(contact.contact_push_deg, edge),
        )  # fmt: skip
    for edge in EDGES:
        yield Measure(
            f"{edge}_margin_deg", "deg", "foot", f"contact tilt at the {edge} edge minus the tilt the rider needs",
            "carve_flat", (*_all_parts((edge,)), "practice.style_tilt_deg"), (*_RADIUS, *_BINDING_PARTS[edge], *_TILT),
            _at_edge(carve.margin_deg, edge), _work_at_edge(w.margin, edge),
            push=_at_edge(carve.margin_push_deg, edge), made_of=(f"{edge}_contact_deg", "needed_tilt_deg"),
        )  # fmt: skip
    yield Measure(
        "carve_speed_limit_kmh", "km/h", "foot and edge", "speed whose carved turn just reaches the contact tilt",
        "carve_flat", (*_all_parts(EDGES), "ride.slope_deg"), (*_RADIUS, *_all_binding_parts(EDGES)),
        carve.carve_speed_limit_kmh, w.speed_limit,
        push=contact.contact_push_deg, follows=("contact_deg", carve.speed_at_tilt_kmh),
    )  # fmt: skip
    for edge, share in zip(EDGES, ("ball_place_share", "heel_place_share"), strict=True):
        spot = "ball" if edge == "toe" else "heel"
        yield Measure(
            f"{edge}_lever_mm", "mm", "foot", f"from where the {spot} of the foot presses to the {edge} edge", "ansur2",
            (*_FOOT_ON_BOARD, "foot.foot_length_mm", f"practice.{share}"), _RADIUS,
            _at_edge(overhang.press_lever_mm, edge), _work_at_edge(w.lever, edge),
        )  # fmt: skip
    yield Measure(
        "edge_power_balance", "1", "foot", "toe lever over heel lever", "ansur2",
        (*_FOOT_ON_BOARD, "foot.foot_length_mm", "practice.ball_place_share", "practice.heel_place_share"), _RADIUS,
        overhang.edge_power_balance, w.balance,
    )  # fmt: skip
    yield Measure(
        "toe_past_ramp_mm", "mm", "foot", "boot tip beyond the toe ramp's end", "derived",
        (*_SEAT, *_RAMP, "boots.outsole_length_mm"), (),
        overhang.toe_past_ramp_mm, w.toe_past_ramp,
    )  # fmt: skip
    yield Measure(
        "ramp_to_edge_mm", "mm", "foot", "from the toe ramp's end to the edge, where its bevel begins, along the foot",
        "derived",
        (*_ALONG_FOOT, *_EDGE, *_RAMP, "foot.angle_deg"),
        _RADIUS, overhang.ramp_to_edge_mm, w.ramp_to_edge,
    )  # fmt: skip
    yield Measure(
        "turnout_gap_deg", "deg", "foot", "outward angle of the foot to the hips minus its own relaxed turnout",
        "common_practice", _HIPS, (), stance.turnout_gap_deg, w.turnout_gap,
    )  # fmt: skip
    yield Measure(
        "boot_room_mm", "mm", "foot", "the foot that the boot's label stands for, less this foot (negative: too short)",
        "iso_9407", ("boots.for_foot_mm", "foot.foot_length_mm"), (), stance.boot_room_mm, w.boot_room,
    )  # fmt: skip
    yield Measure(
        "leg_lean_deg", "deg", "foot", "leg's outward lean, hip joint to ankle", "leg_chain",
        _ANKLES, (), leg.leg_lean_deg, w.leg_lean,
    )  # fmt: skip
    yield Measure(
        "knee_offset_mm", "mm", "foot", "where the kneecap passes beside the foot (negative: inside)", "leg_chain",
        _KNEE, (), leg.knee_offset_mm, w.knee_offset,
        push=leg.knee_offset_push_mm,
    )  # fmt: skip
    yield Measure(
        "highback_gap_deg", "deg", "foot",
        "rotation missing until the highback runs along the heel edge (plus: for toes out)", "derived",
        (*_ALONG_FOOT, *_EDGE, "foot.angle_deg", "foot.highback_turn_deg"), _RADIUS,
        fixings.highback_gap_deg, w.highback_gap,
    )  # fmt: skip
    yield Measure(
        "lean_reserve_deg", "deg", "foot", "shank travel before the highback takes load", "leg_chain",
        (*_KNEE, "foot.lean_deg"), ("boots.lean_deg",), leg.lean_reserve_deg, w.lean_reserve,
        push=leg.lean_reserve_push_deg,
    )  # fmt: skip
    yield Measure(
        "strap_offset_mm", "mm", "foot", "strap's centre from the boot's, toward the right", "derived",
        ("foot.strap_left_mm", "foot.strap_right_mm"), (), fixings.strap_offset_mm, w.strap,
    )  # fmt: skip
    yield Measure(
        "ladder_spare_teeth", "teeth", "foot", "ladder teeth left beyond the buckle", "derived",
        ("bindings.ladder_teeth", "foot.ladder_at"), (), fixings.ladder_spare_teeth, w.ladder,
    )  # fmt: skip


def _board_measures() -> Iterator[Measure]:
    w = workings
    yield Measure(
        "sidecut_radius_m", "m", "board", "radius of the board's sidecut", "circle",
        (), ("board.waist_width_mm", *_RADIUS), _sidecut_radius_m, w.sidecut,
    )  # fmt: skip
    yield Measure(
        "needed_tilt_deg", "deg", "board", "board tilt that the rider's turn needs", "carve_flat",
        ("practice.style_tilt_deg",), (*_TILT, "board.waist_width_mm", *_RADIUS), carve.needed_tilt_deg, w.needed_tilt,
        push=carve.needed_tilt_push_deg,
    )  # fmt: skip
    yield Measure(
        "stance_width_mm", "mm", "board", "binding centre to binding centre", "derived",
        _BOTH_ALONG, (), stance.stance_width_mm, w.stance_width,
    )  # fmt: skip
    yield Measure(
        "stance_width_goal_mm", "mm", "board", "stance width that suits legs and style (middle of a window)",
        "common_practice",
        (
            *_LEG, "practice.width_lean_suits_low_deg", "practice.width_lean_suits_high_deg",
            "practice.width_style_low", "practice.width_style_high",
        ),
        (), _width_goal_middle_mm, w.width_goal, stance.stance_width_goal_mm,
    )  # fmt: skip
    yield Measure(
        "stance_width_off_mm", "mm", "board", "stance width less the middle of what suits (positive: wider)",
        "common_practice",
        (
            *_BOTH_ALONG,
            *_LEG, "practice.width_lean_suits_low_deg", "practice.width_lean_suits_high_deg",
            "practice.width_style_low", "practice.width_style_high",
        ),
        (), _width_off_mm, w.width_off,
    )  # fmt: skip
    yield Measure(
        "stance_centre_mm", "mm", "board", "stance's middle from the reference centre, toward the nose", "derived",
        (*_BOTH_ALONG, "board.reference_setback_mm"), (), stance.stance_centre_mm, w.stance_centre,
    )  # fmt: skip
    yield Measure(
        "setback_mm", "mm", "board", "stance's middle behind the middle of the effective edge", "derived",
        (*_BOTH_ALONG, "board.reference_setback_mm"), (), stance.setback_mm, w.setback,
    )  # fmt: skip
    yield Measure(
        "front_load_share", "1", "board", "share of the weight on the front half of the effective edge", "derived",
        (*_BOTH_ALONG, "board.reference_setback_mm", "board.effective_edge_mm"), (),
        stance.front_load_share, w.load_share,
    )  # fmt: skip
    yield Measure(
        "hips_turn_deg", "deg", "board", "how far the rider turns the hips toward the nose, so that both legs share",
        "common_practice", _HIPS, (), hips.hips_turn_deg, w.hips_turn,
    )  # fmt: skip
    yield Measure(
        "splay_deg", "deg", "board", "angle between the feet", "derived",
        ("front.angle_deg", "back.angle_deg"), (), stance.splay_deg, w.splay,
    )  # fmt: skip
    yield Measure(
        "screw_engagement_mm", "mm", "board", "thread in the insert", "iso_68_m6",
        _SCREW, (), fixings.screw_engagement_mm, w.engagement, safety=True,
    )  # fmt: skip
    yield Measure(
        "screw_turns", "turns", "board", "full turns of thread in the insert", "iso_68_m6",
        (*_SCREW, "practice.screw_pitch_mm"), (), fixings.screw_turns, w.turns, safety=True,
    )  # fmt: skip
    yield Measure(
        "screw_gap_mm", "mm", "board", "room from the screw's end to the insert's floor", "derived",
        _SCREW, (), fixings.screw_gap_mm, w.gap, safety=True,
    )  # fmt: skip
    yield Measure(
        "clamp_load_n", "N", "board", "one screw's clamp load at the set torque", "nut_factor",
        (*_SCREW, "screw_torque_nm", "practice.nut_factor", "practice.screw_diameter_mm"), (),
        fixings.clamp_load_n, w.clamp,
    )  # fmt: skip
    yield Measure(
        "edge_corner_deg", "deg", "board", "the edge's corner angle", "edge_angle",
        ("board.base_bevel_deg", "board.side_bevel_deg"), (), fixings.edge_corner_deg, w.corner,
    )  # fmt: skip
    yield Measure(
        "engage_tilt_deg", "deg", "board", "tilt at which the edge first bites", "edge_angle",
        ("board.base_bevel_deg",), (), fixings.engage_tilt_deg, w.engage,
    )  # fmt: skip
    yield Measure(
        "min_waist_mm", "mm", "board", "narrowest waist that suits these boots, angles and tilt", "derived",
        _both_feet((*_all_parts(EDGES), "practice.style_tilt_deg", "practice.most_overhang_mm")),
        _both_feet((*_RADIUS, *_all_binding_parts(EDGES), *_TILT)), board_size.min_waist_mm, w.narrowest,
    )  # fmt: skip
    yield Measure(
        "waist_spare_mm", "mm", "board", "board's waist less the narrowest that suits (negative: too narrow)",
        "derived",
        _both_feet((*_all_parts(EDGES), "practice.style_tilt_deg", "practice.most_overhang_mm")),
        _both_feet((*_RADIUS, *_all_binding_parts(EDGES), *_TILT)), board_size.waist_spare_mm, w.waist_spare,
        made_of=("min_waist_mm", "board.waist_width_mm"),
    )  # fmt: skip
    yield Measure(
        "max_waist_mm", "mm", "board", "widest waist on which these feet still reach the edges", "derived",
        _FEET_TO_EDGES, _RADIUS,
        board_size.max_waist_mm, w.widest,
    )  # fmt: skip
    yield Measure(
        "waist_over_mm", "mm", "board", "board's waist over the widest that suits (positive: too wide)", "derived",
        _FEET_TO_EDGES, _RADIUS,
        board_size.waist_over_mm, w.waist_over,
    )  # fmt: skip


MEASURES: dict[str, Measure] = {m.id: m for m in (*_foot_measures(), *_board_measures())}

_PLACES: dict[Scope, tuple[Place, ...]] = {
    "board": (Place(),),
    "foot": tuple(Place(side) for side in SIDES),
    "foot and edge": tuple(Place(side, edge) for side in SIDES for edge in EDGES),
}


def places(measure: Measure) -> tuple[Place, ...]:
    """Return every place at which a measure is taken."""
    return _PLACES[measure.scope]


def in_percent(name: str) -> bool:
    """Return whether a measure, named with its place or without, is a share, which is told in per cent."""
    return name.partition(".")[0].endswith("_share")


def measure_named(name: str) -> Measure:
    """Return the measure of a name.

    Raises
    ------
    UnknownName
        With the nearest names that do exist.

    """
    try:
        return MEASURES[name]
    except KeyError:
        from difflib import get_close_matches

        near = ", ".join(get_close_matches(name, MEASURES, 3)) or ", ".join(sorted(MEASURES))
        raise UnknownName(f"there is no measure '{name}'; did you mean {near}?") from None
