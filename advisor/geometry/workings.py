"""Each measure's formula with this set-up's numbers put in, as a tech could check it by hand."""

from __future__ import annotations

from math import isinf

from advisor.geometry.board import edge_arc, edge_slope_deg, sidecut_radius_mm
from advisor.geometry.board_size import max_waist_mm, min_waist_mm
from advisor.geometry.carve import carve_limit_kmh, carve_tilt_deg, needed_tilt_deg
from advisor.geometry.contact import NEVER_DEG, contact_deg, first_contact
from advisor.geometry.fixings import lifts_mm, screw_engagement_mm, screw_gap_mm
from advisor.geometry.hips import hips_turn_deg
from advisor.geometry.leg import hip_separation_mm, least_lean_deg, leg_chain, leg_length_mm, shank_lean_deg
from advisor.geometry.maths import isnan, toes_direction
from advisor.geometry.overhang import overhang_mm, press_lever_mm
from advisor.geometry.parts import Edge, boot_tip
from advisor.geometry.placing import (
    along_from_reference_mm,
    binding_x_mm,
    binding_y_mm,
    boot_middle_along_mm,
    ramp_end_along_mm,
)
from advisor.geometry.stance import setback_mm, stance_width_goal_mm, stance_width_mm, turnout_gap_deg
from advisor.sheet.setup import FootSetup, Setup


def number(value: float, places: int = 1) -> str:
    """Write a number for a person: no trailing zeros, a real minus sign only in front of digits.

    Examples
    --------
    >>> number(12.50), number(-0.04), number(3.0)
    ('12.5', '0', '3')

    """
    if isnan(value) or isinf(value):
        return "?"
    text = f"{value:.{places}f}".rstrip("0").rstrip(".") if places else f"{value:.0f}"
    return "0" if text in {"-0", ""} else text


n = number


def sidecut(s: Setup) -> str:
    """Explain `sidecut_radius_m`."""
    board = s.board
    if not isnan(board.sidecut_radius_mm):
        return f"printed on the board: {n(board.sidecut_radius_mm / 1000, 2)} m"
    if not isnan(board.waist_place_mm):
        return (
            f"circle through nose {n(board.nose_width_mm)}, waist {n(board.waist_width_mm)} "
            f"at x {n(board.waist_place_mm)} and tail {n(board.tail_width_mm)}"
        )
    return (
        f"C²/(8 s) + s/2 with s = ({n(board.nose_width_mm)} + {n(board.tail_width_mm)})/4 - "
        f"{n(board.waist_width_mm)}/2, C = {n(board.contact_length_mm)}, through nose and tail"
    )


def local_width(s: Setup, f: FootSetup) -> str:
    """Explain `local_width_mm`."""
    radius, arc_x, half = edge_arc(s.board)
    away, waist = abs(binding_x_mm(s, f) - arc_x), 2 * half
    return f"w + 2 (R - sqrt(R² - (x - xw)²)) = {n(waist)} + 2 ({n(radius)} - sqrt({n(radius)}² - {n(away)}²))"


def overhang(s: Setup, f: FootSetup, edge: Edge) -> str:
    """Explain `toe_overhang_mm` and `heel_overhang_mm`."""
    tip = boot_tip(s, f, edge)
    radius, arc_x, half = edge_arc(s.board)
    r = tip.radius_mm
    ux, uy = toes_direction(f.angle_deg)
    x = binding_x_mm(s, f) + tip.along_mm * ux
    y = binding_y_mm(s, f) + tip.along_mm * uy
    across = y if edge == "toe" else -y
    return (
        f"R + r - hypot(x - xw, w/2 + R - y) = {n(radius)} + {n(r)} - "
        f"hypot({n(x - arc_x)}, {n(half)} + {n(radius)} - {n(across)})"
    )


def boot_offset(s: Setup, f: FootSetup) -> str:
    """Explain `boot_offset_mm`."""
    return (
        f"binding y + (seat + heelcup) cos a = {n(binding_y_mm(s, f))} + {n(boot_middle_along_mm(s, f))} "
        f"x cos {n(f.angle_deg)}"
    )


def split(s: Setup, f: FootSetup) -> str:
    """Explain `overhang_split_mm`."""
    return f"toe overhang - heel overhang = {n(overhang_mm(s, f, 'toe'))} - ({n(overhang_mm(s, f, 'heel'))})"


def contact(s: Setup, f: FootSetup, edge: Edge) -> str:
    """Explain `toe_contact_deg` and `heel_contact_deg`."""
    part, beyond, tilt = first_contact(s, f, edge)
    sink = s.ride.edge_sink_mm
    if tilt >= NEVER_DEG:
        return f"nothing hangs over: {part.name} {n(beyond)} mm from the edge, never first on the snow"
    where = f"{part.name}: z = {n(part.height_mm)}, d = {n(beyond)}"
    if sink > 0:
        return f"acos(p / hypot(z, d)) - atan(d / z), {where}, p = {n(sink)}"
    return f"atan(z / d) = atan({n(part.height_mm)} / {n(beyond)}), {where}"


def needed_tilt(s: Setup) -> str:
    """Explain `needed_tilt_deg`."""
    if not isnan(s.rider.tilt_deg):
        return f"the tilt told or read off a scuff mark: {n(s.rider.tilt_deg)}"
    style = s.practice.style_tilt_deg
    speed = s.rider.speed_kmh
    radius = sidecut_radius_mm(s.board) / 1000
    if isnan(speed) or isnan(radius):
        return f"speed or sidecut not known: the style's tilt, {n(style)}"
    carved = carve_tilt_deg(speed, radius, s.ride.slope_deg)
    slope = f"{n(s.ride.slope_deg)} + " if s.ride.slope_deg else ""
    if isnan(carved):
        return (
            f"at {n(speed)} km/h no fully carved turn exists on this sidecut "
            f"(limit sqrt(g R) = {n(carve_limit_kmh(radius))} km/h on the flat): the style's tilt alone, {n(style)}"
        )
    return (
        f"min({slope}asin(v²/(g R)), style) = min({slope}asin(({n(speed)}/3.6)²/(9.81 x {n(radius, 2)})), {n(style)})"
    )


def margin(s: Setup, f: FootSetup, edge: Edge) -> str:
    """Explain `toe_margin_deg` and `heel_margin_deg`."""
    return f"contact tilt - needed tilt = {n(contact_deg(s, f, edge))} - {n(needed_tilt_deg(s))}"


def speed_limit(s: Setup, f: FootSetup, edge: Edge) -> str:
    """Explain `carve_speed_limit_kmh`."""
    radius, tilt = sidecut_radius_mm(s.board) / 1000, contact_deg(s, f, edge)
    slope = f" - {n(s.ride.slope_deg)}" if s.ride.slope_deg else ""
    return f"3.6 sqrt(g R sin t) = 3.6 sqrt(9.81 x {n(radius, 2)} x sin({n(tilt)}{slope}))"


def lever(s: Setup, f: FootSetup, edge: Edge) -> str:
    """Explain `toe_lever_mm` and `heel_lever_mm`."""
    share = s.practice.ball_place_share if edge == "toe" else s.practice.heel_place_share
    middle = boot_middle_along_mm(s, f)
    spot = "ball" if edge == "toe" else "heel"
    return (
        f"{spot} at {n(middle)} + ({n(share, 3)} - 0.5) x {n(f.foot_length_mm)} = "
        f"{n(middle + (share - 0.5) * f.foot_length_mm)} mm along the foot, from there square to the edge"
    )


def balance(s: Setup, f: FootSetup) -> str:
    """Explain `edge_power_balance`."""
    return f"toe lever / heel lever = {n(press_lever_mm(s, f, 'toe'))} / {n(press_lever_mm(s, f, 'heel'))}"


def toe_past_ramp(s: Setup, f: FootSetup) -> str:
    """Explain `toe_past_ramp_mm`."""
    return (
        f"boot middle + outsole/2 - ramp end = {n(boot_middle_along_mm(s, f))} + {n(s.boots.outsole_length_mm / 2)} - "
        f"{n(ramp_end_along_mm(s, f))}"
    )


def ramp_to_edge(s: Setup, f: FootSetup) -> str:
    """Explain `ramp_to_edge_mm`."""
    end = ramp_end_along_mm(s, f)
    return f"from the ramp's end, {n(end)} mm from the disc's centre, along {n(f.angle_deg)} deg to the edge"


def stance_width(s: Setup) -> str:
    """Explain `stance_width_mm`."""
    front, back = along_from_reference_mm(s, s.front), along_from_reference_mm(s, s.back)
    return f"front - back binding, from the reference stance's centre = {n(front)} - ({n(back)})"


def width_goal(s: Setup) -> str:
    """Explain `stance_width_goal_mm`."""
    p = s.practice
    low, high = stance_width_goal_mm(s)
    return (
        f"{n(low, 0)} to {n(high, 0)}: hips {n(hip_separation_mm(s), 0)} + 2 x leg {n(leg_length_mm(s), 0)} x "
        f"sin({n(p.width_lean_suits_low_deg)}..{n(p.width_lean_suits_high_deg)}), the part that the style uses"
    )


def width_off(s: Setup) -> str:
    """Explain `stance_width_off_mm`."""
    low, high = stance_width_goal_mm(s)
    return f"width - middle of what suits = {n(stance_width_mm(s))} - {n((low + high) / 2, 0)}"


def stance_centre(s: Setup) -> str:
    """Explain `stance_centre_mm`."""
    return f"reference setback - setback = {n(s.board.reference_setback_mm)} - {n(setback_mm(s))}"


def setback(s: Setup) -> str:
    """Explain `setback_mm`."""
    return f"-(front x + back x)/2 = -({n(binding_x_mm(s, s.front))} + ({n(binding_x_mm(s, s.back))}))/2"


def load_share(s: Setup) -> str:
    """Explain `front_load_share`."""
    return f"1/2 - setback / effective edge = 0.5 - {n(setback_mm(s))} / {n(s.board.effective_edge_mm)}"


def splay(s: Setup) -> str:
    """Explain `splay_deg`."""
    return f"front angle - back angle = {n(s.front.angle_deg)} - ({n(s.back.angle_deg)})"


def boot_room(s: Setup, f: FootSetup) -> str:
    """Explain `boot_room_mm`."""
    return f"foot on the label - this foot = {n(s.boots.for_foot_mm)} - {n(f.foot_length_mm)}"


def hips_turn(s: Setup) -> str:
    """Explain `hips_turn_deg`."""
    p, front, back = s.practice, s.front, s.back
    alike = f"{n(front.angle_deg)} + ({n(back.angle_deg)}) - ({n(front.turnout_deg)}) + ({n(back.turnout_deg)})"
    return (
        f"(front + back angle - front + back turnout)/2, held within the style's range = "
        f"max({n(p.hips_turn_deg_low)}, min({n(p.hips_turn_deg_high)}, ({alike})/2))"
    )


def turnout_gap(s: Setup, f: FootSetup) -> str:
    """Explain `turnout_gap_deg`."""
    turn = hips_turn_deg(s)
    outward = f"{n(f.angle_deg)} - ({n(turn)})" if f.outward > 0 else f"{n(turn)} - ({n(f.angle_deg)})"
    return f"outward angle to the hips - relaxed turnout = {outward} - ({n(f.turnout_deg)})"


def leg_lean(s: Setup, f: FootSetup) -> str:
    """Explain `leg_lean_deg`."""
    leg = leg_chain(s, f)
    out = f.outward * (leg.ankle[0] - leg.hip[0])
    return (
        f"atan(outward / up) = atan({n(out, 0)} / {n(leg.hip[2] - leg.ankle[2], 0)}), hip joint to ankle in riding flex"
    )


def knee_offset(s: Setup, f: FootSetup) -> str:
    """Explain `knee_offset_mm`."""
    p = s.practice
    return (
        f"thigh {n(s.rider.thigh_mm, 0)}, shank {n(s.rider.shank_mm, 0)}, knee bend {n(p.riding_knee_flex_deg, 0)}; "
        f"{n(p.knee_twist_share, 2)} of the turnout gap {n(turnout_gap_deg(s, f))} and "
        f"{n(p.cuff_give_share, 2)} of the leg's lean reach the kneecap; "
        f"the hip opens {n(p.hip_opening_limit_deg, 0)} deg at most; negative = inside"
    )


def highback_gap(s: Setup, f: FootSetup) -> str:
    """Explain `highback_gap_deg`."""
    slope = edge_slope_deg(s.board, binding_x_mm(s, f))
    turn = n(f.highback_turn_deg)
    side = "" if f.outward > 0 else "-"
    return (
        f"outward: {side}(stance angle - edge's own turn) - highback turn = "
        f"{side}({n(f.angle_deg)} - ({n(slope)})) - ({turn})"
    )


def lean_reserve(s: Setup, f: FootSetup) -> str:
    """Explain `lean_reserve_deg`."""
    stop = "boot's own lean" if s.boots.lean_deg > f.lean_deg else "forward lean"
    return f"shank lean in riding flex - {stop} = {n(shank_lean_deg(s, f))} - {n(least_lean_deg(s, f))}"


def engagement(s: Setup) -> str:
    """Explain `screw_engagement_mm`."""
    b = s.bindings
    lift = max(lifts_mm(s, f)[1] for f in (s.front, s.back))
    clamped = f"{n(b.screw_length_mm)} - {n(b.disc_thickness_mm)} - {n(b.washer_mm)} - {n(lift)}"
    if screw_engagement_mm(s) <= 0:
        return f"the screw does not reach the insert: screw - disc - washer - riser and wedge = {clamped}"
    return f"min(screw - disc - washer - riser and wedge, insert) = min({clamped}, {n(s.board.insert_depth_mm)})"


def turns(s: Setup) -> str:
    """Explain `screw_turns`."""
    return f"engagement / pitch = {n(screw_engagement_mm(s))} / {n(s.practice.screw_pitch_mm, 2)}"


def gap(s: Setup) -> str:
    """Explain `screw_gap_mm`."""
    b = s.bindings
    lift = min(lifts_mm(s, f)[0] for f in (s.front, s.back))
    return (
        f"insert - (screw - disc - washer - riser and wedge) = {n(s.board.insert_depth_mm)} - "
        f"({n(b.screw_length_mm)} - {n(b.disc_thickness_mm)} - {n(b.washer_mm)} - {n(lift)})"
    )


def clamp(s: Setup) -> str:
    """Explain `clamp_load_n`."""
    if screw_gap_mm(s) <= 0:
        return f"the screw stands on the insert's floor (gap {n(screw_gap_mm(s))} mm): it clamps nothing"
    p = s.practice
    return f"T / (K d) = {n(s.screw_torque_nm)} / ({n(p.nut_factor, 2)} x {n(p.screw_diameter_mm / 1000, 3)})"


def corner(s: Setup) -> str:
    """Explain `edge_corner_deg`."""
    return f"90 + base bevel - side bevel = 90 + {n(s.board.base_bevel_deg)} - {n(s.board.side_bevel_deg)}"


def engage(s: Setup) -> str:
    """Explain `engage_tilt_deg`."""
    return f"base bevel = {n(s.board.base_bevel_deg)}"


def strap(s: Setup, f: FootSetup) -> str:  # noqa: ARG001
    """Explain `strap_offset_mm`."""
    return f"(right - left)/2 = ({n(f.strap_right_mm)} - {n(f.strap_left_mm)})/2"


def ladder(s: Setup, f: FootSetup) -> str:
    """Explain `ladder_spare_teeth`."""
    return f"teeth - tooth in use = {n(s.bindings.ladder_teeth)} - {n(f.ladder_at)}"


def narrowest(s: Setup) -> str:
    """Explain `min_waist_mm`."""
    tilt = n(needed_tilt_deg(s))
    return (
        f"the wider of two waists, boots centred: the first part meets the snow at {tilt} deg, or a boot end hangs "
        f"over {n(s.practice.most_overhang_mm)} mm: {n(min_waist_mm(s))}"
    )


def waist_spare(s: Setup) -> str:
    """Explain `waist_spare_mm`."""
    return f"waist - narrowest that suits = {n(s.board.waist_width_mm)} - {n(min_waist_mm(s))}"


def widest(s: Setup) -> str:
    """Explain `max_waist_mm`."""
    return (
        f"waist at which, boots centred, the bare foot ({n(s.front.foot_length_mm)} and "
        f"{n(s.back.foot_length_mm)}) ends {n(s.practice.foot_inside_edge_mm)} mm inside each edge: "
        f"{n(max_waist_mm(s))}"
    )


def waist_over(s: Setup) -> str:
    """Explain `waist_over_mm`."""
    return f"waist - widest that suits = {n(s.board.waist_width_mm)} - {n(max_waist_mm(s))}"
