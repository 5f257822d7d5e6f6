"""What to say when the matcher is unsure, or when nothing fits: one short question in plain words, never a guess."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from advisor.match.api import Matching
from advisor.match.matcher import Matcher

_MOST_CHOICES = 3


@dataclass(frozen=True, slots=True)
class Choice:
    """One entry offered, with its plain meaning."""

    id: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Clarification:
    """A question between the likeliest entries."""

    question: str
    choices: tuple[Choice, ...]


def clarify(matching: Matching, matcher: Matcher) -> Clarification | None:
    """Return the question to ask, or None when the match is sure or nothing was understood.

    Parameters
    ----------
    matching
        What `Matcher.match` returned.
    matcher
        The matcher, which carries the meanings.

    """
    if matching.sure or not matching.understood:
        return None
    words: Mapping[str, Any] = matcher.meanings
    meanings: Mapping[str, str] = words["meanings"]
    top = matching.matches[0].score
    least = top * matcher.decision["offered_part"]
    offered = [match for match in matching.matches[:_MOST_CHOICES] if match.score >= least]
    if len(offered) < 2:
        offered = list(matching.matches[:2])
    choices = tuple(Choice(match.id, meanings.get(match.id, match.id)) for match in offered)
    names = dict(zip(("first", "second", "third"), (choice.meaning for choice in choices), strict=False))
    form = words["three"] if len(choices) > 2 else words["two"]
    return Clarification(words["ask"].format(choices=form.format(**names)), choices)


def help_text(matcher: Matcher) -> str:
    """Return what the advisor can help with, for a text that fits nothing."""
    return str(matcher.meanings["help"])
