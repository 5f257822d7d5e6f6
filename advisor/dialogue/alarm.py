"""Signs of harm in the talk: which stand, what they answer, and what they put before everything else."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.dialogue.phrasebook import Phrasebook, tidy
from advisor.dialogue.replies import Answered, Asked, Clarify, Left, Lost, Noted, Reply
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Ask
from advisor.knowledge.trees import authors
from advisor.signs import Heard, Sign, load_listener

if TYPE_CHECKING:
    from advisor.dialogue.talk import State

__all__ = [
    "ASKS",
    "about_so_far",
    "answers_as_written",
    "asks_signs",
    "barred",
    "heard_in",
    "news",
    "only_judged",
    "own_entry",
    "theirs",
    "with_signs",
    "with_theirs",
    "without",
]

_ENTRY, _TOLD = "danger_sign", "told_sign"
_PAIN = "not_medical"
_JUDGED = "judged_"
_MOST_REMEMBERED = 8
_ALL_SIGNS = "_signs"
_AFTER_SIGNS = ("_signs", "_sign", "_asked")
_HURTS = "pain"
ASKS = frozenset({"body_asked", "operated_asked", "child_asked", "breath_asked"})
"""The questions that settle what was only half told."""
_ASKED_BY = {
    "ask_body": "body_asked", "ask_operated": "operated_asked", "ask_child": "child_asked",
    "ask_breath": "breath_asked",
}  # fmt: skip


def heard_in(knowledge: Knowledge, state: State, text: str) -> Heard:
    """Return what a line says of signs, beside what the talk is about."""
    about = set(state.about)
    if state.case and state.answer is None and _PAIN in knowledge.entry(state.case.entry).cautions:
        about.add(_HURTS)
    return load_listener(knowledge.trees).hear(text, about)


def about_so_far(state: State, heard: Heard) -> tuple[str, ...]:
    """Return the parts and states that the talk is about after a line, the latest named last."""
    if not heard.concepts:
        return state.about
    listener = load_listener(authors())
    kinds = {listener.kind(name) for name in heard.concepts}
    left = [name for name in state.about if listener.kind(name) not in kinds and name not in heard.concepts]
    return (*left, *sorted(heard.concepts))[-_MOST_REMEMBERED:]


def answers_as_written(state: State, text: str) -> bool:
    """Return whether a line is an answer to the open question in its own words: the tree knows where that leads."""
    question = state.question
    if question is None or question.fact.kind != "choice":
        return False
    plain = tidy(text)
    written = {tidy(words) for words in question.fact.options.values()}
    return plain.isdecimal() or plain in written or plain in question.fact.options


def news(knowledge: Knowledge, state: State, heard: Heard) -> tuple[Sign, ...]:
    """Return the signs of a line that are not settled already, the gravest first."""
    entry = state.case.entry if state.case else ""
    own = entry if state.answer is None else ""
    return tuple(
        sign for sign in heard.told
        if sign.entry in knowledge.entry_ids
        and not (sign.level == "ask" and _settled(state, sign)) and not (sign.entry == own and own != _ENTRY)
    )  # fmt: skip


def _settled(state: State, sign: Sign) -> bool:
    """Return whether what a sign would ask has been asked and denied, or a graver one stands."""
    asked = _ASKED_BY.get(sign.facts.get(_TOLD, ""), "")
    return state.answers.get(asked) in {"no", "yes"} or bool(state.signs)


def with_signs(state: State, told: tuple[Sign, ...]) -> State:
    """Return the state with signs standing and their answers known."""
    answers = {name: option for name, option in state.answers.items() if name not in ASKS}
    for sign in reversed(told):
        answers |= sign.facts
    standing = {one.id: one for one in (*state.signs, *(sign for sign in told if sign.level != "ask"))}
    return replace(state, answers=answers, signs=tuple(standing.values()), unsure=state.unsure - set(answers))


def without(state: State, denied: tuple[Sign, ...]) -> State:
    """Return the state without signs that were clearly denied, and without what they answered."""
    gone = {sign.id for sign in denied}
    left = tuple(sign for sign in state.signs if sign.id not in gone)
    answered = {fact for sign in state.signs if sign.id in gone for fact in sign.facts}
    kept = {fact for sign in left for fact in sign.facts}
    answers = {name: option for name, option in state.answers.items() if name not in answered - kept}
    for sign in left:
        answers |= sign.facts
    return replace(state, answers=answers, signs=left)


def own_entry(knowledge: Knowledge, state: State, sign: Sign) -> str:
    """Return the entry that answers a sign: the complaint in work where it asks after that sign, else its own."""
    if state.case and state.answer is None and sign.level == "clinician":
        facts = set(sign.facts) - {_TOLD}
        nodes = knowledge.entry(state.case.entry).nodes.values()
        if any(isinstance(node, Ask) and node.fact in facts for node in nodes):
            return state.case.entry
    return sign.entry


def asks_signs(knowledge: Knowledge, entry: str) -> bool:
    """Return whether an entry is about pain, and so asks after signs before anything is turned."""
    found = knowledge.entry(entry)
    return found.kind == "symptom" and _PAIN in found.cautions


def barred(knowledge: Knowledge, state: State, entry: str) -> Sign | None:
    """Return the standing sign that comes before an entry: nothing is turned for a body that has a sign."""
    body = [sign for sign in state.signs if sign.level in {"emergency", "clinician"}]
    return body[0] if body and entry != _ENTRY and asks_signs(knowledge, entry) else None


def asks_after(state: State) -> str:
    """Return the open question's fact where it asks after signs; what is half told there is asked sign by sign."""
    question = state.question
    return question.fact.id if question and question.fact.id.endswith(_ALL_SIGNS) else ""


def left_open(state: State, text: str) -> str:
    """Return the open question after signs where a line leaves it open; else an empty text."""
    question = state.question
    if question is None or answers_as_written(state, text) or not question.fact.id.endswith(_AFTER_SIGNS):
        return ""
    return question.fact.id if load_listener(authors()).unclear(text) else ""


def still_standing(state: State) -> tuple[Sign, ...]:
    """Return the signs that stand beside an answer that is about something else."""
    entry = state.case.entry if state.case else ""
    facts = dict(state.case.answers) if state.case else {}
    referred = bool(state.answer and state.answer.referral)

    def is_the_answer(sign: Sign) -> bool:
        return sign.entry == entry or (referred and bool(set(sign.facts.items()) & set(facts.items())))

    return tuple(sign for sign in state.signs if not is_the_answer(sign))


def mended(state: State) -> State:
    """Return the state without the signs of gear that the answer in work has mended."""
    entry = state.case.entry if state.case else ""
    return without(state, tuple(sign for sign in state.signs if sign.entry == entry and sign.level == "not_ridden"))


def only_judged(told: tuple[Sign, ...]) -> bool:
    """Return whether all that is told of the body is the judge's, and to be asked about."""
    return all(sign.level == "ask" and sign.id.startswith(_JUDGED) for sign in told)


def theirs(book: Phrasebook, heard: Heard) -> str:
    """Return what is said of somebody who is not here, where a line tells of a sign of theirs; else an empty text."""
    body = tuple(sign for sign in heard.others if sign.level in {"emergency", "clinician"})
    return said_of(book, "other_rider", body) if body and not heard.told else ""


def with_theirs(reply: Reply, words: str) -> Reply:
    """Return a reply with what is said of somebody who is not here put before it, or in its place where it is none."""
    if not words:
        return reply
    if isinstance(reply, Lost):
        return Left(words)
    if isinstance(reply, Asked | Answered | Clarify | Noted):
        return replace(reply, before=replace(reply.before, kept=(words, *reply.before.kept)))
    return reply


def tells_a_sign(words: str) -> bool:
    """Return whether words tell a sign, so that nobody teaches them another meaning."""
    return any(sign.level != "ask" for sign in load_listener(authors()).hear(words).told)


def said_of(book: Phrasebook, name: str, signs: tuple[Sign, ...]) -> str:
    """Return one of the talk's own sentences about signs."""
    return book.said[name].format(words="; ".join(dict.fromkeys(sign.words for sign in signs)))
