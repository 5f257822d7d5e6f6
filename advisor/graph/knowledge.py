"""The knowledge in `trees/`, proven once and kept between runs.

The files are compiled and checked once; the result is kept in the user's cache folder under a name made from the files'
names, sizes and times. A folder that cannot be written to only costs the time of compiling again.
"""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from advisor import __version__
from advisor.by_name import by_name
from advisor.errors import KnowledgeError
from advisor.graph.compiled import Knowledge
from advisor.kept import keep, kept_file, read_kept
from advisor.knowledge.trees import Trees, of_trees
from advisor.knowledge_home import trees_dir

if TYPE_CHECKING:
    from advisor.knowledge.fault import Fault

__all__ = ["Knowledge", "load_knowledge"]

# A change of these asks for a new proof.
_PROVEN_BY = ("knowledge", "sheet", "geometry", "solve", "graph", "signs", "doubt", "workshop/proof")
_PARTS_KEPT = ("entries", "parts", "causes", "facts", "referrals", "sources", "cautions")
_FOLDERS = ("entries", "parts", "causes")
_MOST_TOLD = 20
_PROOF = "advisor.workshop.proof:prove"  # named, not imported: only knowledge that has changed is proven


def _state_of(trees: Trees) -> str:
    """Return a short name for the present state of the knowledge files and of the code that proves them.

    Two checksums and the length tell states apart well enough for a cache, and cost nothing to import.
    """
    from zlib import adler32, crc32

    rooms = Path(__file__).parent.parent
    marks = [__version__, str(trees.home), str(trees.shop)]
    homes = [home for home in (trees.home, trees.shop) if home]
    knowledge = [folder for home in homes for folder in (home, *(home / name for name in _FOLDERS))]
    for folder in (*knowledge, *(rooms / room for room in _PROVEN_BY)):
        if not folder.is_dir():
            continue
        with os.scandir(folder) as files:
            for file in sorted(files, key=lambda f: f.name):
                if file.name.endswith((".yaml", ".py")):
                    stat = file.stat()
                    marks.append(f"{folder}/{file.name}:{stat.st_size}:{stat.st_mtime_ns}")
    told = "\n".join(marks).encode()
    return f"{crc32(told):08x}{adler32(told):08x}{len(told):x}"


def _cache_file(trees: Trees) -> Path:
    return kept_file(f"{_prefix(trees)}{_state_of(trees)}.json")


def _prefix(trees: Trees) -> str:
    """Return how the names of what is kept for a folder begin, so that two checkouts keep theirs side by side."""
    from zlib import crc32

    return f"knowledge-{crc32(os.fsencode(f'{trees.home} {trees.shop}')):08x}-"


def _kept(file: Path, trees: Trees) -> Knowledge | None:
    """Return the knowledge from its kept form, None where there is none that can be used."""
    content = read_kept(file)
    if content is None:
        return None
    compiled = json.loads(content)
    return Knowledge(compiled, trees)


@of_trees
def load_knowledge(trees: Trees) -> Knowledge:
    """Load the knowledge, from the kept form where the files have not changed since they were proven.

    Loose ends (`Fault.loose`), such as a cause that no entry shows yet, are left to `advisor trees`: no walk passes
    them.

    Parameters
    ----------
    trees
        Its files; the authors' where they are not given.

    Raises
    ------
    KnowledgeError
        When a file is broken or the proof fails; the message has every fault with file and line.

    """
    file = _cache_file(trees)
    kept = _kept(file, trees)
    if kept is not None:
        return kept
    from advisor.graph.compiler import compile_knowledge
    from advisor.graph.other_tables import faults_of_tables

    compiled, faults = compile_knowledge(trees.home, trees.shop)
    if not faults and trees.home == trees_dir():
        faults = faults_of_tables(trees, compiled["lines"])
    faults = [fault for fault in faults or by_name(_PROOF)(compiled, trees) if not fault.loose]
    if faults:
        raise KnowledgeError(_refusal(faults))
    keep(file, json.dumps({name: compiled[name] for name in _PARTS_KEPT}), f"{_prefix(trees)}*.json")
    return Knowledge(compiled, trees)


def _refusal(faults: Sequence[Fault]) -> str:
    """Return why no advice is given, with the first faults."""
    from advisor.knowledge.corrections import ShopLine

    told = [str(fault) for fault in faults[:_MOST_TOLD]]
    if len(faults) > _MOST_TOLD:
        told.append(f"and {len(faults) - _MOST_TOLD} more; 'advisor trees' lists them all")
    if any(isinstance(fault.line, ShopLine) for fault in faults):
        told.append("mend the shop's own file, or take its correction back: 'advisor corrections' lists them")
    return "\n".join(("the knowledge is not sound, so no advice is given from it:", *told))
