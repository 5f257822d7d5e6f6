"""The conversation for programs: one line in, one JSON object out, a turn each."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

from advisor.cli.as_json import answer_json, question_json
from advisor.cli.plain import plain_lines
from advisor.dialogue.heard import NOTHING_HEARD
from advisor.dialogue.replies import Answered, Asked, Clarify, Reply
from advisor.sheet.sheet import SCHEMA

if TYPE_CHECKING:
    from advisor.dialogue.talk import State
    from advisor.explain.text import Text

_WIDTH = 80


def _heard(state: State, said: str) -> dict[str, Any]:
    """Return what the line was taken to say; nothing of an earlier line."""
    heard = state.heard if state.heard.line == said else NOTHING_HEARD
    return {
        "facts": dict(heard.facts),
        "complaints": list(heard.complaints),
        "signs": [{"id": sign.id, "verdict": sign.level, "words": sign.words} for sign in heard.signs],
        "wants": list(heard.wants),
        "not_placed": list(heard.not_placed),
        "talk": heard.talk,
    }


def turn_json(said: str, reply: Reply, told: Text, state: State) -> str:
    """Return one turn on one line.

    Parameters
    ----------
    said
        The line that was taken, empty for the greeting.
    reply, told
        The reply, and its words.
    state
        The conversation after it.

    Returns
    -------
    str
        `kind` is the reply's (`asked`, `clarify`, `answered`, `lost`, ...), `text` its words; `question`, `candidates`
        and `answer` are null where there is none, and `answer` is what `advisor advise --json` gives.

    """
    made: dict[str, Any] = {
        "schema": SCHEMA,
        "said": said,
        "kind": re.sub(r"(?<!^)(?=[A-Z])", "_", type(reply).__name__).lower(),
        "text": "\n".join(plain_lines(told, _WIDTH)),
        "entry": state.case.entry if state.case else None,
        "waiting": list(state.waiting),
        "heard": _heard(state, said),
        "question": question_json(reply.question) if isinstance(reply, Asked) else None,
        "candidates": dict(zip(reply.candidates, reply.means, strict=True)) if isinstance(reply, Clarify) else None,
        "answer": answer_json(reply.answer) if isinstance(reply, Answered) else None,
        "done": state.done,
    }
    return json.dumps(made, ensure_ascii=False, allow_nan=False)
