"""Program and proof read the same words: yes, no, on and off are words, only true and false are truth values."""

import re
from pathlib import Path

import pytest

from advisor.dialogue.phrasebook import load_phrasebook
from advisor.graph.compiler import compile_knowledge
from advisor.knowledge.fault import Fault
from advisor.knowledge.lined_yaml import read
from advisor.knowledge.tables import load_table
from advisor.knowledge_home import trees_dir

ADVISOR = Path(__file__).parents[2] / "advisor"
TABLES = sorted(path.name for path in trees_dir().glob("*.yaml"))


@pytest.mark.parametrize("name", TABLES)
def test_a_table_is_the_same_to_the_program_as_to_the_proof(name: str) -> None:
    faults: list[Fault] = []
    document = read(trees_dir() / name, name, faults)
    assert faults == []
    assert document is not None
    assert load_table(name) == document.content


def test_only_one_module_reads_knowledge_files_as_yaml() -> None:
    """A setup sheet is no knowledge file: it is read event by event, since it comes from outside."""
    loads = re.compile(r"yaml\.(safe_load|load|compose|parse|scan)\b|[A-Za-z]*SafeLoader")
    readers = {str(file.relative_to(ADVISOR)) for file in ADVISOR.rglob("*.py") if loads.search(file.read_text())}
    assert readers == {"knowledge/lined_yaml.py", "sheet/document.py"}


def test_the_small_words_have_on_and_leave_yes_and_no_to_the_answers() -> None:
    words = load_phrasebook().small_words
    assert "on" in words
    assert not words & {"yes", "no", "True", "False"}


def test_the_proof_refuses_a_truth_value_among_words(tmp_path: Path) -> None:
    text = (trees_dir() / "talk.yaml").read_text(encoding="utf-8").replace('if, "on", in', "if, true, in", 1)
    (tmp_path / "talk.yaml").write_text(text, encoding="utf-8")
    _, faults = compile_knowledge(tmp_path)
    (told,) = [fault for fault in faults if fault.file == "trees/talk.yaml"]
    line = next(number for number, words in enumerate(text.splitlines(), 1) if words.startswith("small_words:"))
    assert told.line == line
    assert "small_words" in told.words
