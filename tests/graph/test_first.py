"""What an entry asks first stands before every suspect, and faults in it are told at their own line."""

from __future__ import annotations

from pathlib import Path

from advisor.graph.compiler import compile_knowledge
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Ask
from advisor.knowledge.trees import Trees
from advisor.workshop.proof.subject import Subject
from tests.graph.making import faults_of, write
from tests.graph.sound_world import SOUND

_KNEE = SOUND["entries/sore_knee.yaml"]
_GATE = """\
nodes:
  signs:
    ask: started_with_a_fall
    says: "First of all."
    how_so: "Before anything else."
    branches:
      - {is: ["no"], go: seen}
      - {is: ["yes"], go: suspects}
    unsure: suspects
  seen: {refer: look_again}
"""
_FACT = """\
started_with_a_fall:
  {kind: choice, question: "A fall?", how: Ask., minutes: 0.1, options: {"yes": a fall, "no": no fall}}
"""


def _with_gate(gate: str = _GATE) -> dict[str, str]:
    text = _KNEE.replace("suspects:\n", "first: signs\nsuspects:\n", 1).replace("nodes:\n", gate, 1)
    facts = SOUND["facts.yaml"] + _FACT
    return {**SOUND, "entries/sore_knee.yaml": text, "facts.yaml": facts}


def test_each_suspect_begins_with_what_is_asked_first(tmp_path: Path) -> None:
    root = write(tmp_path, _with_gate())
    assert [str(fault) for fault in faults_of(root)] == []
    entry = Knowledge(compile_knowledge(root)[0]).entry("sore_knee")
    assert [suspect.start for suspect in entry.suspects] == ["signs@turnout", "signs@tip", "signs@edge"]
    for name in ("turnout", "tip", "edge"):
        node = entry.nodes[f"signs@{name}"]
        assert isinstance(node, Ask)
        assert node.ways == {"no": "seen", "yes": name}
        assert node.unsure == name
    assert "signs" not in entry.nodes and "seen" in entry.nodes


def test_a_node_asked_first_has_its_own_line_for_every_suspect(tmp_path: Path) -> None:
    root = write(tmp_path, _with_gate())
    subject = Subject(compile_knowledge(root)[0], Trees(root))
    entry = next(one for one in subject.entries if one.id == "sore_knee")
    lines = {subject.at(entry, f"signs@{name}", "ask").line for name in ("turnout", "tip", "edge")}
    text = (root / "entries" / "sore_knee.yaml").read_text().splitlines()
    assert [text[line - 1].strip() for line in lines] == ["ask: started_with_a_fall"]


def test_nothing_leads_back_to_what_was_asked_first(tmp_path: Path) -> None:
    files = _with_gate()
    files["entries/sore_knee.yaml"] = files["entries/sore_knee.yaml"].replace(
        "{is: [soft], go: cleared}", "{is: [soft], go: signs}"
    )
    found = [str(fault) for fault in faults_of(write(tmp_path, files))]
    assert any("stands before the suspects" in words for words in found), found
