"""A node used once may stand where it is used, and a cause in the node that shows it; nothing else changes."""

from __future__ import annotations

from pathlib import Path

from advisor.graph.compiled import Knowledge
from advisor.graph.compiler import compile_knowledge
from advisor.workshop.proof import prove
from tests.graph.making import write
from tests.graph.sound_world import SOUND

NESTED = """\
    branches:
      - {from: 12, go: turned}
      - {below: -12, go: turned}
      - {from: -12, below: 12, go: cleared}
  turned: {cause: foot_turned_away, go: turn_it}
  turn_it:
    aim: [{measure: turnout_gap_deg, foot: found}]
    says: "The {foot} foot is off by {turnout_gap_deg}."
    otherwise: nothing
"""
INLINE = """\
    branches:
      - {from: 12, go: turned}
      - {below: -12, go: turned}
      - {from: -12, below: 12, go: cleared}
  turned:
    cause: foot_turned_away
    title: The foot is turned away from how it stands
    because: "The {foot} foot is turned {turnout_gap_deg} away."
    how_so: "A foot turned away twists the knee."
    feel: "The knee passes over the foot."
    cautions: [not_medical, screws]
    source: common_practice
    go:
      name: turn_it
      aim: [{measure: turnout_gap_deg, foot: found}]
      says: "The {foot} foot is off by {turnout_gap_deg}."
      otherwise: {name: elsewhere, refer: look_again}
"""
KNEE = "entries/sore_knee.yaml"


def inline() -> dict[str, str]:
    assert NESTED in SOUND[KNEE]
    files = {**SOUND, KNEE: SOUND[KNEE].replace(NESTED, INLINE)}
    del files["causes/foot_turned_away.yaml"]
    return files


def test_what_stands_inline_is_the_same_as_by_name(tmp_path: Path) -> None:
    flat, faults = compile_knowledge(write(tmp_path / "flat", SOUND))
    nested, more = compile_knowledge(write(tmp_path / "nested", inline()))
    assert [*faults, *more, *prove(nested)] == []
    assert nested["causes"] == flat["causes"]
    known, other = Knowledge(flat).entry("sore_knee"), Knowledge(nested).entry("sore_knee")
    assert other.suspects == known.suspects
    nodes = dict(other.nodes)
    assert nodes.pop("elsewhere")[1:] == known.nodes["nothing"][1:]
    assert nodes["turn_it"] == known.nodes["turn_it"]._replace(otherwise="elsewhere")  # type: ignore[union-attr]
    assert {**nodes, "turn_it": known.nodes["turn_it"]} == known.nodes


def test_a_node_without_a_name_is_named_after_where_it_stands(tmp_path: Path) -> None:
    text = SOUND[KNEE].replace("{below: 6, go: close}", "{below: 6, go: {refer: look_again}}")
    away = ("  close: {cause", "  step_out: {do")
    files = {**SOUND, KNEE: "".join(line for line in text.splitlines(True) if not line.startswith(away))}
    compiled, faults = compile_knowledge(write(tmp_path, files))
    assert faults == []
    assert Knowledge(compiled).entry("sore_knee").nodes["tip_splay_1"].referral == "look_again"  # type: ignore[union-attr]


def test_a_fault_inside_is_told_at_its_own_line(tmp_path: Path) -> None:
    files = inline()
    files[KNEE] = files[KNEE].replace("refer: look_again}\n", "refer: look_agin}\n", 1)
    files[KNEE] = files[KNEE].replace("is turned {turnout_gap_deg} away", "is turned {turnout_gap} away")
    compiled, faults = compile_knowledge(write(tmp_path, files))
    assert faults == []
    told = {(fault.file, fault.line) for fault in prove(compiled)}
    lines = files[KNEE].splitlines()
    expected = {next(i for i, line in enumerate(lines, 1) if words in line) for words in ("look_agin", "{turnout_gap}")}
    assert {(f"trees/{KNEE}", line) for line in expected} <= told


def test_the_same_name_twice_is_refused(tmp_path: Path) -> None:
    files = inline()
    files[KNEE] = files[KNEE].replace("name: elsewhere", "name: nothing")
    _, faults = compile_knowledge(write(tmp_path, files))
    assert any("'nothing' meant twice" in fault.words for fault in faults)


def test_a_cause_in_a_file_and_inline_is_refused(tmp_path: Path) -> None:
    files = {**inline(), "causes/foot_turned_away.yaml": SOUND["causes/foot_turned_away.yaml"]}
    _, faults = compile_knowledge(write(tmp_path, files))
    assert any("meant twice? It stands in trees/causes/foot_turned_away.yaml too" in fault.words for fault in faults)
