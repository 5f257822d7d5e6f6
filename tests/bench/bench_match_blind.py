"""How well the matcher understands people it has never heard: `python tests/bench/bench_match_blind.py [--wrong]`.

The set (`tests/match/blind_set.yaml`) comes from a hand that had read neither the phrases nor the other sets. It is for
measuring alone: never tune on it. It is no field record: many of its pictures stand in the phrases too, because writers
reach for the same ones, so riders at a counter will score lower. The last block, which leaves out each utterance with a
tell-tale word of its entry, comes nearest to that. Two readings of every share: ranking alone, and with a refusal
counted as a miss.
Intervals are Wilson's at 95 %. `--wrong` lists the misses, which spoils the set for whoever tunes the matcher.
"""

from __future__ import annotations

import re
import sys
from collections import Counter, defaultdict
from collections.abc import Sequence

import yaml
from bench_match import OUT, SETS, line, unseen

from advisor.match import Matching, load_matcher

Heard = tuple[dict[str, str], Matching]


def hit(heard: Heard, size: int, *, refusal_misses: bool) -> bool:
    """Return whether the right entry is among the first `size`, and was not refused where that counts."""
    item, found = heard
    named = item["entry"] in [match.id for match in found.matches[:size]]
    return named and (found.understood or not refusal_misses)


def shares(title: str, real: Sequence[Heard], size: int, *, refusal_misses: bool) -> None:
    """Print the share of hits over everything and by kind of speech."""
    print(title)
    print(line("all kinds", [hit(one, size, refusal_misses=refusal_misses) for one in real]))
    for kind in sorted({item["kind"] for item, _ in real}):
        of_kind = [one for one in real if one[0]["kind"] == kind]
        print(line(kind, [hit(one, size, refusal_misses=refusal_misses) for one in of_kind]))


def without_tell_tale(real: Sequence[Heard], least: int = 2, most_of: float = 0.4) -> list[Heard]:
    """Return what holds no word (4 letters or more) that `least` phrases of its entry use, `most_of` all its uses."""
    from advisor.workshop.matcher.corpus import load_phrases

    uses: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for phrase in load_phrases():
        for word in set(re.findall(r"[a-z']{4,}", phrase.text.casefold())):
            uses[word][phrase.entry] += 1

    def tells(word: str, entry: str) -> bool:
        own = uses[word][entry] if word in uses else 0
        return own >= least and own > most_of * uses[word].total()

    return [
        (item, found)
        for item, found in real
        if not any(tells(word, item["entry"]) for word in re.findall(r"[a-z']{4,}", item["text"].casefold()))
    ]


def main() -> None:
    """Print everything."""
    items = yaml.safe_load((SETS / "blind_set.yaml").read_text(encoding="utf-8"))
    matcher = load_matcher()
    heard = [(item, matcher.match(item["text"])) for item in items]
    real = [one for one in heard if one[0]["entry"] != OUT]
    others = [one for one in heard if one[0]["entry"] == OUT]
    print(f"blind set: {len(real)} for the catalogue, {len(others)} out of scope; share [95 % interval]")
    for size in (1, 3):
        shares(f"top-{size}, ranking alone", real, size, refusal_misses=False)
        shares(f"top-{size}, a refusal is a miss", real, size, refusal_misses=True)
    print("refusing")
    print(line("out of scope, refused", [not found.understood for _, found in others]))
    print(line("real complaints, refused", [not found.understood for _, found in real]))
    for kind in sorted({item["kind"] for item, _ in real}):
        print(line(f"  refused, {kind}", [not f.understood for i, f in real if i["kind"] == kind]))
    print("asking back")
    sure = [one for one in real if one[1].understood and one[1].sure]
    print(line("answered without asking back", [f.understood and f.sure for _, f in real]))
    print(line("of these, right", [hit(one, 1, refusal_misses=True) for one in sure]))
    fresh = {item["text"] for item in unseen(items)}
    new = [one for one in real if one[0]["text"] in fresh]
    print(f"without the {len(real) - len(new)} that happen to stand nearly so in the phrases")
    for size in (1, 3):
        print(line(f"top-{size}, ranking alone", [hit(one, size, refusal_misses=False) for one in new]))
        print(line(f"top-{size}, a refusal is a miss", [hit(one, size, refusal_misses=True) for one in new]))
    hard = without_tell_tale(real)
    print("without a tell-tale word of the entry (chosen after the first scoring), a refusal is a miss")
    for size in (1, 3):
        print(line(f"top-{size}", [hit(one, size, refusal_misses=True) for one in hard]))
        oblique = [one for one in hard if one[0]["kind"] == "oblique"]
        print(line(f"top-{size}, oblique", [hit(one, size, refusal_misses=True) for one in oblique]))
    if "--wrong" in sys.argv[1:]:
        for item, found in heard:
            ok = not found.understood if item["entry"] == OUT else hit((item, found), 1, refusal_misses=True)
            if not ok:
                said = ", ".join(f"{match.id} {match.score:.2f}" for match in found.matches[:3])
                state = ("sure" if found.sure else "asks") if found.understood else "REFUSED"
                print(f"- {item['entry']} ({item['kind']}) {state}: {said}\n    {item['text']}")


if __name__ == "__main__":
    main()
