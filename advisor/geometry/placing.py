"""Where the binding stands on the board, and the boot on the binding.

The disc is fixed to the board and the baseplate turns round it, so turning a foot never moves its centre.
The inserts stay: sliding a disc, or turning it half round, moves the binding away from its holes.
"""

from __future__ import annotations

from advisor.sheet.setup import FootSetup, Setup

__all__ = ["along_from_reference_mm", "binding_x_mm", "binding_y_mm", "boot_middle_along_mm", "ramp_end_along_mm"]


def along_from_reference_mm(s: Setup, f: FootSetup) -> float:
    """Compute the binding's centre along the board from the reference stance's centre [mm], nose positive.

    Half the reference width outward, then the rows (and the place on a slot track) outward, then the slide along the
    slots, which counts toward the nose on both feet.
    """
    board = s.board
    outward = board.reference_width_mm / 2 + f.row * board.row_pitch_mm + f.track_mm
    slide = f.slot_mm if f.slots == "along" else 0.0
    return f.outward * outward + slide


def binding_x_mm(s: Setup, f: FootSetup) -> float:
    """Compute the binding's centre along the board [mm], nose positive."""
    return along_from_reference_mm(s, f) - s.board.reference_setback_mm


def binding_y_mm(s: Setup, f: FootSetup) -> float:
    """Compute the binding's centre across the board [mm], toe edge positive.

    y = slide across - hole offset; with the disc turned half round y = slide across + hole offset.
    """
    slide = f.slot_mm if f.slots == "across" else 0.0
    offset = s.bindings.hole_offset_mm
    return slide + offset if f.disc_flipped else slide - offset


def boot_middle_along_mm(s: Setup, f: FootSetup) -> float:
    """Compute the boot's middle from the disc's centre along the foot [mm], toe positive.

    The seat plus the heelcup's steps; a positive step pushes the boot toward its toes.
    """
    return f.seat_mm + f.heelcup * s.bindings.heelcup_step_mm


def ramp_end_along_mm(s: Setup, f: FootSetup) -> float:
    """Compute the toe ramp's end from the disc's centre along the foot [mm], at its present step."""
    return s.bindings.toe_ramp_mm + f.toe_ramp * s.bindings.toe_ramp_step_mm
