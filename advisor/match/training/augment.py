"""More ways to say the same: slips of the thumb, dropped words, complaints inside stories. Seeded, so repeatable."""

from __future__ import annotations

import random
from collections.abc import Sequence

from advisor.match.training.corpus import Phrase

__all__ = ["augmented"]

_NEIGHBOURS = {
    "a": "qsz", "b": "vgn", "c": "xvd", "d": "sfe", "e": "wrd", "f": "dgr", "g": "fht", "h": "gjy", "i": "uok", "j": "hku",
    "k": "jli", "l": "ko", "m": "n", "n": "bm", "o": "ipl", "p": "ol", "q": "wa", "r": "etf", "s": "adw", "t": "ryg",
    "u": "yij", "v": "cb", "w": "qes", "x": "zc", "y": "tuh", "z": "xa",
}  # fmt: skip


def _slip(word: str, chance: random.Random) -> str:
    if len(word) < 4 or not word.isalpha():
        return word
    place = chance.randrange(1, len(word) - 1)
    kind = chance.randrange(4)
    if kind == 0:
        return word[:place] + word[place + 1] + word[place] + word[place + 2 :]
    if kind == 1:
        return word[:place] + word[place + 1 :]
    if kind == 2:
        return word[:place] + word[place] + word[place:]
    return word[:place] + chance.choice(_NEIGHBOURS.get(word[place].lower(), word[place])) + word[place + 1 :]


def _with_slips(text: str, chance: random.Random) -> str:
    return " ".join(_slip(word, chance) if chance.random() < 0.15 else word for word in text.split())


def _dropped(text: str, chance: random.Random) -> str:
    words = text.split()
    kept = [word for word in words if chance.random() > 0.15]
    return " ".join(kept if len(kept) > 2 else words)


def _in_a_story(text: str, talk: Sequence[str], chance: random.Random) -> str:
    before = [chance.choice(talk) for _ in range(chance.randrange(0, 3))]
    after = [chance.choice(talk) for _ in range(chance.randrange(0, 2))]
    if not before and not after:
        before = [chance.choice(talk)]
    return " ".join([*before, text.rstrip(". ") + ".", *after])


def augmented(phrases: Sequence[Phrase], talk: Sequence[str], seed: int = 5) -> list[Phrase]:
    """Return changed copies of the phrases, two of each short one, one of each long one.

    Parameters
    ----------
    phrases
        The phrases to vary.
    talk
        Sentences that say nothing of ours, to put around a complaint.
    seed
        Of the random choices.

    """
    chance = random.Random(seed)
    out = []
    for phrase in phrases:
        if phrase.kind == "long":
            out.append(Phrase(_dropped(phrase.text, chance), phrase.entry, phrase.kind))
            continue
        vary = _dropped if chance.random() < 0.6 else _with_slips
        out.append(Phrase(vary(phrase.text, chance), phrase.entry, phrase.kind))
        if talk and phrase.entry != "out_of_scope":
            out.append(Phrase(_in_a_story(phrase.text, talk, chance), phrase.entry, "long"))
    return out
