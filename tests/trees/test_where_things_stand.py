"""One complaint reads top to bottom: what only one file shows stands in that file."""

from __future__ import annotations

from collections import defaultdict

from advisor.graph.compiler import compile_knowledge
from advisor.knowledge_home import trees_dir


def test_a_cause_of_a_file_of_its_own_is_shown_by_several() -> None:
    compiled, faults = compile_knowledge(trees_dir())
    assert faults == []
    shown: dict[str, set[str]] = defaultdict(set)
    for folder in ("entries", "parts"):
        for name, page in compiled[folder].items():
            for node in page["nodes"].values():
                if "cause" in node:
                    shown[node["cause"]].add(f"{folder}/{name}")
    alone = {path.stem: shown[path.stem] for path in (trees_dir() / "causes").glob("*.yaml")}
    assert {name: files for name, files in alone.items() if len(files) < 2} == {}
