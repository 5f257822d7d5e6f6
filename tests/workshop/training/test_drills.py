"""A drill gives full marks for what is right by construction, and what is weak comes back sooner."""

from __future__ import annotations

import io
import re
from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from advisor.cli.exits import Exit
from advisor.cli.main import run
from advisor.cli.surroundings import Surroundings
from advisor.graph.knowledge import load_knowledge
from advisor.workshop.training.drill import Drill
from advisor.workshop.training.marking import advisors_own, mark, whose_hand
from advisor.workshop.training.planted_faults import load_faults
from advisor.workshop.training.spaced_repetition import Memory


def _drill(fault: str, seed: int = 1) -> Drill:
    return Drill.draw(load_knowledge(), fault, Random(f"{fault} {seed}"))


def _name_true_cause(drill: Drill) -> None:
    true = next(name for name in drill.causes if name in drill.rider.planted[0].fault.named_by)
    drill.hear(f"cause {drill.causes.index(true) + 1}")


@pytest.mark.parametrize("fault", ["boot_toward_heel", "back_foot_turned_out", "rows_wide", "strap_off_centre"])
def test_who_undoes_what_was_planted_gets_full_marks(fault: str) -> None:
    """Setting every field back to the sound set-up is right by construction."""
    drill = _drill(fault)
    _name_true_cause(drill)
    for path, leaf in drill.rider.sound.leaves.items():
        if drill.rider.sheet.value(path) != leaf.value:
            drill.hear(f"set {path} {leaf.value}")
    drill.hear("done")
    given = mark(drill)
    assert drill.counted and given.right_cause and given.right_remedy and given.total == 100


@pytest.mark.parametrize("fault", ["strap_off_centre", "boot_toward_heel"])
def test_the_advisors_own_change_is_a_right_remedy(fault: str) -> None:
    drill = _drill(fault)
    answer, _ = advisors_own(drill)
    assert answer.choice is not None
    _name_true_cause(drill)
    for path, value in answer.choice.values.items():
        drill.hear(f"set {path} {value}")
    assert mark(drill).right_remedy


def test_a_wrong_cause_a_wrong_hand_and_harm_cost_their_points() -> None:
    drill = _drill("edge_dull")
    wrong = next(i for i, name in enumerate(drill.causes, 1) if name != "edge_dull")
    drill.hear(f"cause {wrong}")
    drill.hear("set mount.back.angle_deg 36")
    drill.hear("send lesson")
    drill.hear("done")
    given = mark(drill)
    assert not given.right_cause and not given.right_remedy and given.broken and given.total == 0


def test_a_knee_for_a_clinician_needs_no_cause_but_has_to_be_sent() -> None:
    drill = _drill("knee_hurt")
    drill.hear("done")
    assert not drill.over
    drill.hear("send clinician")
    drill.hear("done")
    assert mark(drill).right_remedy and mark(drill).right_cause


def test_the_same_question_costs_once_and_more_minutes_cost_points() -> None:
    drill = _drill("edge_dull")
    drill.hear("ask 1")
    drill.hear("ask 1")
    assert drill.minutes == drill.facts[0].minutes
    _name_true_cause(drill)
    drill.hear("send tuning")
    thrifty = mark(drill).economy
    for number in range(1, len(drill.facts) + 1):
        drill.hear(f"ask {number}")
    drill.minutes += 60
    assert mark(drill).economy == 0 < thrifty


def test_every_fault_has_a_hand_and_a_cause_that_can_be_named() -> None:
    for name, fault in load_faults().items():
        drill = _drill(name)
        assert whose_hand(drill)
        assert fault.referrals or set(drill.causes) & fault.named_by, name


def test_what_went_badly_comes_back_before_what_went_well(tmp_path) -> None:
    memory, now = Memory(tmp_path / "training.sqlite"), datetime(2026, 1, 1, tzinfo=UTC)
    bad = memory.keep("Kim", "edge_dull", "edge_chatter", 10, 5, (False, False), now)
    good = memory.keep("Kim", "tips_sharp", "catches_edge", 95, 5, (True, True), now)
    assert bad < good
    assert memory.next_fault("Kim", Random(1), now=bad + timedelta(minutes=1)) == "edge_dull"
    assert memory.next_fault("Kim", Random(1), now=now) not in {"edge_dull", "tips_sharp"}
    assert memory.next_fault("Lee", Random(1), skill="ramp", now=now) == "ramp_drawn_in"


def test_the_overview_tells_the_weakest_skill_first_and_keeps_trainees_apart(tmp_path) -> None:
    memory = Memory(tmp_path / "training.sqlite")
    memory.keep("Kim", "edge_dull", "edge_chatter", 20, 5, (False, False))
    memory.keep("Kim", "rows_wide", "feels_stretched", 90, 5, (True, True))
    told = memory.overview("Kim")
    assert [one.skill for one in told[:2]] == ["edges", "width"]
    assert (told[0].mark, told[1].mark, told[0].drills) == (20, 90, 1)
    assert all(one.drills == 0 for one in memory.overview("Lee"))
    assert memory.trainees() == ("Kim",)


def _run(lines: str, tmp_path, *arguments: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    around = Surroundings(io.StringIO(lines), out, err, {"ADVISOR_DATA": str(tmp_path)})
    return run(["drill", *arguments], around), out.getvalue(), err.getvalue()


def test_a_drill_goes_through_a_pipe_and_is_kept(tmp_path) -> None:
    code, out, _ = _run("cause 1\nsend 1\ndone\n", tmp_path, "--trainee", "Kim", "--seed", "2")
    assert code == Exit.DONE
    assert "OF 100" in out and "The truth:" in out and "Kept for Kim" in out
    code, out, _ = _run("", tmp_path, "--overview")
    assert code == Exit.DONE
    assert "KIM" in out
    assert any(re.search(r"[#|]", line) and re.search(r"\d", line) for line in out.splitlines())


def test_input_that_ends_early_is_named_and_not_counted(tmp_path) -> None:
    code, _, err = _run("ask 1\n", tmp_path, "--trainee", "Kim", "--seed", "2")
    assert code == Exit.BAD_INPUT and "ended before 'done'" in err
    assert Memory(tmp_path / "training.sqlite").trainees() == ()
