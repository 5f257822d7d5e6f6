"""What the shop's own outcomes say of a cause, in a sentence."""

from __future__ import annotations

from advisor.dialogue.visit import load_said
from advisor.graph.nodes import Suspect
from advisor.knowledge.trees import Trees


def shop_words(suspect: Suspect, trees: Trees | None = None) -> str:
    """Return how often the change for a cause helped in this shop; empty where nobody has come back yet.

    Examples
    --------
    >>> shop_words(Suspect("edge", 0.1, "dull edge", better=9, tried=12))
    'In this shop 9 of 12 riders with this complaint came back better after the change for this cause.'
    >>> shop_words(Suspect("edge", 0.1, "dull edge"))
    ''

    """
    if not suspect.tried:
        return ""
    return load_said(trees)["shop"].format(better=suspect.better, tried=suspect.tried)
