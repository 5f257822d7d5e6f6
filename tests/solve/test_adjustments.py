"""Adjustments as data, and what each sheet offers of them."""

from __future__ import annotations

from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml

from advisor.errors import KnowledgeError
from advisor.knowledge.trees import Trees
from advisor.knowledge_home import trees_dir
from advisor.sheet.practice import load_practice
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.solve.adjustments import load_adjustments, load_fixes, load_most_spoiled
from advisor.solve.choice import changes_of
from advisor.solve.options import Lever, cost, levers
from advisor.solve.whatif import what_if
from tests.make_setup import source_ids
from tests.solve.random_sheets import random_document, random_sheet, sheet_from


def offered(sheet: Sheet, **limits: Any) -> dict[str, Lever]:
    return {lever.id: lever for lever in levers(sheet, resolve(sheet, load_practice()), **limits)}


def contract_sheet(**mount: Any) -> Sheet:
    """Return a sheet on rows with centred slots and nothing turned; `mount` changes the back foot."""
    document = random_document(Random(3))
    document["board"] |= {"insert_pattern": "2x4", "rows_each_way": 2}
    document["bindings"] |= {
        "notch_deg": 3, "slot_travel_mm": 5, "hole_offset_mm": 3, "heelcup_steps": [-2, 2], "toe_ramp_steps": [0, 3],
        "lean_deg": {"min": 0, "max": 25, "step": 5}, "screw_length_mm": 14,
    }  # fmt: skip
    for side in ("front", "back"):
        document["mount"][side].pop("track_mm", None)
        document["mount"][side] |= {
            "angle_deg": 0, "row": 0, "slots": "across", "slot_mm": 0, "disc_flipped": False, "heelcup": 0,
            "lean_deg": 0, "toe_ramp": 0, "highback_turn_deg": 0,
        }  # fmt: skip
    document["mount"]["back"] |= mount
    return sheet_from(document)


def values(lever: Lever, path: str) -> list[Any]:
    return [dict(option.sets)[path] for option in lever.options]


def test_every_adjustment_names_a_source_that_exists() -> None:
    table = yaml.safe_load((trees_dir() / "adjustments.yaml").read_text(encoding="utf-8"))
    named = [entry["source"] for part in ("work", "adjustments") for entry in table[part].values()]
    assert set(named) | {table["price"]["source"]} <= source_ids()


def test_all_that_the_trade_knows_is_there() -> None:
    """Common practice, no source: what a hand can turn on a snowboard."""
    wanted = {
        "ankle_strap_hold", "strap_recentre", "strap_length", "toe_strap_place", "tighten_screws", "forward_lean",
        "highback_turn", "toe_ramp_reach", "heelcup_step", "shift_across", "turn_disc_round", "angle_front",
        "angle_back", "stance_width", "stance_centre", "slots_direction", "cant_wedge", "riser", "edge_work_base",
        "edge_work_side", "edge_work_detune", "refer",
    }  # fmt: skip
    assert wanted <= set(load_adjustments())


def test_the_slots_end_at_their_travel() -> None:
    lever = offered(contract_sheet(slot_mm=3))["shift_across.back"]
    assert values(lever, "mount.back.slot_mm") == [-5, -4, -3, -2, -1, 0, 1, 2, 4, 5]


def test_slides_go_in_whole_steps_from_where_the_binding_sits() -> None:
    lever = offered(contract_sheet(slot_mm=2.5))["shift_across.back"]
    assert values(lever, "mount.back.slot_mm") == [-4.5, -3.5, -2.5, -1.5, -0.5, 0.5, 1.5, 3.5, 4.5]


def test_angles_go_by_notches_and_the_front_foot_never_below_zero() -> None:
    found = offered(contract_sheet(angle_deg=-3))
    assert values(found["angle_front.front"], "mount.front.angle_deg")[:3] == [3, 6, 9]
    assert min(values(found["angle_front.front"], "mount.front.angle_deg")) > 0
    assert -6 in values(found["angle_back.back"], "mount.back.angle_deg")
    assert 1 not in values(found["angle_back.back"], "mount.back.angle_deg")


def test_both_feet_move_together_and_stop_with_the_first_that_has_no_row_left() -> None:
    lever = offered(contract_sheet(row=1))["stance_width"]
    assert [dict(option.sets) for option in lever.options] == [
        {"mount.front.row": front, "mount.back.row": front + 1} for front in (-2, -1, 1)
    ]


def test_the_stance_centre_moves_both_feet_the_same_way_along_the_board() -> None:
    lever = offered(contract_sheet(row=0))["stance_centre"]
    assert all(dict(o.sets)["mount.front.row"] == -dict(o.sets)["mount.back.row"] for o in lever.options)


def test_a_slot_track_moves_by_millimetres_and_has_no_rows() -> None:
    document = random_document(Random(1))
    document["board"].pop("rows_each_way", None)
    document["board"]["insert_pattern"] = "slot_track"
    for side in ("front", "back"):
        document["mount"][side].pop("row", None)
        document["mount"][side]["track_mm"] = 0
    lever = offered(sheet_from(document))["stance_width"]
    assert {path for option in lever.options for path, _ in option.sets} == {
        "mount.front.track_mm",
        "mount.back.track_mm",
    }


def test_slots_along_give_up_sliding_across_until_the_disc_is_turned() -> None:
    found = offered(contract_sheet(slots="along", slot_mm=2))
    assert "shift_across.back" not in found
    assert "turn_disc_round.back" not in found
    assert "shift_along.back" in found
    turned = found["slots_direction.back"]
    assert {dict(option.sets)["mount.back.slots"] for option in turned.options} == {"across"}
    assert values(turned, "mount.back.slot_mm") == list(range(-5, 6))
    assert turned.way.loses


def test_a_disc_turned_round_moves_the_binding_by_twice_the_offset() -> None:
    """Common practice, no source: a disc turned half round shifts by twice the holes' offset, away from their side."""
    sheet = contract_sheet()
    lever = offered(sheet)["turn_disc_round.back"]
    change = changes_of([(lever, lever.options[0])], resolve(sheet, load_practice()))[0]
    assert "the binding moves 6 mm toward the toe edge" in change.words


def test_a_slide_and_a_disc_turned_round_each_tell_their_own_way() -> None:
    """Both together are 9 mm: 3 of the slide and 6 of the disc, so that nobody adds one to the sum."""
    sheet = contract_sheet()
    found = offered(sheet)
    slide, disc = found["shift_across.back"], found["turn_disc_round.back"]
    slid = next(option for option in slide.options if option.by == 3)
    words = [change.words for change in changes_of([(slide, slid), (disc, disc.options[0])], _known(sheet))]
    assert words[0] == "slide the back binding 3 mm toward the toe edge"
    assert "the binding moves 6 mm toward the toe edge" in words[1]


@pytest.mark.parametrize(("flipped", "by"), [(False, 1.0), (True, -1.0)])
def test_what_is_turned_over_goes_by_one_either_way(flipped: bool, by: float) -> None:
    """So that from and by make to, as with every other adjustment."""
    sheet = contract_sheet(disc_flipped=flipped)
    lever = offered(sheet)["turn_disc_round.back"]
    change = changes_of([(lever, lever.options[0])], _known(sheet))[0]
    assert change.by == by
    assert int(change.before) + change.by == int(change.after)


def test_a_strap_that_runs_out_of_ladder_is_made_shorter() -> None:
    """The tooth counts those that have gone through the buckle; a shorter strap closes with fewer of them through."""
    sheet = contract_sheet(ladder_at=12)
    lever = offered(sheet)["strap_length.back"]
    option = next(option for option in lever.options if option.by == -2)
    change = changes_of([(lever, option)], _known(sheet))[0]
    assert change.words == "shorten the back ankle strap by 2 teeth, so that the buckle closes at tooth 10"
    spare = "ladder_spare_teeth.back"
    after = what_if(sheet, {change.path: change.after})
    assert after.after[spare].value == after.before[spare].value + 2


@pytest.mark.parametrize(("name", "field", "start"), [("riser", "riser_mm", 3), ("cant_wedge", "cant_deg", 2)])
def test_what_ends_at_nothing_is_taken_out(name: str, field: str, start: int) -> None:
    sheet = contract_sheet(**{field: start})
    lever = offered(sheet)[f"{name}.back"]
    out = next(option for option in lever.options if option.by == -start)
    words = changes_of([(lever, out)], _known(sheet))[0].words
    assert words.startswith("take the")
    assert "0" not in words


def _known(sheet: Sheet) -> Known:
    return resolve(sheet, load_practice())


def test_words_say_the_direction() -> None:
    sheet = contract_sheet()
    found, known = offered(sheet), resolve(sheet, load_practice())

    def words(lever: str, **sets: Any) -> list[str]:
        wanted = {f"mount.{path.replace('__', '.')}": value for path, value in sets.items()}
        option = next(option for option in found[lever].options if wanted.items() <= dict(option.sets).items())
        return [change.words for change in changes_of([(found[lever], option)], known)]

    assert words("shift_across.back", back__slot_mm=3) == ["slide the back binding 3 mm toward the toe edge"]
    assert words("shift_across.back", back__slot_mm=-1) == ["slide the back binding 1 mm toward the heel edge"]
    assert words("angle_back.back", back__angle_deg=-3) == ["turn the back binding 3 degrees toward the tail, to -3"]
    assert words("stance_width", front__row=1, back__row=1) == [
        "move the front binding 1 row outward (20 mm)",
        "move the back binding 1 row outward (20 mm)",
    ]
    assert words("stance_centre", front__row=-1, back__row=1) == [
        "move the front binding 1 row toward the tail (20 mm)",
        "move the back binding 1 row toward the tail (20 mm)",
    ]


def test_feet_that_may_not_be_touched_are_left_alone() -> None:
    found = offered(contract_sheet(), feet=("back",))
    assert all(lever.foot != "front" for lever in found.values())
    assert "stance_width" not in found


def test_one_disc_is_opened_once() -> None:
    found = offered(contract_sheet())
    slide, angle = found["shift_across.back"], found["angle_back.back"]
    assert cost([slide, angle])[0] == cost([slide])[0] == cost([angle])[0] == 16
    assert cost([slide, found["turn_disc_round.back"]])[0] == cost([found["turn_disc_round.back"]])[0] == 56
    assert cost([slide, found["shift_across.front"]])[0] == 32


def test_adding_an_adjustment_never_makes_the_work_less() -> None:
    random = Random(5)
    for _ in range(30):
        everything = list(offered(random_sheet(random)).values())
        chosen = random.sample(everything, 3)
        assert cost(chosen[:1]) <= cost(chosen[:2]) <= cost(chosen)


def test_every_value_offered_makes_a_sheet_that_passes_every_check() -> None:
    random = Random(11)
    for _ in range(5):
        sheet = random_sheet(random)
        for lever in offered(sheet).values():
            for option in {lever.options[0], lever.options[-1], random.choice(lever.options)}:
                changed = sheet
                for path, value in option.sets:
                    changed = changed.with_value(path, value)
                assert sheet_from(changed.to_dict()).value(option.sets[0][0]) == option.sets[0][1]


def test_an_unknown_travel_offers_nothing() -> None:
    document = random_document(Random(2))
    del document["bindings"]["heelcup_steps"]
    assert not any(name.startswith("heelcup_step") for name in offered(sheet_from(document)))


def test_the_price_and_the_fixes_are_data() -> None:
    assert load_most_spoiled() >= 0
    assert {fix.path for fix in load_fixes()} >= {"board.waist_width_mm", "boots.outsole_length_mm"}


_GOOD: dict[str, Any] = {
    "words": "x", "feet": "each", "work": "w", "minutes": 1, "used_to": 1, "source": "derived",
    "do": {"plus": "do {by}"},
    "ways": [{"moves": {"mount.{foot}.slot_mm": 1}, "step": 1, "bounds": [0, 1], "for": ["heel_margin_deg"]}],
}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ({"feet": "left"}, "expected feet"),
        ({"work": "magic"}, "expected work"),
        ({"do": {"plus": "do {this}"}}, "may hold"),
        ({"do": {}}, "expected do"),
        ({"needs": ["nothing_such"]}, "nothing_such"),
        ({"turn": 1}, "does not know turn"),
        ({"used_to": -1}, "used_to of 0 or more"),
        ({"used_to": None}, "expected used_to"),
        ({"ways": [{"step": 1}]}, "expected moves"),
        ({"ways": [{"moves": {"mount.{foot}.slot": 1}, "step": 1, "bounds": [0, 1]}]}, "no field of the sheet"),
        ({"ways": [{"moves": {"mount.{foot}.slot_mm": 1}}]}, "expected step and bounds"),
        ({"ways": [{"moves": {"mount.{foot}.slot_mm": 1}, "step": 1, "bounds": [0, 1], "for": ["x"]}]}, "is for x"),
    ],
)
def test_a_faulty_file_says_where_and_what(change: dict[str, Any], complaint: str, tmp_path: Path) -> None:
    work = {"w": {"part": "disc", "screws": 4, "turns": 1, "minutes": 1}}
    table = {"work": work, "adjustments": {"thing": {**_GOOD, **change}}}
    (tmp_path / "adjustments.yaml").write_text(yaml.safe_dump(table))
    with pytest.raises(KnowledgeError, match=complaint):
        load_adjustments(Trees(tmp_path))
