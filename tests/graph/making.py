"""Small knowledge folders to prove and to break."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from advisor.graph.compiler import compile_knowledge
from advisor.knowledge.fault import Fault
from advisor.workshop.proof import prove
from tests.graph.sound_world import SOUND, Example


def write(root: Path, files: Mapping[str, str]) -> Path:
    """Write files under a folder and return it."""
    for name, text in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root


def broken(example: Example) -> dict[str, str]:
    """Return the sound example with a rule's change made to it."""
    text = SOUND.get(example.file, "")
    assert not example.old or text.count(example.old) == 1, f"{example.old!r} should stand once in {example.file}"
    changed = text.replace(example.old, example.new) if example.old else text + example.new
    return {**SOUND, example.file: changed}


def faults_of(root: Path) -> list[Fault]:
    """Compile and prove a folder."""
    compiled, faults = compile_knowledge(root)
    return faults or prove(compiled)
