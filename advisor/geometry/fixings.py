"""Screws, edges, straps, highbacks: the small sizes that a hand sets."""

from __future__ import annotations

from advisor.geometry.board import edge_slope_deg
from advisor.geometry.maths import toes_direction
from advisor.geometry.placing import binding_x_mm, wedge_lift_mm
from advisor.sheet.setup import FootSetup, Setup


def lifts_mm(s: Setup, f: FootSetup) -> tuple[float, float]:
    """Return riser and wedge under the disc's screws, least and most [mm]."""
    if f.cant_deg == 0:
        return f.riser_mm, f.riser_mm
    reach = s.practice.screw_from_centre_mm * sum(abs(part) for part in toes_direction(f.angle_deg))
    lifts = [f.riser_mm + wedge_lift_mm(s, f, side) for side in (-reach, reach)]
    return min(lifts), max(lifts)


def _below_top_sheet_mm(s: Setup, lift_mm: float) -> float:
    bindings = s.bindings
    return bindings.screw_length_mm - bindings.disc_thickness_mm - bindings.washer_mm - lift_mm


def screw_engagement_mm(s: Setup) -> float:
    """Compute the thread inside the insert [mm], of the screw under which riser and wedge are thickest.

    Screw length minus what it clamps (disc, washer, riser, wedge), at most the insert's depth; 0 for a screw that does
    not reach the insert.
    """
    inside = _below_top_sheet_mm(s, max(lifts_mm(s, f)[1] for f in (s.front, s.back)))
    return max(0.0, min(inside, s.board.insert_depth_mm))


def screw_turns(s: Setup) -> float:
    """Compute the full turns of thread in the insert: engagement over pitch."""
    return screw_engagement_mm(s) / s.practice.screw_pitch_mm


def screw_gap_mm(s: Setup) -> float:
    """Compute the room from the screw's end to the insert's floor [mm], of the screw under which least is clamped.

    At 0 and below the screw stands on the floor: it clamps nothing and lifts the base.
    """
    return s.board.insert_depth_mm - _below_top_sheet_mm(s, min(lifts_mm(s, f)[0] for f in (s.front, s.back)))


def screw_clamp_load_n(torque_nm: float, nut_factor: float, diameter_mm: float) -> float:
    """Compute a screw's clamp load from its torque, F = T / (K d) [N].

    Examples
    --------
    >>> round(screw_clamp_load_n(3.6, 0.20, 6))
    3000

    """
    return torque_nm / (nut_factor * diameter_mm / 1000)


def clamp_load_n(s: Setup) -> float:
    """Compute the clamp load of one screw at the set torque [N].

    0 for a screw that stands on the insert's floor or does not reach the insert.
    """
    if screw_gap_mm(s) <= 0 or screw_engagement_mm(s) <= 0:
        return 0.0
    return screw_clamp_load_n(s.screw_torque_nm, s.practice.nut_factor, s.practice.screw_diameter_mm)


def edge_corner_deg(s: Setup) -> float:
    """Compute the edge's corner angle, 90 + base bevel - side bevel [deg]."""
    return 90 + s.board.base_bevel_deg - s.board.side_bevel_deg


def engage_tilt_deg(s: Setup) -> float:
    """Compute the tilt at which the edge first bites [deg]: the base bevel."""
    return s.board.base_bevel_deg


def highback_gap_deg(s: Setup, f: FootSetup) -> float:
    """Compute the rotation still missing until the highback runs along the heel edge [deg], toes outward positive.

    The highback turns with the baseplate; the edge itself turns a little away from the board's axis toward the ends.
    A turn is positive where it lines the highback up for toes outward, so on a foot whose toes turn outward a positive
    gap is rotation missing and a negative one is turned too far. A foot that crosses zero leaves its highback turned
    the wrong way, and the gap says by how much.
    """
    needed = f.outward * (f.angle_deg - edge_slope_deg(s.board, binding_x_mm(s, f)))
    return needed - f.highback_turn_deg


def strap_offset_mm(s: Setup, f: FootSetup) -> float:  # noqa: ARG001
    """Compute the strap's centre from the boot's [mm], positive to the right: half of right reach minus left reach."""
    return (f.strap_right_mm - f.strap_left_mm) / 2


def ladder_spare_teeth(s: Setup, f: FootSetup) -> float:
    """Compute the ladder teeth left beyond the buckle."""
    return s.bindings.ladder_teeth - f.ladder_at
