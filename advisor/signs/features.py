"""Features of a line for the judge: the same code names them in training and at run time.

Kinds, by prefix: `w` stem, `b` two stems in a row, `s` two stems with one between, `g` letters inside a word, `f` the
first words, `c` concept, `n` denied concept, `d` two concepts of a piece, `x` concept that the talk is about, `y` such
a concept with one that is said, `r` sign that the rules hear, `o` one that they hear denied, over or another's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import combinations, pairwise
from typing import NamedTuple

from advisor.match.features import letters
from advisor.match.text import stem
from advisor.signs.line import Word

__all__ = ["Said", "pieces"]


class Said(NamedTuple):
    """What the rules found: concepts as (name, clause, denied), signs told as (name, clause), and signs not told."""

    concepts: tuple[tuple[str, int, bool], ...]
    about: tuple[str, ...]
    told: tuple[tuple[str, int], ...]
    untold: tuple[str, ...]


@lru_cache(4096)
def _of_word(form: str) -> tuple[str, tuple[str, ...]]:
    if form[0].isdigit():
        return "#", ()
    return stem(form), tuple("g" + piece for piece in letters(form)) if len(form) > 2 else ()


def pieces(words: Sequence[Word], said: Said) -> Iterator[set[str]]:
    """Yield the features of the whole line, then of each sentence where it has several."""
    everything = set(range(words[-1].clause + 1)) | {-1} if words else {-1}
    yield _piece(words, everything, said) | {"o" + name for name in said.untold}
    sentences: dict[int, list[Word]] = {}
    for word in words:
        sentences.setdefault(word.sentence, []).append(word)
    if len(sentences) > 1:
        for one in sentences.values():
            yield _piece(one, {word.clause for word in one}, said)


def _piece(words: Iterable[Word], clauses: set[int], said: Said) -> set[str]:
    made: set[str] = set()
    stems = []
    for word in words:
        base, parts = _of_word(word.text)
        stems.append(base)
        made.update(parts)
    made.update("w" + one for one in stems)
    made.update(f"b{one} {other}" for one, other in pairwise(stems))
    made.update(f"s{one} {other}" for one, other in zip(stems, stems[2:], strict=False))
    made.add("f" + " ".join(stems[:2]))
    here = sorted({("n" if denied else "c") + name for name, clause, denied in said.concepts if clause in clauses})
    made.update(here)
    made.update(f"d{one} {other}" for one, other in combinations(here, 2))
    made.update("x" + name for name in said.about)
    made.update(f"y{about} {name}" for about in said.about for name in here)
    made.update("r" + name for name, clause in said.told if clause in clauses)
    return made
