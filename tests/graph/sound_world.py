"""A small sound knowledge, invented, and the changes to it that the rules of the proof must catch."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import yaml

from advisor.geometry.register import MEASURES
from advisor.workshop.proof import RULES
from advisor.workshop.proof.rule import Rule

_HERE = Path(__file__).parent
_NAMED = sorted({"common_practice", *(measure.source for measure in MEASURES.values())})

SOUND: dict[str, str] = {
    path.relative_to(_HERE / "sound").as_posix(): path.read_text(encoding="utf-8")
    for path in sorted((_HERE / "sound").rglob("*.yaml"))
} | {"sources.yaml": "".join(f"{name}: {{kind: derived, words: from the register}}\n" for name in _NAMED)}
"""Every file of the sound example, by its name under `trees/`."""


@dataclass(frozen=True)
class Example:
    """A small change that makes the sound example unsound: a rule's own test.

    Parameters
    ----------
    file
        The file of the sound example that is changed, or a new one.
    old, new
        Text in it, and what stands there instead; `old` empty appends, and makes the file where it is new.
    at
        Where the rule must find the fault: a piece of text, unique in the changed file, of the line it must name; or
        another file's name and such a piece, parted by ` > `.
    words
        Words that the fault's message must have.

    """

    file: str
    old: str
    new: str
    at: str
    words: str


def examples_of(rule: Rule) -> list[Example]:
    """Return what a rule must catch."""
    name = rule.check.__module__.rpartition(".")[2]
    rows = yaml.safe_load((_HERE / "unsound" / f"{name}.yaml").read_text(encoding="utf-8"))
    return [Example(**row) for row in rows]


CASES = [(rule, example) for rule in RULES for example in examples_of(rule)]
