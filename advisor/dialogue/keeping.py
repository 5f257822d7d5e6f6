"""A conversation put away and taken up again, without any of the rider's words or the sheet's name.

What is kept is what the conversation has learned: the sheet's fields, the answers, and which complaint is open. The
lines as they were typed are not kept, so 'back up' begins anew.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from advisor.dialogue.answer import answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.mending import Mended
from advisor.dialogue.replies import Greeted, Reply
from advisor.dialogue.talk import Conversation, State
from advisor.errors import AdvisorError
from advisor.plain_text import clean
from advisor.sheet.reading import parse_sheet
from advisor.sheet.sheet import Sheet
from advisor.signs import load_listener

KEPT_SCHEMA = 1
_LEVELS = ("counter", "bench", "training")


def keep(state: State) -> dict[str, Any]:
    """Return what a conversation has learned, ready for JSON."""
    case = state.case
    return {
        "kept": KEPT_SCHEMA,
        "entry": case.entry if case else "",
        "sheet": state.sheet.to_dict(),
        "answers": dict(state.answers),
        "unsure": sorted(state.unsure),
        "ruled_out": sorted(case.ruled_out) if case else [],
        "candidates": list(state.candidates),
        "waiting": list(state.waiting),
        "solved": [one.case.entry for one in state.solved],
        "level": state.level,
        "misses": state.misses,
        "signs": [sign.id for sign in state.signs],
        "weak": sorted(state.weak),
        "wants": list(state.wants),
        "made": list(state.made),
        "pending": list(state.pending) if state.pending else [],
        "last": [[one.key, one.before, one.after] for one in state.last if not isinstance(one.after, tuple)],
    }


def taken_up(conversation: Conversation, kept: object) -> tuple[State, Reply]:
    """Return a conversation as it was put away, with the question or answer that it stood at.

    Parameters
    ----------
    conversation
        Goes on with it.
    kept
        What `keep` returned, as read back.

    Raises
    ------
    AdvisorError
        When it is not what `keep` writes, or speaks of knowledge that is gone; the message says what to do.

    """
    told = _Told(kept)
    knowledge = conversation.knowledge
    names = [told.text("entry"), *told.texts("candidates"), *told.texts("waiting"), *told.texts("solved")]
    for name in names:
        if name and name not in knowledge.entry_ids:
            raise _unfit(f"there is no entry '{clean(name)}' any more")
    answers = told.answers()
    for fact, option in answers.items():
        if fact not in knowledge.facts or option not in knowledge.facts[fact].options:
            raise _unfit(f"'{clean(fact)}: {clean(option)}' is no answer any more")
    sheet = told.sheet()
    unsure = frozenset(told.texts("unsure"))
    signs = load_listener(knowledge.trees).named(told.texts("signs"))
    state = State(
        sheet, candidates=told.texts("candidates"), answers=answers, unsure=unsure, waiting=told.texts("waiting"),
        level=told.level(), misses=told.count("misses"), signs=signs, weak=frozenset(told.texts("weak")),
        wants=told.texts("wants"), made=told.texts("made"), pending=told.pending(), last=told.last(),
    )  # fmt: skip
    solved = tuple(
        answer_case(knowledge, Case(name, sheet, answers, unsure, trees=knowledge.trees))
        for name in told.texts("solved")
    )
    state = replace(state, solved=tuple(one for one in solved if one.outcome != "needs"))
    entry = told.text("entry")
    if entry:
        case = Case(
            entry, sheet, answers, unsure, frozenset(told.texts("ruled_out")), weak=state.weak, trees=knowledge.trees
        )
        resumed, reply = conversation.go_on_with(state, case)
        resumed = replace(resumed, candidates=state.candidates, misses=state.misses)
        if not state.candidates:
            return replace(resumed, shown=reply), reply
        state = resumed
    if state.candidates:
        offered = conversation.offered(state.candidates)
        return replace(state, shown=offered), offered
    return state, Greeted("")


def _unfit(words: str) -> AdvisorError:
    return AdvisorError(f"the kept case cannot be taken up: {words}; begin anew with 'advisor --sheet FILE'")


def _plain(value: object) -> bool:
    return isinstance(value, str | int | float | bool)


class _Told:
    """Reads a kept case with each field's type checked."""

    def __init__(self, kept: object) -> None:
        if not isinstance(kept, Mapping) or kept.get("kept") != KEPT_SCHEMA:
            raise _unfit(f"it is not of schema {KEPT_SCHEMA}")
        self.kept = kept

    def text(self, name: str) -> str:
        value = self.kept.get(name, "")
        if not isinstance(value, str):
            raise _unfit(f"'{name}' is no text")
        return value

    def texts(self, name: str) -> tuple[str, ...]:
        value = self.kept.get(name, [])
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            raise _unfit(f"'{name}' is no list of texts")
        return tuple(value)

    def answers(self) -> dict[str, str]:
        value = self.kept.get("answers", {})
        if not isinstance(value, Mapping) or not all(isinstance(one, str) for one in (*value, *value.values())):
            raise _unfit("'answers' is no mapping of texts")
        return dict(value)

    def pending(self) -> tuple[str, Any] | None:
        value = self.kept.get("pending") or []
        if not isinstance(value, list) or len(value) not in {0, 2} or not all(map(_plain, value)):
            raise _unfit("'pending' is no name and value")
        return (str(value[0]), value[1]) if value else None

    def last(self) -> tuple[Mended, ...]:
        value = self.kept.get("last", [])
        if not isinstance(value, list) or not all(isinstance(one, list) and len(one) == 3 for one in value):
            raise _unfit("'last' is no list of facts")
        if not all(isinstance(one[0], str) and all(part is None or _plain(part) for part in one[1:]) for one in value):
            raise _unfit("'last' is no list of facts")
        return tuple(Mended(*one) for one in value)

    def count(self, name: str) -> int:
        value = self.kept.get(name, 0)
        if isinstance(value, bool) or not isinstance(value, int) or value < 0:
            raise _unfit(f"'{name}' is no count")
        return value

    def level(self) -> Any:
        value = self.kept.get("level", "bench")
        if value not in _LEVELS:
            raise _unfit("'level' is none of ours")
        return value

    def sheet(self) -> Sheet:
        import json

        value = self.kept.get("sheet")
        try:
            document = json.dumps(value, allow_nan=False).encode()
        except ValueError:
            raise _unfit("'sheet' holds a number that is none") from None
        return replace(parse_sheet(document, "kept case"), name="")
