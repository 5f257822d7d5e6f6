"""From nothing to the answer that the whole sheet gives: keys, questions, seconds of typing and lines a turn.

Usage: PYTHONPATH=. python tests/bench/bench_intake.py [riders per complaint, 2] [first seed, 1]. Riders with one
planted fault (`bench_parity.py`); the complaint is typed in the first phrase of its file, a choice by its number, a
number as read off the bench, a ruler at the true board's edge. Return counts as a key; a second is four keys. Right:
the same cause, and nothing moved the other way.
"""

from __future__ import annotations

import sys
from collections import Counter
from statistics import median

from bench_parity import named, riders_for, same_direction

from advisor.cli.chat import start
from advisor.cli.plain import plain_lines
from advisor.dialogue.answer import Answer
from advisor.dialogue.case import Case
from advisor.dialogue.replies import Answered, Asked, Clarify, Reply
from advisor.dialogue.talk import Conversation
from advisor.explain.returning import tell
from advisor.explain.telling import Telling
from advisor.geometry.measuring import measure
from advisor.geometry.register import MEASURES, Place
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.graph.nodes import Fact
from advisor.knowledge.trees import authors
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet
from advisor.workshop.training.rehearsal import asked_and_told
from advisor.workshop.training.rider import Noise, TrueRider

KEYS_A_SECOND = 4.0
MOST_TURNS = 30
LINES = 24


def complaint(entry: str, knowledge: Knowledge) -> str:
    """Return how the complaint is typed."""
    phrases = authors().table(f"phrases/{entry}.yaml")
    first = next((value for value in phrases.values() if isinstance(value, list) and value), [])
    return str(first[0]) if first else knowledge.entry(entry).means


def typed(rider: TrueRider, fact: Fact, seed: int) -> str:
    """Return what the tech types: an option by its number, a number, or a don't know."""
    value = by_the_ruler(rider, fact) if fact.id.startswith("measured.") else rider.told(fact, Noise(), seed)
    if value is None:
        return "pass"
    if fact.kind == "choice":
        return str(list(fact.options).index(str(value)) + 1) if str(value) in fact.options else "pass"
    return f"{round(value, 1):g}" if isinstance(value, int | float) else str(value)


def by_the_ruler(rider: TrueRider, fact: Fact) -> float | None:
    """Return what a ruler reads on the true board."""
    _, *side, name = fact.id.split(".")
    known = resolve(rider.sheet)
    foot = "front" if side == ["front"] else "back" if side else None
    taken = measure(known, MEASURES[name], Place(foot))
    return round(taken.value) if taken.known else None


def talked(talk: Conversation, rider: TrueRider, entry: str, seed: int) -> tuple[Answer | None, int, int, int]:
    """Return the answer from no sheet, the keys typed, the questions asked, and the longest question in lines."""
    state, _ = talk.begin(Sheet("", {}))
    line, keys, questions, longest = complaint(entry, talk.knowledge), 0, 0, 0
    for _ in range(MOST_TURNS):
        keys += len(line) + 1
        reply: Reply
        state, reply = talk.hear(state, line)
        if isinstance(reply, Answered):
            return reply.answer, keys, questions, longest
        longest = max(longest, len(plain_lines(tell(reply, Telling(talk.knowledge)), 80)))
        if isinstance(reply, Asked):
            questions += 1
            line = typed(rider, reply.question.fact, seed)
        elif isinstance(reply, Clarify) and entry in reply.candidates:
            questions += 1
            line = str(reply.candidates.index(entry) + 1)
        else:
            return None, keys, questions, longest
    return None, keys, questions, longest


def main() -> None:
    """Print the figures by complaint and over all."""
    words = [int(word) for word in sys.argv[1:]]
    each, seed = (words + [2, 1][len(words) :])[:2]
    knowledge = load_knowledge()
    talk = start(knowledge)
    all_keys, all_questions, told = [], [], Counter[str]()
    for entry in sorted(knowledge.entry_ids):
        if knowledge.entry(entry).kind != "symptom":
            continue
        keys_here, questions_here, right = [], [], 0
        for number, rider in enumerate(riders_for(entry, each, seed)):
            full = asked_and_told(knowledge, Case(entry, rider.sheet), rider, Noise(), number)
            answer, keys, questions, longest = talked(talk, rider, entry, number)
            good = answer is not None and named(answer) == named(full.answer) and same_direction(answer, full.answer)
            right += good
            told.update(riders=1, right=good, one_screen=longest <= LINES)
            keys_here.append(keys)
            questions_here.append(questions)
        if keys_here:
            figures = f"keys {median(keys_here):5.0f}  questions {median(questions_here):4.1f}"
            print(f"{entry:24} {figures}  right {right}/{len(keys_here)}", flush=True)
        all_keys += keys_here
        all_questions += questions_here
    riders = told["riders"]
    right, shown = told["right"] / riders, told["one_screen"] / riders
    print(f"\nriders {riders}: right {right:.3f}; every question on one screen {shown:.3f}")
    keys, questions = median(all_keys), median(all_questions)
    print(f"median keys {keys:.0f}, questions {questions:.1f}, typing {keys / KEYS_A_SECOND:.0f} s")


if __name__ == "__main__":
    main()
