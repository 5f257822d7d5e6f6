"""The compiled knowledge, kept between runs and built into plain nodes when asked for.

The files are compiled and checked once; the result is kept in the user's cache folder under a name made from the files'
names, sizes and times. A folder that cannot be written to only costs the time of compiling again.
"""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from functools import cache, cached_property
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor import __version__
from advisor.errors import KnowledgeError, UnknownName
from advisor.graph.expanding import put_first, with_parts
from advisor.graph.nodes import (
    Aim,
    AimTarget,
    Ask,
    Cause,
    CauseText,
    Check,
    Choice,
    Do,
    Entry,
    Fact,
    Jump,
    Mount,
    Node,
    Refer,
    Referral,
    Span,
    Suspect,
    Tell,
)
from advisor.kept import keep, kept_file
from advisor.knowledge_home import trees_dir

if TYPE_CHECKING:
    from advisor.graph.fault import Fault

__all__ = ["Knowledge", "load_knowledge"]

_PARTS_KEPT = ("entries", "parts", "causes", "facts", "referrals", "sources", "cautions")
_MOST_TOLD = 20


class Knowledge:
    """Everything in `trees/`, as plain nodes.

    Parameters
    ----------
    compiled
        What `compile_knowledge` returns.

    """

    def __init__(self, compiled: dict[str, Any]) -> None:
        self._compiled = compiled
        self._entries: dict[str, Entry] = {}

    @property
    def entry_ids(self) -> tuple[str, ...]:
        """Return the names of all entries."""
        return tuple(self._compiled["entries"])

    def entry(self, name: str) -> Entry:
        """Return an entry.

        Raises
        ------
        UnknownName
            With the nearest names that exist.

        """
        if name not in self._entries:
            raw = self._compiled["entries"].get(name)
            if raw is None:
                from difflib import get_close_matches

                near = get_close_matches(name, self.entry_ids, 3) or self.entry_ids
                raise UnknownName(f"there is no entry '{name}'; did you mean {', '.join(near)}?")
            self._entries[name] = _entry(name, raw, self._compiled["parts"])
        return self._entries[name]

    def cause(self, name: str) -> CauseText:
        """Return a cause."""
        raw = self._compiled["causes"][name]
        return CauseText(
            name, raw["title"], raw["because"], raw["how_so"], raw["feel"], tuple(raw["cautions"]), raw["source"]
        )

    @cached_property
    def facts(self) -> dict[str, Fact]:
        """Return every fact by id; a fact taken at a foot stands under both feet's keys."""
        found: dict[str, Fact] = {}
        for name, raw in self._compiled["facts"].items():
            for foot in ("front", "back") if "{foot}" in name else ("",):
                found[name.replace("{foot}", foot)] = Fact(
                    name.replace("{foot}", foot),
                    raw["kind"],
                    raw["question"].replace("{foot}", foot),
                    raw["how"],
                    raw["minutes"],
                    raw["unit"],
                    raw["plus_minus"],
                    raw["options"],
                    {option: tuple(words) for option, words in raw["also"].items()},
                )
        return found

    def referral(self, name: str) -> Referral:
        """Return a referral."""
        raw = self._compiled["referrals"][name]
        return Referral(name, raw["to"], raw["says"], tuple(raw["cautions"]))

    def caution(self, name: str) -> str:
        """Return a caution's words."""
        words: str = self._compiled["cautions"][name]
        return words

    def source(self, name: str) -> str:
        """Return a source's words."""
        words: str = self._compiled["sources"][name]["words"]
        return words

    @property
    def compiled(self) -> dict[str, Any]:
        """Return the compiled structure itself, for the proof."""
        return self._compiled


def _span(raw: dict[str, Any]) -> Span:
    low, high = raw.get("from"), raw.get("below")
    return Span(-inf if low is None else low, inf if high is None else high, raw["go"])


def _node(name: str, raw: dict[str, Any]) -> Node:
    if "check" in raw:
        spans = tuple(_span(branch) for branch in raw["branches"])
        return Check(
            name, raw["check"], raw["foot"], spans, raw["says"], raw["how_so"], raw["source"],
            tuple(raw["settle_with"]), raw.get("unknown") or "",
        )  # fmt: skip
    if "ask" in raw or "look" in raw:
        branches = raw["branches"]
        choices = tuple(Choice(tuple(b["is"]), b["go"]) for b in branches if "is" in b)
        spans = tuple(_span(b) for b in branches if "is" not in b)
        fact = raw["look"] if "look" in raw else raw["ask"]
        feet = {answer: side for side, answers in raw.get("foot", {}).items() for answer in answers}
        return Ask(name, fact, "look" in raw, choices, spans, raw["unsure"], raw["says"], raw["how_so"], feet)
    if "cause" in raw:
        return Cause(name, raw["cause"], raw["go"])
    if "aim" in raw:
        targets = tuple(AimTarget(t["measure"], t["foot"], t["from"], t["below"]) for t in raw["aim"])
        allowed = tuple(raw.get("with", ()))
        return Aim(name, targets, raw["otherwise"], raw["says"], raw.get("feel", ""), allowed)
    if "do" in raw:
        return Do(name, raw["do"], raw["foot"], raw["steps"], raw["otherwise"], raw["says"], raw.get("feel", ""))
    if "mount" in raw:
        return Mount(name, raw["otherwise"], raw["says"], raw["feel"])
    if "tell" in raw:
        return Tell(name, raw["tell"], raw["feel"])
    if "refer" in raw:
        return Refer(name, raw["refer"])
    return Jump(name, raw["jump"])


def _entry(name: str, raw: dict[str, Any], parts: dict[str, Any]) -> Entry:
    nodes = {key: dict(node) for key, node in raw["nodes"].items()}
    suspects = [dict(suspect) for suspect in raw["suspects"]]
    if raw.get("first"):
        put_first(raw["first"], nodes, suspects)
    nodes = with_parts(nodes, parts)
    return Entry(
        name,
        raw["kind"],
        raw["title"],
        raw["means"],
        raw["opening"],
        tuple(raw["cautions"]),
        tuple(Suspect(s["start"], s["odds"], s["words"]) for s in suspects),
        raw["nothing_left"],
        {key: _node(key, node) for key, node in nodes.items()},
    )


def _state_of(root: Path) -> str:
    """Return a short name for the present state of the knowledge files and of the code that proves them."""
    from hashlib import sha256

    here = Path(__file__).parent
    marks = [__version__, str(root)]
    knowledge = (root, root / "entries", root / "parts", root / "causes")
    for folder in (*knowledge, here, here / "proof", here.parent / "geometry"):
        if not folder.is_dir():
            continue
        with os.scandir(folder) as files:
            for file in sorted(files, key=lambda f: f.name):
                if file.name.endswith((".yaml", ".py")):
                    stat = file.stat()
                    marks.append(f"{folder.name}/{file.name}:{stat.st_size}:{stat.st_mtime_ns}")
    return sha256("\n".join(marks).encode()).hexdigest()[:20]


def _cache_file(root: Path) -> Path:
    return kept_file(f"knowledge-{_state_of(root)}.json")


def _kept(file: Path) -> Knowledge | None:
    """Return the knowledge from its kept form, None where there is none that can be used."""
    try:
        compiled = json.loads(file.read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    if not isinstance(compiled, dict) or any(not isinstance(compiled.get(part), dict) for part in _PARTS_KEPT):
        return None
    return Knowledge(compiled)


@cache
def load_knowledge(root: Path | None = None) -> Knowledge:
    """Load the knowledge, from the kept form where the files have not changed since they were proven.

    Loose ends (`Fault.loose`), such as a cause that no entry shows yet, are left to `advisor trees`: no walk passes
    them.

    Parameters
    ----------
    root
        The folder; the project's own `trees/` where it is not given.

    Raises
    ------
    KnowledgeError
        When a file is broken or the proof fails; the message has every fault with file and line.

    """
    home = root or trees_dir()
    file = _cache_file(home)
    kept = _kept(file)
    if kept is not None:
        return kept
    from advisor.graph.compiler import compile_knowledge
    from advisor.graph.other_tables import faults_of_tables
    from advisor.graph.proof import prove

    compiled, faults = compile_knowledge(home)
    if not faults and home == trees_dir():
        faults = faults_of_tables(compiled["lines"])
    faults = [fault for fault in faults or prove(compiled) if not fault.loose]
    if faults:
        raise KnowledgeError(_refusal(faults))
    keep(file, json.dumps({name: compiled[name] for name in _PARTS_KEPT}), "knowledge-*.json")
    return Knowledge(compiled)


def _refusal(faults: Sequence[Fault]) -> str:
    """Return why no advice is given, with the first faults."""
    told = [str(fault) for fault in faults[:_MOST_TOLD]]
    if len(faults) > _MOST_TOLD:
        told.append(f"and {len(faults) - _MOST_TOLD} more; 'advisor trees' lists them all")
    return "\n".join(("the knowledge in trees/ is not sound, so no advice is given from it:", *told))
