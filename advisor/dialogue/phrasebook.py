"""The words of the conversation itself, from `trees/talk.yaml`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from advisor.sheet.knowledge import load_table

__all__ = ["Command", "Phrasebook", "load_phrasebook", "tidy"]


@dataclass(frozen=True, slots=True)
class Command:
    """Something that can be said at any moment."""

    id: str
    words: tuple[str, ...]
    help: str


@dataclass(frozen=True, slots=True)
class Phrasebook:
    """The conversation's own words."""

    commands: tuple[Command, ...]
    unsure: frozenset[str]
    yes: frozenset[str]
    no: frozenset[str]
    said: dict[str, str]
    worth_telling: dict[str, float]

    def command(self, text: str) -> tuple[Command, str] | None:
        """Return the command that a text begins with or is, and what follows it; only `try` takes more words."""
        plain = tidy(text)
        for command in self.commands:
            for words in command.words:
                if plain == words:
                    return command, ""
                if command.id == "try" and plain.startswith(f"{words} "):
                    return command, text.strip()[len(words) :].strip()
        return None


def tidy(text: str) -> str:
    """Return a text in small letters with plain quotes, single spaces and no closing marks."""
    plain = " ".join(text.lower().replace("’", "'").split())
    return plain if plain in {"?", "."} else plain.rstrip(" .!?")


@cache
def load_phrasebook() -> Phrasebook:
    """Load the conversation's words.

    Raises
    ------
    KnowledgeError
        When the file cannot be read.

    """
    table = load_table("talk.yaml")
    commands = tuple(Command(key, tuple(map(str, c["words"])), c["help"]) for key, c in table["commands"].items())
    said = {key: value for key, value in table.items() if isinstance(value, str)}

    def words(key: str) -> frozenset[str]:
        return frozenset(map(str, table[key]))

    worth = {unit: float(least) for unit, least in table["worth_telling"].items()}
    return Phrasebook(commands, words("unsure"), words("yes"), words("no"), said, worth)
