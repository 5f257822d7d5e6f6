"""Whether any answer speaks against itself or its own numbers: random sheets and random answers, every complaint.

    PYTHONPATH=. python tests/bench/bench_gate.py [walks, 20000] [seed, 1]

Half of the sheets are the ordinary one with a few fields changed or missing, or one in which nothing fits (as
`advisor trees` walks them); a quarter are riders with planted faults; a quarter have no sheet, or hardly any. Answers
are drawn, one in seven is "don't know". `tests/dialogue/contradictions.py` reads each answer's JSON and words with its
own reading of the windows.
"""

from __future__ import annotations

import sys
from collections import Counter
from math import sqrt
from random import Random

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.verdict import verdict_of
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.sheet.sheet import Sheet
from advisor.workshop.random_riders import random_sheet, told
from advisor.workshop.training.rider import draw_rider
from tests.dialogue.contradictions import contradictions

_MOST_QUESTIONS = 40


def drawn_sheet(random: Random) -> Sheet:
    """Return a sheet: ordinary with changes, one with a planted fault, or hardly anything."""
    kind = random.random()
    if kind < 0.5:
        return random_sheet(random)
    if kind < 0.75:
        return draw_rider(random).sheet
    share = random.choice((0.0, 0.1, 0.3))
    full = random_sheet(random)
    return Sheet("little", {path: leaf for path, leaf in full.leaves.items() if random.random() < share})


def walked(knowledge: Knowledge, entry: str, random: Random) -> Answer:
    """Return the answer of one random walk."""
    case = Case(entry, drawn_sheet(random))
    answer = answer_case(knowledge, case)
    for _ in range(_MOST_QUESTIONS):
        if not answer.walk.question:
            break
        case = told(case, answer.walk.question.fact, random)
        answer = answer_case(knowledge, case)
    return answer


def main() -> None:
    """Print how many walks spoke against themselves, and how."""
    walks, seed = (int(word) for word in (*sys.argv[1:], *("20000", "1")[len(sys.argv) - 1 :]))
    knowledge = load_knowledge()
    entries = sorted(knowledge.entry_ids)
    found: Counter[str] = Counter()
    shown: dict[str, str] = {}
    kinds: Counter[str] = Counter()
    wrong = 0
    for number in range(walks):
        entry = entries[number % len(entries)]
        answer = walked(knowledge, entry, Random(f"gate {seed} {number}"))
        kinds[verdict_of(answer)] += 1
        said = list(dict.fromkeys(contradictions(answer)))
        wrong += bool(said)
        for one in said:
            kind = " ".join(word for word in one.split() if not any(sign.isdigit() for sign in word))
            found[kind] += 1
            shown.setdefault(kind, f"walk {number}, {entry}: {one}")
    upper = 3 / walks if not wrong else (wrong + 1.96 * sqrt(wrong + 1)) / walks
    print(f"{wrong} of {walks} walks speak against themselves (95 %: below {upper:.5f})")
    print("kinds of answers:", ", ".join(f"{kind} {count}" for kind, count in kinds.most_common()))
    for kind, count in found.most_common():
        print(f"{count:6} {shown[kind]}")


if __name__ == "__main__":
    main()
