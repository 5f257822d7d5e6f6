"""The tables that other rooms read: whatever is done to one, its fault is located and no reader falls over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.dialogue.phrasebook import load_phrasebook
from advisor.graph.compiler import compile_knowledge
from advisor.graph.other_tables import faults_of_reader, faults_of_tables
from advisor.knowledge.fault import Fault
from advisor.knowledge.trees import Trees
from advisor.knowledge_home import trees_dir
from tests.graph.making import write
from tests.graph.sound_world import SOUND
from tests.graph.test_mutations import STRANGE, mutate

TABLES = ("practice", "windows", "adjustments", "estimates", "boot_sizes", "talk")
ALSO_READ = {
    path.relative_to(trees_dir()).as_posix(): path.read_text(encoding="utf-8")
    for path in [
        *(trees_dir() / f"{name}.yaml" for name in ("first_setup", "limits", "travel")),
        *trees_dir().glob("signs/*.yaml"),
    ]
}
OWN = {table: (trees_dir() / f"{table}.yaml").read_text(encoding="utf-8") for table in TABLES}


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder for a knowledge of one table after the other."""
    return tmp_path_factory.mktemp("trees")


def _faults(home: Path, table: str, text: str) -> list[Fault]:
    write(home, {**SOUND, **ALSO_READ, **{f"{name}.yaml": own for name, own in OWN.items()}, f"{table}.yaml": text})
    compiled, faults = compile_knowledge(home)
    lines, trees = compiled["lines"], Trees(home)
    return faults or [*faults_of_tables(trees, lines), *faults_of_reader("talk", load_phrasebook, trees, lines)]


@pytest.mark.parametrize("table", TABLES)
def test_the_projects_own_tables_are_read(home: Path, table: str) -> None:
    assert _faults(home, table, OWN[table]) == []


@settings(max_examples=15)
@given(
    table=st.sampled_from(TABLES),
    kind=st.sampled_from(("delete", "duplicate", "swap", "retype")),
    first=st.integers(0, 10_000),
    second=st.integers(0, 10_000),
    strange=st.sampled_from(STRANGE),
)
def test_any_node_of_a_table_mutated(home: Path, table: str, kind: str, first: int, second: int, strange: Any) -> None:
    changed = mutate(yaml.safe_load(OWN[table]), kind, first, second, strange)
    for fault in _faults(home, table, yaml.dump(changed, allow_unicode=True, sort_keys=False)):
        assert fault.file == f"trees/{table}.yaml"
        assert "failed with" not in fault.words, fault


def test_a_window_for_a_measure_that_does_not_exist_is_named_with_its_line(home: Path) -> None:
    text = OWN["windows"].replace("boot_offset_mm:", "boot_ofset_mm:", 1)
    (fault,) = _faults(home, "windows", text)
    line = next(number for number, words in enumerate(text.splitlines(), 1) if words == "boot_ofset_mm:")
    assert (fault.file, fault.line) == ("trees/windows.yaml", line)
