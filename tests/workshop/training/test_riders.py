"""Riders are well set up before a fault is planted; a fault shows in complaint, answers and measures."""

from __future__ import annotations

from random import Random

import pytest

from advisor.geometry.measuring import measure_all
from advisor.graph.knowledge import load_knowledge
from advisor.graph.nodes import Ask
from advisor.sheet.practice import load_practice
from advisor.sheet.reading import read_sheet
from advisor.sheet.resolve import resolve
from advisor.workshop.training.measured_sheet import seen_sheet
from advisor.workshop.training.planted_faults import load_faults
from advisor.workshop.training.rider import Noise, draw_rider
from advisor.workshop.training.sound_rider import fit_rider
from advisor.workshop.training.tables import training_table
from advisor.workshop.training.transcript import sheet_text


def test_a_fitted_rider_drags_nowhere_and_stands_within_his_turnout() -> None:
    """Windows of the trade's notes, written out here: margins 5 deg and more, split 4 mm, turnout 8 deg, six turns."""
    random = Random(3)
    for _ in range(40):
        sheet = fit_rider(random).sheet
        taken = {key: one.value for key, one in measure_all(resolve(sheet, load_practice())).items()}
        for side in ("front", "back"):
            assert taken[f"heel_margin_deg.{side}"] >= 5
            assert taken[f"toe_margin_deg.{side}"] >= 5
            assert abs(taken[f"overhang_split_mm.{side}"]) <= 4
            assert abs(taken[f"turnout_gap_deg.{side}"]) <= 8
        assert taken["screw_turns"] >= 6


def test_a_fitted_rider_is_a_sheet_that_can_be_read(tmp_path) -> None:
    sheet = fit_rider(Random(5)).sheet
    file = tmp_path / "rider.yaml"
    file.write_text(sheet_text(sheet, "made up"), encoding="utf-8")
    again = {path: leaf.value for path, leaf in read_sheet(file).leaves.items()}
    assert again == {path: leaf.value for path, leaf in sheet.leaves.items()}


@pytest.mark.parametrize("name", sorted(load_faults()))
def test_every_fault_can_be_planted_and_gives_a_complaint(name: str) -> None:
    rider = draw_rider(Random(f"plant {name}"), only=name)
    assert rider.planted[0].fault.id == name
    assert rider.planted[0] in rider.still_feels()
    assert (rider.sheet == rider.sound) == (not rider.planted[0].fault.turn)


def test_faults_speak_of_entries_facts_options_and_causes_that_exist() -> None:
    knowledge = load_knowledge()
    for fault in load_faults().values():
        assert set(fault.complaints) <= set(knowledge.entry_ids), fault.id
        for cause in fault.named_by:
            assert knowledge.cause(cause).id == cause
        for referral in fault.referrals:
            assert knowledge.referral(referral).id == referral
        for facts in (fault.facts, *(told.get("facts") or {} for told in fault.complaints.values())):
            for fact, option in facts.items():
                assert str(option) in knowledge.facts[fact].options, (fault.id, fact)


def test_a_sound_rider_has_an_answer_to_every_question_of_the_symptoms() -> None:
    knowledge = load_knowledge()
    rider = draw_rider(Random(2), only="edge_dull")
    for name in {complaint for fault in load_faults().values() for complaint in fault.complaints}:
        for node in knowledge.entry(name).nodes.values():
            if isinstance(node, Ask):
                assert rider.honest(knowledge.facts[node.fact]) is not None, (name, node.fact)


def test_every_complaint_has_words_of_its_own() -> None:
    voices = training_table("voices")["voices"]
    for complaint in {complaint for fault in load_faults().values() for complaint in fault.complaints}:
        assert len(set(voices[complaint])) >= 3


def test_wrong_and_missing_answers_come_as_often_as_asked_for() -> None:
    knowledge = load_knowledge()
    fact = knowledge.facts["edge_sharp"]
    rider = draw_rider(Random(2), only="edge_dull")
    told = [rider.told(fact, Noise(wrong=0.1, unsure=0.2), seed) for seed in range(3000)]
    assert told.count(None) / 3000 == pytest.approx(0.2, abs=0.03)
    assert told.count("yes") / 3000 == pytest.approx(0.1, abs=0.03)
    assert rider.told(fact, Noise(wrong=0.5), 7) == rider.told(fact, Noise(wrong=0.5), 7)


def test_a_sheet_with_blanks_lacks_only_what_shops_leave_blank() -> None:
    sheet = fit_rider(Random(9)).sheet
    seen = seen_sheet(sheet, 0, 1.0, Random(1))
    assert set(sheet.leaves) - set(seen.leaves) <= set(training_table("answers")["left_blank"])
    assert seen.value("mount.front.angle_deg") == sheet.value("mount.front.angle_deg")
