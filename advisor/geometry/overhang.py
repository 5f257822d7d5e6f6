"""Overhang and centring: where the boot lies between the edges."""

from __future__ import annotations

from math import sqrt

from advisor.geometry.board import edge_arc, half_width_mm
from advisor.geometry.maths import cos_deg, toes_direction
from advisor.geometry.parts import Edge, beyond_edge_mm, boot_tip
from advisor.geometry.placing import binding_x_mm, binding_y_mm, boot_middle_along_mm, ramp_end_along_mm
from advisor.sheet.setup import FootSetup, Setup


def local_width_mm(s: Setup, f: FootSetup) -> float:
    """Compute the board's width at the binding's centre, 2 b(x) [mm]."""
    return 2 * half_width_mm(s.board, binding_x_mm(s, f))


def overhang_mm(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute the boot's furthest point beyond an edge [mm]; positive hangs over, negative lies inside."""
    tip = boot_tip(s, f, edge)
    return beyond_edge_mm(s, f, edge, tip.along_mm, tip.radius_mm)


def overhang_split_mm(s: Setup, f: FootSetup) -> float:
    """Compute toe overhang minus heel overhang [mm]; 0 = centred between the edges, positive = toes further out."""
    return overhang_mm(s, f, "toe") - overhang_mm(s, f, "heel")


def boot_offset_mm(s: Setup, f: FootSetup) -> float:
    """Compute the boot's middle from the board's centre line [mm], positive toward the toe edge."""
    return binding_y_mm(s, f) + boot_middle_along_mm(s, f) * cos_deg(f.angle_deg)


def press_lever_mm(s: Setup, f: FootSetup, edge: Edge) -> float:
    """Compute the distance from where the foot presses (ball or heel) to that edge [mm].

    The foot lies in the middle of the boot; ball and heel lie at fixed shares of its length (ANSUR II means).
    """
    share = s.practice.ball_place_share if edge == "toe" else s.practice.heel_place_share
    along = boot_middle_along_mm(s, f) + (share - 0.5) * f.foot_length_mm
    return -beyond_edge_mm(s, f, edge, along)


def edge_power_balance(s: Setup, f: FootSetup) -> float:
    """Compute the toe lever over the heel lever; the higher, the more direct the heel edge against the toe edge."""
    return press_lever_mm(s, f, "toe") / press_lever_mm(s, f, "heel")


def toe_past_ramp_mm(s: Setup, f: FootSetup) -> float:
    """Compute how far the boot's tip reaches past the toe ramp's end, along the foot [mm]."""
    return boot_middle_along_mm(s, f) + s.boots.outsole_length_mm / 2 - ramp_end_along_mm(s, f)


def ramp_to_edge_mm(s: Setup, f: FootSetup) -> float:
    """Compute the way along the foot from the toe ramp's end to the toe edge [mm]; negative = beyond the edge.

    The foot's line meets the edge's arc: |P + t u - C| = R, first root; `nan` where it never meets the edge.
    """
    ux, uy = toes_direction(f.angle_deg)
    end = ramp_end_along_mm(s, f)
    radius, arc_x, half = edge_arc(s.board)
    px = binding_x_mm(s, f) + end * ux - arc_x
    py = binding_y_mm(s, f) + end * uy - half - radius
    half_b = px * ux + py * uy
    under = half_b * half_b - (px * px + py * py - radius * radius)
    return -half_b - sqrt(under) if under >= 0 else float("nan")
