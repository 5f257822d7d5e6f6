"""The command `advisor trees`: the knowledge proven sound, or file and line of what is not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.knowledge_home import trees_dir

if TYPE_CHECKING:
    import argparse

__all__ = ["prove"]


def prove(given: argparse.Namespace, around: Surroundings) -> int:
    """Compile every knowledge file and prove it; one line a fault."""
    from advisor.graph.compiler import compile_knowledge
    from advisor.graph.proof import prove as prove_knowledge

    compiled, faults = compile_knowledge(trees_dir())
    if not faults:
        faults = prove_knowledge(compiled)
    if given.json:
        from advisor.cli.as_json import dumps

        told = [{"file": f.file, "line": f.line, "words": f.words} for f in faults]
        around.say(dumps({"sound": not faults, "faults": told}))
    else:
        for fault in faults:
            around.say(str(fault))
        if not faults:
            entries = compiled["entries"]
            nodes = sum(len(entry["nodes"]) for entry in entries.values())
            around.say(f"sound: {len(entries)} entries, {nodes} nodes, {len(compiled['causes'])} causes")
    return Exit.NO if faults else Exit.DONE
