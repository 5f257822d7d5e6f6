"""The schema of the setup sheet: every field, its unit, its outer limits. The one authority on what a sheet may hold.

The limits are those of belief, not of advice: outside them a number is a slip of the pen or of the unit.
`fields.json` is generated from here (`python -m advisor.sheet.compile_fields`), so that reading a sound sheet
need not import this module.
"""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator

from advisor.sheet.convert import convert, unwrap

__all__ = ["Part", "SheetModel"]


def _number(low: float, high: float, unit: str, words: str, **hints: str) -> Any:
    """Describe a quantity: its limits in its own unit; `below` and `above` say what a number outside suggests."""
    extra: dict[str, Any] = {"quantity": unit, "kind": "number", **hints}
    return Field(None, ge=low, le=high, description=words, json_schema_extra=extra)


def _count(low: int, high: int, words: str) -> Any:
    """Describe a whole number."""
    return Field(None, ge=low, le=high, description=words, json_schema_extra={"quantity": "", "kind": "integer"})


def _word(kind: str, words: str, **hints: str) -> Any:
    """Describe a field that holds no number: a choice, yes or no, a boot size, a pair of steps."""
    return Field(None, description=words, json_schema_extra={"quantity": "", "kind": kind, **hints})


class Part(BaseModel):
    """What all parts of a sheet share: unknown fields are refused, every field may be missing, units are converted."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, frozen=True, hide_input_in_errors=True)

    @field_validator("*", mode="before")
    @classmethod
    def _take_leaf(cls, raw: Any, info: ValidationInfo) -> Any:
        extra = cls.model_fields[info.field_name or ""].json_schema_extra
        if info.field_name == "schema_version" and type(raw) is not int:
            raise ValueError("expected the whole number 1")
        if raw is None or not isinstance(extra, dict):
            return raw
        kind, unit = str(extra["kind"]), str(extra["quantity"])
        return convert(unwrap(raw, kind, unit).value, kind, unit)


class Sides(Part):
    """A length of the left and of the right foot."""

    left: float | None = _number(120, 360, "mm", "left foot, heel to longest toe, standing")
    right: float | None = _number(120, 360, "mm", "right foot, heel to longest toe, standing")


class Turnout(Part):
    """How far each foot turns outward by itself, standing relaxed."""

    left: float | None = _number(-45, 60, "deg", "relaxed outward turn of the left foot, standing")
    right: float | None = _number(-45, 60, "deg", "relaxed outward turn of the right foot, standing")


class RiderPart(Part):
    """The rider's body and ways of riding."""

    leading_foot: Literal["left", "right"] | None = _word(
        "choice", "foot in front: left is regular, right is goofy", like="regular is left, goofy is right"
    )
    height_cm: float | None = _number(90, 230, "cm", "body height")
    inseam_cm: float | None = _number(40, 115, "cm", "inside leg, floor to crotch, without shoes")
    weight_kg: float | None = _number(10, 250, "kg", "body weight")
    foot_length_mm: Sides | None = None
    turnout_deg: Turnout | None = None
    style: Literal["all_mountain", "carving", "freestyle", "powder", "first_season"] | None = _word(
        "choice", "how this rider rides"
    )
    speed_kmh: float | None = _number(1, 150, "km/h", "a fast turn for this rider")
    tilt_deg: float | None = _number(1, 89, "deg", "board tilt ridden, when told or read off a scuff mark")
    thigh_mm: float | None = _number(150, 650, "mm", "thigh, hip joint to knee joint")
    shank_mm: float | None = _number(150, 600, "mm", "shank, knee joint to ankle joint")
    pelvis_width_mm: float | None = _number(120, 400, "mm", "between the front hip bones")


class BootsPart(Part):
    """The boot's label and its sole."""

    size: str | None = _word("size", "labelled size with its system, such as mondo 27.0 or EU 42")
    outsole_length_mm: float | None = _number(150, 400, "mm", "outsole, heel tip to toe tip")
    ball_width_mm: float | None = _number(50, 150, "mm", "outsole at its widest, at the ball of the foot")
    heel_width_mm: float | None = _number(35, 120, "mm", "outsole at the heel")
    toe_rise_mm: float | None = _number(0, 60, "mm", "how far the sole has risen at the toe tip")
    age_days: int | None = _count(0, 9000, "how old the boots are, in days")
    toe_rise_length_mm: float | None = _number(0, 120, "mm", "length over which the sole rises to the toe tip")
    heel_rise_mm: float | None = _number(0, 60, "mm", "how far the sole has risen at the heel tip")
    heel_rise_length_mm: float | None = _number(0, 120, "mm", "length over which the sole rises to the heel tip")
    lean_deg: float | None = _number(-5, 30, "deg", "the boot's own forward lean: where its shaft stops the shank")


class BoardPart(Part):
    """The board's outline, inserts and edges."""

    length_cm: float | None = _number(80, 215, "cm", "board length, tip to tail")
    age_days: int | None = _count(0, 9000, "how old the board is, in days")
    effective_edge_mm: float | None = _number(500, 1700, "mm", "effective edge, as printed")
    waist_width_mm: float | None = _number(180, 350, "mm", "narrowest width")
    nose_width_mm: float | None = _number(200, 450, "mm", "widest width at the nose")
    tail_width_mm: float | None = _number(200, 450, "mm", "widest width at the tail")
    contact_length_mm: float | None = _number(500, 1700, "mm", "between the widest places of nose and tail")
    sidecut_radius_m: float | None = _number(3, 30, "m", "sidecut radius, as printed")
    thickness_mm: float | None = _number(3, 25, "mm", "base to top sheet at the inserts")
    reference_width_mm: float | None = _number(250, 800, "mm", "stance width of the reference rows")
    reference_setback_mm: float | None = _number(
        -60, 100, "mm", "reference centre behind the middle of the effective edge"
    )
    insert_pattern: Literal["4x4", "2x4", "slot_track"] | None = _word("choice", "how the inserts are laid out")
    rows_each_way: int | None = _count(0, 8, "rows either side of the reference row")
    insert_depth_mm: float | None = _number(2, 20, "mm", "depth of thread in an insert")
    base_bevel_deg: float | None = _number(0, 5, "deg", "base bevel")
    side_bevel_deg: float | None = _number(
        0, 10, "deg", "side bevel, as the amount under 90", above="write the amount taken off: 1 for an 89-degree edge"
    )
    waist_place_mm: float | None = _number(
        -300, 300, "mm", "narrowest place from the middle of the effective edge, toward the nose positive"
    )
    row_pitch_mm: float | None = _number(5, 60, "mm", "distance from row to row")


class BaseHeight(Part):
    """Top sheet to the boot's sole."""

    toe: float | None = _number(0, 60, "mm", "top sheet to the boot's sole under the ball of the foot")
    heel: float | None = _number(0, 60, "mm", "top sheet to the boot's sole under the heel")


class LeanRange(Part):
    """The forward lean that the highback offers."""

    min: float | None = _number(-5, 45, "deg", "least forward lean")
    max: float | None = _number(0, 60, "deg", "most forward lean")
    step: float | None = _number(0.5, 15, "deg", "forward lean of one step")


class BindingsPart(Part):
    """The bindings' kind and fixed sizes."""

    kind: Literal["strap", "step_in", "rear_entry", "plate"] | None = _word("choice", "kind of binding")
    notch_deg: float | None = _number(0.5, 15, "deg", "angle of one tooth of the disc")
    slot_travel_mm: float | None = _number(0, 25, "mm", "travel in the disc's slots, each way from the middle")
    hole_offset_mm: float | None = _number(
        -15, 15, "mm", "middle of the hole pattern from the disc's centre, toe positive, disc as first laid in"
    )
    base_height_mm: BaseHeight | None = None
    base_length_mm: float | None = _number(120, 350, "mm", "length of the baseplate")
    base_width_mm: float | None = _number(50, 160, "mm", "width of the baseplate at its ends")
    toe_ramp_mm: float | None = _number(60, 220, "mm", "disc's centre to the ramp's end, ramp at step 0")
    toe_ramp_step_mm: float | None = _number(0, 30, "mm", "one step of the toe ramp")
    toe_ramp_steps: tuple[int, int] | None = _word("steps", "first and last step of the toe ramp")
    heelcup_step_mm: float | None = _number(0, 30, "mm", "one step of the heelcup")
    heelcup_steps: tuple[int, int] | None = _word("steps", "first and last step of the heelcup")
    lean_deg: LeanRange | None = None
    screw_length_mm: float | None = _number(6, 40, "mm", "screw, under the head to its end")
    disc_thickness_mm: float | None = _number(1, 25, "mm", "disc clamped under the screw's head")
    washer_mm: float | None = _number(0, 6, "mm", "washer thickness")
    ladder_teeth: int | None = _count(1, 60, "teeth of the ankle strap's ladder")
    heelcup_reach_mm: float | None = _number(-60, 60, "mm", "heelcup behind the boot's heel tip")
    heelcup_height_mm: float | None = _number(0, 150, "mm", "underside of the heelcup over the top sheet")
    highback_reach_mm: float | None = _number(-60, 150, "mm", "highback's lowest rear corner behind the heel tip")
    highback_height_mm: float | None = _number(0, 400, "mm", "highback's lowest rear corner over the top sheet")


class FootPart(Part):
    """One foot as mounted."""

    angle_deg: float | None = _number(-60, 75, "deg", "stance angle, toes to the nose positive")
    row: int | None = _count(-8, 8, "row, counted outward from the reference row")
    slots: Literal["across", "along"] | None = _word("choice", "which way the disc's slots run")
    slot_mm: float | None = _number(-30, 30, "mm", "how far slid: across toward the toe edge, along toward the nose")
    disc_flipped: bool | None = _word("yes_no", "disc turned half round")
    heelcup: int | None = _count(-10, 10, "step of the heelcup")
    lean_deg: float | None = _number(-5, 60, "deg", "forward lean")
    highback_turn_deg: float | None = _number(
        -45, 45, "deg", "highback turned along the heel edge: plus for toes outward, minus for toes inward"
    )
    cant_deg: float | None = _number(-10, 10, "deg", "cant wedge under the binding")
    riser_mm: float | None = _number(0, 40, "mm", "riser under the binding")
    seat_mm: float | None = _number(
        -60, 60, "mm", "boot middle from the disc's centre along the foot, toe positive, at heelcup 0"
    )
    toe_ramp: int | None = _count(-10, 10, "step of the toe ramp")
    strap_left_mm: float | None = _number(0, 200, "mm", "ankle strap's pad, boot's middle to its left end")
    strap_right_mm: float | None = _number(0, 200, "mm", "ankle strap's pad, boot's middle to its right end")
    ladder_at: int | None = _count(0, 60, "tooth at which the ankle strap closes")
    track_mm: float | None = _number(-200, 200, "mm", "slot track: binding outward from the reference position")


class MountPart(Part):
    """How the bindings are mounted."""

    front: FootPart | None = None
    back: FootPart | None = None
    screw_torque_nm: float | None = _number(0.1, 15, "N·m", "torque of the disc's screws")


class SnowPart(Part):
    """The snow and the slope of the turn in question."""

    edge_sink_mm: float | None = _number(0, 80, "mm", "how deep the edge sinks in a turn")
    slope_deg: float | None = _number(0, 60, "deg", "slope of the run")


class LabelsPart(Part):
    """What the shop calls board, boots and bindings."""

    board: str | None = _word("text", "what the shop calls the board")
    boots: str | None = _word("text", "what the shop calls the boots")
    bindings: str | None = _word("text", "what the shop calls the bindings")


class SheetModel(Part):
    """A whole setup sheet."""

    schema_version: Literal[1] = Field(alias="schema", description="version of the sheet's schema")
    rider: RiderPart | None = None
    boots: BootsPart | None = None
    board: BoardPart | None = None
    bindings: BindingsPart | None = None
    mount: MountPart | None = None
    snow: SnowPart | None = None
    labels: LabelsPart | None = None
