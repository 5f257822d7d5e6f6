"""The first words of a conversation, apart from all others so that they need nothing that an answer needs."""

from __future__ import annotations

from advisor.dialogue.phrasebook import load_phrasebook
from advisor.explain.text import Say, Text
from advisor.knowledge.trees import Trees


def greeting_text(sheet_name: str, trees: Trees) -> Text:
    """Return the greeting, with the sheet that the conversation is about."""
    said = load_phrasebook(trees).said["greeting"]
    return (Say(f"{said} (sheet: {sheet_name})" if sheet_name else said),)
