"""The same riders with their full sheet and with none: does the talk come to the same cause and the same direction?

Riders with one planted fault each are drawn for every complaint (`advisor rehearse`'s forward model, which knows
nothing of the entries). Once the whole sheet is on the bench, once there is none and every number is
read off when it is asked for. Both tell the same answers.

Usage: PYTHONPATH=. python tests/bench/bench_parity.py [riders per complaint, 4] [first seed, 1] [--show]
"""

from __future__ import annotations

import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from math import sqrt
from random import Random

from advisor.dialogue.answer import Answer
from advisor.dialogue.case import Case
from advisor.dialogue.verdict import verdict_of
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.sheet import Sheet
from advisor.workshop.training.rehearsal import asked_and_told
from advisor.workshop.training.rider import Noise, TrueRider, draw_rider

_TRIES = 60


def riders_for(complaint: str, wanted: int, seed: int) -> Iterator[TrueRider]:
    """Yield riders who come with one complaint."""
    from advisor.workshop.training.planted_faults import load_faults

    faults = sorted(name for name, fault in load_faults().items() if complaint in fault.complaints)
    found = 0
    for number in range(_TRIES):
        if not faults or found == wanted:
            return
        try:
            rider = draw_rider(Random(f"parity {seed} {complaint} {number}"), only=faults[number % len(faults)])
        except RuntimeError:
            continue
        if rider.complaint == complaint:
            found += 1
            yield rider


def named(answer: Answer) -> str:
    """Return what an answer names: its cause, else whom it refers to, else what it says."""
    if answer.cause:
        return answer.cause.id
    return f"-> {answer.referral.id}" if answer.referral else f"says {answer.says[:40]}"


def ways(answer: Answer) -> frozenset[tuple[str, str, int]]:
    """Return what is moved, at which foot, and which way."""
    choice = answer.choice
    return frozenset(choice.signature) if choice else frozenset()


def same_direction(one: Answer, other: Answer) -> bool:
    """Return whether two answers move the same things the same way, or end in the same kind of answer."""
    if not ways(one) or not ways(other):
        return ways(one) == ways(other) and verdict_of(one) == verdict_of(other)
    return ways(one) <= ways(other) or ways(other) <= ways(one)


def wilson(count: int, total: int) -> str:
    """Return a share with its 95 % interval."""
    if not total:
        return "none"
    share, z = count / total, 1.96
    middle = (share + z * z / (2 * total)) / (1 + z * z / total)
    half = z * sqrt(share * (1 - share) / total + z * z / (4 * total * total)) / (1 + z * z / total)
    return f"{count}/{total} = {share:.3f} [{middle - half:.3f}, {middle + half:.3f}]"


def main() -> None:
    """Print the agreement by complaint and over all."""
    words = [word for word in sys.argv[1:] if word.isdecimal()]
    each, seed = int(words[0]) if words else 4, int(words[1]) if words[1:] else 1
    knowledge = load_knowledge()
    total: Counter[str] = Counter()
    asked: dict[str, list[int]] = defaultdict(list)
    for entry in sorted(knowledge.entry_ids):
        if knowledge.entry(entry).kind != "symptom":
            continue
        own: Counter[str] = Counter()
        for number, rider in enumerate(riders_for(entry, each, seed)):
            full = asked_and_told(knowledge, Case(entry, rider.sheet), rider, Noise(), number)
            bare = asked_and_told(knowledge, Case(entry, Sheet("none", {})), rider, Noise(), number)
            cause = named(full.answer) == named(bare.answer)
            way = same_direction(full.answer, bare.answer)
            own.update(riders=1, cause=cause, way=way, both=cause and way)
            asked["full"].append(len(full.told))
            asked["none"].append(len(bare.told))
            if "--show" in sys.argv and not (cause and way):
                print(f"  {entry} rider {number} ({', '.join(one.fault.id for one in rider.planted)})")
                for title, visit in (("full", full), ("none", bare)):
                    words_of = [c.words for c in visit.answer.choice.changes] if visit.answer.choice else []
                    print(
                        f"    {title}: {named(visit.answer)} [{verdict_of(visit.answer)}] q{len(visit.told)} {words_of}"
                    )
        print(f"{entry:24} cause {own['cause']}/{own['riders']}  direction {own['way']}/{own['riders']}", flush=True)
        total.update(own)
    print(f"\nsame cause {wilson(total['cause'], total['riders'])}")
    print(f"same direction {wilson(total['way'], total['riders'])}")
    print(f"both {wilson(total['both'], total['riders'])}")
    for title, counts in asked.items():
        counts.sort()
        median, ninth = counts[len(counts) // 2], counts[len(counts) * 9 // 10]
        print(f"questions, {title} sheet: median {median}, 90th percentile {ninth}")


if __name__ == "__main__":
    main()
