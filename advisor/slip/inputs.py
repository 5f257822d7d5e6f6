"""The inputs that travel with a slip, and the same answer found again from them."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cases.errors import StoreError
from advisor.cases.of_answer import case_of
from advisor.cases.record import CaseRecord, from_dict
from advisor.errors import AdvisorError
from advisor.knowledge.trees import Trees
from advisor.ordinary_files import read_ordinary
from advisor.plain_text import clean

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer

_MARK = "advisor-slip"
_MOST_BYTES = 20_000_000
_LEFT_OUT = ("alias", "complaint", "said", "note", "board", "done", "result", "follows", "trail")
_SCRIPT = re.compile(rf'<script type="application/json" id="{_MARK}">(.*?)</script>', re.DOTALL)
_METADATA = re.compile(rf'<metadata id="{_MARK}">(.*?)</metadata>', re.DOTALL)


def inputs_json(record: CaseRecord) -> str:
    """Return what the same answer needs, as JSON that is safe inside HTML and XML; no name, no words of the rider."""
    told = {key: value for key, value in record.to_dict().items() if key not in _LEFT_OUT}
    told["advice"] = _compared(record)
    text = json.dumps(told, ensure_ascii=True, separators=(",", ":"))
    for sign, written in (("<", "\\u003c"), (">", "\\u003e"), ("&", "\\u0026")):
        text = text.replace(sign, written)
    return text


def _compared(record: CaseRecord) -> dict[str, Any]:
    """Return of the advice what a replay compares."""
    changes = [one for one in record.advice.get("changes", ()) or () if isinstance(one, Mapping)]
    refer = record.advice.get("refer")
    return {
        "changes": [{key: one[key] for key in ("path", "to", "also") if key in one} for one in changes],
        "refer": {"id": refer.get("id", "")} if isinstance(refer, Mapping) else {},
    }


def read_slip(path: Path) -> CaseRecord:
    """Return the case whose inputs a slip carries.

    Raises
    ------
    AdvisorError
        When the file can't be read or carries none.

    """
    name = clean(str(path), 200)
    try:
        text = read_ordinary(path, _MOST_BYTES).decode("utf-8")
    except (OSError, ValueError) as error:
        raise AdvisorError(f"{name}: cannot be read ({clean(str(error), 200)}); check the name") from None
    found = _SCRIPT.search(text) or _METADATA.search(text)
    if not found:
        raise AdvisorError(f"{name}: carries no inputs of a slip; is it a page from 'advisor slip'?")
    try:
        raw = json.loads(unescape(found[1]))
        if isinstance(raw, dict):
            raw["alias"] = "-"
        return from_dict(raw)
    except (ValueError, StoreError) as error:
        raise AdvisorError(f"{name}: the slip's inputs are damaged: {clean(str(error), 200)}") from None


@dataclass(frozen=True)
class Replayed:
    """A slip's answer found again: how it differs from what the slip says, and whether the knowledge has changed."""

    record: CaseRecord
    answer: Answer
    knowledge_now: str
    differences: tuple[str, ...]

    @property
    def same_knowledge(self) -> bool:
        """Whether the knowledge is that of the slip."""
        return self.record.knowledge == self.knowledge_now


def replay_slip(record: CaseRecord, trees: Trees) -> Replayed:
    """Answer a slip's inputs again and compare outcome, cause, referral and every change.

    Raises
    ------
    AdvisorError
        When its entry is gone or its sheet can't be used.

    """
    from advisor.dialogue.answer import answer_case
    from advisor.graph.knowledge import load_knowledge
    from advisor.graph.odds import ShopKnowledge
    from advisor.graph.version import knowledge_version

    knowledge = load_knowledge(trees)
    if record.odds:
        knowledge = ShopKnowledge(knowledge, {record.entry: record.odds})
    answer = answer_case(knowledge, case_of(record, trees))
    return Replayed(record, answer, knowledge_version(trees), tuple(_differences(record, answer)))


def _differences(record: CaseRecord, answer: Answer) -> list[str]:
    refer = record.advice.get("refer")
    pairs: list[tuple[str, Any, Any]] = [
        ("outcome", record.outcome, answer.outcome),
        ("cause", record.cause, answer.cause.id if answer.cause else ""),
        (
            "referral",
            refer.get("id", "") if isinstance(refer, Mapping) else "",
            answer.referral.id if answer.referral else "",
        ),
    ]
    then = dict(_changes_then(record))
    now: dict[str, Any] = dict(answer.choice.values) if answer.choice else {}
    pairs += [(path, then.get(path), now.get(path)) for path in dict.fromkeys((*then, *now))]
    return [
        f"{clean(str(name))}: the slip says {_words(old)}, now {_words(new)}"
        for name, old, new in pairs
        if not _equal(old, new)
    ]


def _changes_then(record: CaseRecord) -> list[tuple[str, Any]]:
    found: list[tuple[str, Any]] = []
    for change in record.advice.get("changes", ()) or ():
        if not isinstance(change, Mapping):
            continue
        if change.get("path"):
            found.append((str(change["path"]), change.get("to")))
        found += [(str(one[0]), one[2]) for one in change.get("also", ()) or () if len(one) == 3]
    return found


def _equal(old: Any, new: Any) -> bool:
    if isinstance(old, int | float) and isinstance(new, int | float):
        return abs(float(old) - float(new)) < 1e-6
    return bool(old == new)


def _words(value: Any) -> str:
    return "nothing" if value in ("", None) else clean(str(value))
