"""The command `advisor match`: which entries free words mean."""

from __future__ import annotations

from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings

if TYPE_CHECKING:
    import argparse

_LONGEST = 4000


def match(given: argparse.Namespace, around: Surroundings) -> int:
    """Print the ranked entries for a text."""
    from advisor.match import load_matcher
    from advisor.plain_text import clean

    text = clean(" ".join(given.text), _LONGEST)
    matcher = load_matcher()
    matching = matcher.match(text)
    if given.json:
        from advisor.cli.as_json import dumps

        around.say(
            dumps(
                {
                    "matches": [
                        {"id": m.id, "score": round(m.score, 4), "words": list(m.words)} for m in matching.matches
                    ],
                    "understood": matching.understood,
                    "sure": matching.sure,
                    "second": matching.second.id if matching.second else None,
                    "facts": [{"key": f.key, "value": f.value, "words": f.words} for f in matching.facts],
                }
            )
        )
        return Exit.DONE
    from advisor.cli.styled import show
    from advisor.explain.text import Block, Say, Table
    from advisor.match.clarify import clarify, help_text

    blocks: list[Block] = []
    if not matching.understood:
        blocks.append(Say(help_text(matcher)))
        blocks.append(Say("None of ours, as far as these words go. The nearest would be:"))
    unsure = clarify(matching, matcher)
    if unsure:
        blocks.append(Say(unsure.question))
    rows = tuple((m.id, f"{m.score:.2f}", ", ".join(m.words)) for m in matching.matches[:5])
    blocks.append(Table(("entry", "score", "because of"), rows, right=(1,)))
    if matching.second:
        blocks.append(Say(f"A second complaint is told too: {matching.second.id}."))
    if matching.facts:
        blocks.append(Table(("told", "value", "words"), tuple((f.key, str(f.value), f.words) for f in matching.facts)))
    show(tuple(blocks), around)
    return Exit.DONE
