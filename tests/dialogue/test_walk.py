"""The walk: what is asked, in which order, what decides, and that it ends."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.dialogue.case import Case
from advisor.dialogue.walk import Walk, walk
from advisor.graph.nodes import Refer
from advisor.sheet.sheet import Sheet
from tests.small_world import ask, case, cause, check, entry, knowledge, sheet

TUNE = {"dull_edge": cause("dull_edge", "tune"), "tune": {"refer": "tuner"}}
DULL = {"edge": ask("dull", {"yes": "dull_edge", "no": "cleared"}), **TUNE}
BEVEL = {
    "bevel": check("engage_tilt_deg", "board", (1.5, None, "steep"), (None, 1.5, "cleared")),
    "steep": cause("steep_bevel", "tune"),
}


def walked(nodes: dict, *suspects: tuple[str, float], of: Case | None = None, parts: dict | None = None) -> Walk:
    return walk(knowledge({"slides": entry(nodes, *suspects)}, parts), of or case())


def asked(done: Walk) -> list[str]:
    return [question.fact.id for question in done.questions]


# ------------------------------------------------------------------ what is asked


def test_a_fact_that_decides_is_asked() -> None:
    assert asked(walked(DULL, ("edge", 1.0))) == ["dull"]


def test_a_known_fact_is_not_asked() -> None:
    done = walked(DULL, ("edge", 1.0), of=case(dull="yes"))
    assert done.question is None
    assert done.found is not None
    assert done.found.cause == "dull_edge"


def test_a_fact_is_not_asked_when_its_answers_end_alike() -> None:
    nodes = {"edge": ask("dull", {"yes": "dull_edge", "no": "dull_edge"}, "dull_edge"), **TUNE}
    done = walked(nodes, ("edge", 1.0))
    assert done.question is None
    assert done.found is not None
    assert done.found.cause == "dull_edge"


def test_a_fact_not_asked_is_not_claimed_to_be_known() -> None:
    nodes = {"edge": ask("dull", {"yes": "dull_edge", "no": "dull_edge"}, "dull_edge"), **TUNE}
    found = walked(nodes, ("edge", 1.0)).found
    assert found is not None
    assert [(step.answer, step.moot) for step in found.steps] == [(None, True), (None, False)]


def test_answers_that_end_alike_further_on_are_not_asked_either() -> None:
    nodes = {
        "snow": ask("snow", {"hard": "edge", "soft|powder": "edge2"}),
        "edge": ask("dull", {"yes": "cleared", "no": "cleared"}),
        "edge2": ask("lifts", {"yes": "cleared", "no": "cleared"}),
    }
    done = walked(nodes, ("snow", 1.0))
    assert done.question is None
    assert [line.status for line in done.lines] == ["cleared"]


def test_not_knowing_goes_where_the_tree_says() -> None:
    nodes = {"edge": ask("dull", {"yes": "cleared", "no": "cleared"}, "dull_edge"), **TUNE}
    nodes["edge"]["branches"][0]["go"] = "dull_edge"
    done = walked(nodes, ("edge", 1.0), of=case().with_unsure("dull"))
    assert done.found is not None
    assert done.found.cause == "dull_edge"
    assert not done.found.sure


def test_an_answer_counts_over_not_knowing_said_before() -> None:
    told_later = case().with_unsure("dull").with_answer("dull", "no")
    done = walked(DULL, ("edge", 1.0), of=told_later)
    assert done.found is not None
    assert done.found.suspect.words == "nothing left"


def test_a_choice_that_is_a_field_of_the_sheet_is_read_from_it() -> None:
    nodes = {"style": ask("rider.style", {"carving": "dull_edge", "all_mountain": "cleared"}), **TUNE}
    assert asked(walked(nodes, ("style", 1.0))) == ["rider.style"]
    done = walked(nodes, ("style", 1.0), of=case(sheet(rider__style="carving")))
    assert done.found is not None
    assert done.found.cause == "dull_edge"


# ------------------------------------------------------------------ checks


@pytest.mark.parametrize(("bevel", "shown"), [(1.0, False), (1.4999, False), (1.5, True), (3.0, True)])
def test_a_check_is_decided_by_geometry_and_its_threshold_belongs_to_the_upper_branch(
    bevel: float, shown: bool
) -> None:
    # engage_tilt_deg is the base bevel itself.
    done = walked({**BEVEL, **TUNE}, ("bevel", 1.0), of=case(sheet(board__base_bevel_deg=(bevel, 0.0))))
    assert done.question is None
    assert done.found is not None
    assert (done.found.cause == "steep_bevel") == shown
    assert done.found.sure


def test_a_range_that_reaches_over_the_threshold_asks_for_the_measurement() -> None:
    done = walked({**BEVEL, **TUNE}, ("bevel", 1.0), of=case(sheet(board__base_bevel_deg=(1.4, 0.3))))
    assert asked(done) == ["board.base_bevel_deg"]
    question = done.question
    assert question is not None
    assert {lead.line.cause for lead in question.leads} == {"steep_bevel", None}


def test_a_range_that_only_touches_the_threshold_asks_nothing() -> None:
    done = walked({**BEVEL, **TUNE}, ("bevel", 1.0), of=case(sheet(board__base_bevel_deg=(1.25, 0.25))))
    assert done.question is None
    assert done.lines[0].status == "cleared"
    assert done.lines[0].sure


def test_a_range_over_the_threshold_asks_nothing_when_both_branches_end_alike() -> None:
    nodes = {"bevel": check("engage_tilt_deg", "board", (1.5, None, "cleared"), (None, 1.5, "cleared"))}
    done = walked(nodes, ("bevel", 1.0), of=case(sheet(board__base_bevel_deg=(1.4, 0.3))))
    assert done.question is None
    assert done.lines[0].status == "cleared"
    assert not done.lines[0].sure


def test_after_the_measurement_the_check_is_decided_and_sure() -> None:
    before = case(sheet(board__base_bevel_deg=(1.4, 0.3)))
    done = walked({**BEVEL, **TUNE}, ("bevel", 1.0), of=before.with_number("board.base_bevel_deg", 1.7, 0.1))
    assert done.found is not None
    assert done.found.cause == "steep_bevel"
    assert done.found.sure


def test_a_measurement_that_cannot_be_had_is_not_asked_again_and_the_line_says_that_it_is_not_sure() -> None:
    unsure = case(sheet(board__base_bevel_deg=(1.6, 0.3))).with_unsure("board.base_bevel_deg")
    done = walked({**BEVEL, **TUNE}, ("bevel", 1.0), of=unsure)
    assert done.question is None
    assert done.found is not None
    assert done.found.cause == "steep_bevel"
    assert not done.found.sure


def test_a_measurement_as_good_as_the_bench_gives_is_not_asked_for_again() -> None:
    # The bench reads a bevel to 0.1 degrees: measuring again would not help.
    done = walked({**BEVEL, **TUNE}, ("bevel", 1.0), of=case(sheet(board__base_bevel_deg=(1.55, 0.1))))
    assert done.question is None
    assert done.found is not None
    assert not done.found.sure


def test_the_measurement_asked_for_is_the_one_that_moves_the_measure_most() -> None:
    # edge_corner_deg = 90 + base - side bevel: the side bevel's range is the wider one.
    nodes = {
        "corner": check("edge_corner_deg", "board", (None, 89, "sharp"), (89, None, "cleared")),
        "sharp": cause("steep_bevel", "tune"),
        **TUNE,
    }
    of = case(sheet(board__base_bevel_deg=(1.0, 0.2), board__side_bevel_deg=(2.0, 1.0)))
    assert asked(walked(nodes, ("corner", 1.0), of=of)) == ["board.side_bevel_deg"]


def test_a_fact_named_to_settle_a_doubtful_check_is_asked_first() -> None:
    nodes = {
        "bevel": check(
            "engage_tilt_deg", "board", (1.5, None, "steep"), (None, 1.5, "cleared"), settle=("rider.tilt_deg",)
        ),
        "steep": cause("steep_bevel", "tune"),
        **TUNE,
    }
    of = case(sheet(board__base_bevel_deg=(1.4, 0.3)))
    assert asked(walked(nodes, ("bevel", 1.0), of=of)) == ["rider.tilt_deg"]
    assert asked(walked(nodes, ("bevel", 1.0), of=of.with_unsure("rider.tilt_deg"))) == ["board.base_bevel_deg"]


STRAP = {
    "strap": check("strap_offset_mm", "each", (8, None, "off"), (None, 8, "cleared")),
    "off": cause("strap_off", "tune"),
    **TUNE,
}


def straps(front: float | None, back: float | None) -> Sheet:
    """Return a sheet whose strap offsets, (right - left)/2, are those given."""
    leaves: dict[str, tuple[float, float]] = {}
    for foot, offset in (("front", front), ("back", back)):
        if offset is not None:
            leaves |= {
                f"mount__{foot}__strap_left_mm": (30.0, 0.0),
                f"mount__{foot}__strap_right_mm": (30.0 + 2 * offset, 0.0),
            }
    return sheet(**leaves)


@pytest.mark.parametrize(
    ("front", "back", "feet"), [(10, 0, ("front",)), (0, 10, ("back",)), (10, 9, ("front", "back"))]
)
def test_each_foot_is_looked_at_and_the_worse_is_followed(front: float, back: float, feet: tuple[str, ...]) -> None:
    done = walked(STRAP, ("strap", 1.0), of=case(straps(front, back)))
    assert done.found is not None
    assert done.found.cause == "strap_off"
    assert done.found.feet == feet


def test_a_missing_number_is_asked_for_with_what_else_it_takes() -> None:
    done = walked(STRAP, ("strap", 1.0), of=case(straps(0, None)))
    assert asked(done) == ["mount.back.strap_left_mm"]
    assert done.question is not None
    assert (done.question.more, done.question.minutes) == (1, 1.0)


def test_a_missing_number_is_not_asked_for_when_one_that_it_needs_with_it_cannot_be_told() -> None:
    done = walked(STRAP, ("strap", 1.0), of=case(straps(0, None)).with_unsure("mount.back.strap_right_mm"))
    assert done.question is None
    assert done.lines[0].status == "unchecked"
    assert done.found is not None
    assert isinstance(done.found.end, Refer)


def test_the_other_foot_is_not_asked_for_when_one_foot_alone_decides() -> None:
    done = walked(STRAP, ("strap", 1.0), of=case(straps(10, None)))
    assert done.question is None
    assert done.found is not None
    assert done.found.feet == ("front",)


def test_a_leg_measure_asks_for_the_height_that_gives_thigh_and_shank() -> None:
    nodes = {
        "leg": check("leg_lean_deg", "front", (12, None, "off"), (None, 12, "cleared")),
        "off": cause("strap_off", "tune"),
        **TUNE,
    }
    of = case(
        sheet(
            board__reference_width_mm=540,
            mount__front__angle_deg=15,
            mount__back__angle_deg=0,
            rider__leading_foot="left",
            boots__size="mondo 27",
        )
    )
    assert asked(walked(nodes, ("leg", 1.0), of=of)) == ["rider.height_cm"]
    done = walked(nodes, ("leg", 1.0), of=of.with_number("rider.height_cm", 178.0, 0.0))
    assert all(one.known for line in done.lines for step in line.steps for one in step.measured)


STRAP_OR_EDGE = {
    "strap": check("strap_offset_mm", "each", (8, None, "off"), (None, 8, "cleared"), unknown="edge"),
    "off": cause("strap_off", "tune"),
    **DULL,
}


def test_a_check_that_says_where_to_go_without_the_number_asks_for_none() -> None:
    assert asked(walked(STRAP_OR_EDGE, ("strap", 1.0))) == ["dull"]
    done = walked(STRAP_OR_EDGE, ("strap", 1.0), of=case(straps(10, 0)))
    assert done.found is not None
    assert done.found.cause == "strap_off"


def test_a_check_that_asks_for_nothing_goes_on_where_the_number_is_too_rough_as_well() -> None:
    nodes = {
        "bevel": check("engage_tilt_deg", "board", (1.5, None, "steep"), (None, 1.5, "cleared"), unknown="edge"),
        "steep": cause("steep_bevel", "tune"),
        **DULL,
    }
    assert asked(walked(nodes, ("bevel", 1.0), of=case(sheet(board__base_bevel_deg=(1.4, 0.3))))) == ["dull"]
    assert asked(walked(nodes, ("bevel", 1.0), of=case(sheet(board__base_bevel_deg=(1.0, 0.3))))) == []
    no_better = walked(nodes, ("bevel", 1.0), of=case(sheet(board__base_bevel_deg=(1.45, 0.1))))
    assert asked(no_better) == ["dull"]


def test_one_foot_that_decides_alone_still_decides_where_the_other_is_not_known() -> None:
    done = walked(STRAP_OR_EDGE, ("strap", 1.0), of=case(straps(10, None)))
    assert done.found is not None
    assert done.found.feet == ("front",)


@pytest.mark.parametrize(
    ("front", "back", "feet"), [(15, 0, ("front",)), (0, 15, ("back",)), (15, 10, ("front", "back"))]
)
def test_a_check_can_read_a_field_at_each_foot(front: float, back: float, feet: tuple[str, ...]) -> None:
    nodes = {
        "lean": check("foot.lean_deg", "each", (10, None, "off"), (None, 10, "cleared")),
        "off": cause("strap_off", "tune"),
        **TUNE,
    }
    leans = sheet(mount__front__lean_deg=(front, 0.0), mount__back__lean_deg=(back, 0.0))
    done = walked(nodes, ("lean", 1.0), of=case(leans))
    assert done.found is not None
    assert (done.found.cause, done.found.feet) == ("strap_off", feet)
    first = done.found.steps[0]
    assert [one.key for one in first.measured] == ["front.lean_deg", "back.lean_deg"]


def test_a_field_of_the_board_is_checked_with_its_range() -> None:
    nodes = {
        "bevel": check("board.side_bevel_deg", "board", (None, 1, "off"), (1, None, "cleared")),
        "off": cause("steep_bevel", "tune"),
        **TUNE,
    }
    doubtful = walked(nodes, ("bevel", 1.0), of=case(sheet(board__side_bevel_deg=(1.2, 0.5))))
    assert asked(doubtful) == ["board.side_bevel_deg"]
    done = walked(nodes, ("bevel", 1.0), of=case(sheet(board__side_bevel_deg=(0.5, 0.1))))
    assert done.found is not None
    assert done.found.cause == "steep_bevel"


@pytest.mark.parametrize(("told", "feet"), [("yes", ("back",)), ("no", ())])
def test_an_answer_can_name_the_foot_that_what_follows_is_about(told: str, feet: tuple[str, ...]) -> None:
    nodes = {"side": {**ask("dull", {"yes|no": "dull_edge"}), "foot": {"back": ["yes"]}}, **TUNE}
    assert asked(walked(nodes, ("side", 1.0))) == ["dull"]
    done = walked(nodes, ("side", 1.0), of=case(dull=told))
    assert done.found is not None
    assert done.found.feet == feet


# ------------------------------------------------------------------ order


def test_questions_come_by_probability_over_cost() -> None:
    """Kadane & Simon: p/C of .5/10, .3/3, .2/1 are .05, .10, .20, so the third comes first, then the second.

    Bench minutes in the small world: snow 0.2, dull 1, lifts 2; odds chosen so that the ratios are .05, .10, .20.
    """
    nodes = {
        "a": ask("lifts", {"yes": "x", "no": "cleared"}),
        "b": ask("dull", {"yes": "x", "no": "cleared"}),
        "c": ask("snow", {"hard": "x", "soft|powder": "cleared"}),
        "x": cause("dull_edge", "tune"),
        **TUNE,
    }
    done = walked(nodes, ("a", 0.10), ("b", 0.10), ("c", 0.04))
    assert asked(done) == ["snow", "dull", "lifts"]


def test_the_number_that_takes_two_measurements_costs_both() -> None:
    # One strap takes 0.5 + 0.5 minutes: .15/1 is less than .1/0.5 although .15/0.5 would be more.
    nodes = {
        **STRAP,
        "ramp": check("engage_tilt_deg", "board", (1.5, None, "off"), (None, 1.5, "cleared")),
        "edge": ask("dull", {"yes": "off", "no": "cleared"}),
    }
    done = walked(nodes, ("strap", 0.15), ("edge", 0.20), of=case(straps(0, None)))
    assert asked(done) == ["dull", "mount.back.strap_left_mm"]


def test_a_fact_that_two_suspects_need_is_asked_once() -> None:
    nodes = {
        "a": ask("dull", {"yes": "dull_edge", "no": "cleared"}),
        "b": ask("dull", {"no": "dull_edge", "yes": "cleared"}),
        **TUNE,
    }
    assert asked(walked(nodes, ("a", 0.5), ("b", 0.5))) == ["dull"]


def test_of_causes_that_show_the_likeliest_is_taken() -> None:
    nodes = {**DULL, "heel": ask("lifts", {"yes": "loose", "no": "cleared"}), "loose": cause("loose_heel", "tune")}
    done = walked(nodes, ("edge", 0.2), ("heel", 0.6), of=case(dull="yes", lifts="yes"))
    assert done.found is not None
    assert done.found.cause == "loose_heel"


def test_a_suspect_ruled_out_is_not_walked_again() -> None:
    of = Case("slides", Sheet("", {}), {"dull": "yes"}, ruled_out=frozenset({"edge"}))
    done = walked(
        {**DULL, "heel": ask("lifts", {"yes": "dull_edge", "no": "cleared"})}, ("edge", 0.9), ("heel", 0.1), of=of
    )
    assert asked(done) == ["lifts"]


# ------------------------------------------------------------------ ends


def test_when_every_suspect_is_cleared_the_entrys_last_word_is_said() -> None:
    done = walked(DULL, ("edge", 1.0), of=case(dull="no"))
    assert done.found is not None
    assert isinstance(done.found.end, Refer)
    assert done.found.end.referral == "nobody_knows"


def test_a_jump_goes_on_in_the_shared_part() -> None:
    parts = {
        "edges": {
            "start": "first",
            "nodes": {
                "first": ask("dull", {"yes": "found", "no": "cleared"}),
                "found": cause("dull_edge", "tune"),
                "tune": {"refer": "tuner"},
            },
        }
    }
    done = walked({"edge": {"jump": "edges"}}, ("edge", 1.0), of=case(dull="yes"), parts=parts)
    assert done.found is not None
    assert done.found.cause == "dull_edge"
    assert done.found.end is not None
    assert done.found.end.id == "edges.tune"


def test_a_loop_ends_with_the_suspect_unchecked() -> None:
    nodes = {"a": ask("dull", {"yes": "b", "no": "b"}, "b"), "b": ask("lifts", {"yes": "a", "no": "a"}, "a")}
    done = walked(nodes, ("a", 1.0), of=case(dull="yes", lifts="no"))
    assert [line.status for line in done.lines] == ["unchecked"]
    assert done.found is not None


@given(st.dictionaries(st.sampled_from(["snow", "dull", "lifts"]), st.sampled_from([0, 1, 2, 3])))
def test_every_way_of_answering_ends_and_asks_nothing_twice(said: dict[str, int]) -> None:
    nodes = {
        "a": ask("lifts", {"yes": "b", "no": "c"}, "c"),
        "b": ask("dull", {"yes": "x", "no": "c"}, "x"),
        "c": ask("snow", {"hard": "x", "soft": "y", "powder": "cleared"}),
        "x": cause("dull_edge", "tune"),
        "y": cause("soft_snow", "tune"),
        **TUNE,
    }
    known = knowledge({"slides": entry(nodes, ("a", 0.5), ("c", 0.3))})
    now = case()
    seen: list[str] = []
    while (question := walk(known, now).question) is not None:
        fact = question.fact
        seen.append(fact.id)
        place = said.get(fact.id, 3)
        options = list(fact.options)
        now = now.with_answer(fact.id, options[place]) if place < len(options) else now.with_unsure(fact.id)
    assert len(seen) == len(set(seen)) <= 3
    assert walk(known, now).found is not None


# ------------------------------------------------------------------ fields asked in words


def test_an_option_of_a_field_is_followed_on_the_sheet_with_it() -> None:
    """A carver tips the board further than an all-mountain rider, so the same boot has less tilt left."""
    nodes = {
        "style": ask("rider.style", {"all_mountain|carving": "tilt"}),
        "tilt": check("needed_tilt_deg", "board", (52, None, "off"), (None, 52, "cleared")),
        "off": cause("steep_bevel", "tune"),
        **TUNE,
    }
    done = walked(nodes, ("style", 1.0))
    assert asked(done) == ["rider.style"]
    assert done.question is not None
    assert {lead.answer: lead.line.cause for lead in done.question.leads} == {
        "all_mountain": None,
        "carving": "steep_bevel",
    }


def test_a_field_is_not_asked_where_no_option_of_it_changes_the_end() -> None:
    nodes = {"style": ask("rider.style", {"all_mountain|carving": "edge"}), **DULL}
    done = walked(nodes, ("style", 1.0), of=case(dull="yes"))
    assert done.question is None
    assert done.found is not None
    assert done.found.cause == "dull_edge"
