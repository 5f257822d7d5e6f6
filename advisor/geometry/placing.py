"""Where the binding stands on the board, and the boot on the binding.

The disc is fixed to the board and the baseplate turns round it, so turning a foot never moves its centre.
The inserts stay: sliding a disc, or turning it half round, moves the binding away from its holes.
"""

from __future__ import annotations

from math import radians, tan

from advisor.sheet.setup import FootSetup, Setup


def along_from_reference_mm(s: Setup, f: FootSetup) -> float:
    """Compute the binding's centre along the board from the reference stance's centre [mm], nose positive.

    Half the reference width outward, then the rows (and the place on a slot track) outward, then with the slots along
    the board the slide, which counts toward the nose on both feet, and the hole offset.
    """
    board = s.board
    outward = board.reference_width_mm / 2 + f.row * board.row_pitch_mm + f.track_mm
    return f.outward * outward + (_from_holes_mm(s, f) if f.slots == "along" else 0.0)


def _from_holes_mm(s: Setup, f: FootSetup) -> float:
    """Return how far the disc's centre lies from the middle of the inserts it is screwed to, along its slots [mm].

    The inserts stay, so the binding moves away from the side on which the disc's holes sit.
    """
    offset = s.bindings.hole_offset_mm
    return f.slot_mm + offset if f.disc_flipped else f.slot_mm - offset


def binding_x_mm(s: Setup, f: FootSetup) -> float:
    """Compute the binding's centre along the board [mm], nose positive."""
    return along_from_reference_mm(s, f) - s.board.reference_setback_mm


def binding_y_mm(s: Setup, f: FootSetup) -> float:
    """Compute the binding's centre across the board [mm], toe edge positive.

    y = slide across - hole offset; with the disc turned half round y = slide across + hole offset. With the slots along
    the board the disc is turned a quarter, and slide and offset count along the board.
    """
    return _from_holes_mm(s, f) if f.slots == "across" else 0.0


def boot_middle_along_mm(s: Setup, f: FootSetup) -> float:
    """Compute the boot's middle from the disc's centre along the foot [mm], toe positive.

    The seat plus the heelcup's steps; a positive step pushes the boot toward its toes.
    """
    return f.seat_mm + f.heelcup * s.bindings.heelcup_step_mm


def ramp_end_along_mm(s: Setup, f: FootSetup) -> float:
    """Compute the toe ramp's end from the disc's centre along the foot [mm], at its present step."""
    return s.bindings.toe_ramp_mm + f.toe_ramp * s.bindings.toe_ramp_step_mm


def wedge_lift_mm(s: Setup, f: FootSetup, beside_mm: float) -> float:
    """Compute how much a cant wedge lifts what stands on it [mm]: nothing at its thin side, W tan c at its thick one.

    Parameters
    ----------
    s, f
        The set-up and the foot; a positive cant is thick on the outer side and tips the foot inward.
    beside_mm
        Place beside the foot's line [mm], to the nose positive on a foot that stands square across.

    Examples
    --------
    Three degrees under 100 mm are 0 to 5 mm.

    >>> s = Setup()
    >>> s.practice.wedge_width_mm, s.front.cant_deg = 100, 3
    >>> [round(wedge_lift_mm(s, s.front, side), 1) for side in (-50, 0, 50)]
    [0.0, 2.6, 5.2]

    """
    if f.cant_deg == 0:
        return 0.0
    slope = tan(radians(f.cant_deg))
    return abs(slope) * s.practice.wedge_width_mm / 2 + f.outward * slope * beside_mm


def wedge_slope(f: FootSetup) -> float:
    """Compute how much a wedge rises for each mm to the nose (on a foot that stands square across) [mm/mm]."""
    return f.outward * tan(radians(f.cant_deg))
