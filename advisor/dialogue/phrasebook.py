"""The words of the conversation itself, from `trees/talk.yaml`."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.knowledge.tables import entry_fault
from advisor.knowledge.trees import Trees, of_trees


@dataclass(frozen=True, slots=True)
class Command:
    """Something that can be said at any moment; `more` tells whether further words may follow."""

    id: str
    words: tuple[str, ...]
    help: str
    more: bool = False


@dataclass(frozen=True, slots=True)
class Phrasebook:
    """The conversation's own words.

    Parameters
    ----------
    commands
        What can be said at any moment.
    unsure, yes, no
        Whole answers that mean "can't tell", yes and no.
    leading_yes, leading_no
        A yes or a no at the head of a longer answer.
    denials
        Words that turn an answer round.
    around_numbers
        Words around a number that say nothing of it.
    said
        The conversation's own sentences.
    worth_telling
        The smallest change worth telling, by unit.
    always_told
        Sentences to be said with every answer, by the measure that is far out.
    small_words
        Words that carry nothing in an answer.
    courtesies
        Whole lines that are no complaint.
    settings
        How a setting of the mount is told, by the last part of its field and its sign.
    often
        How often, in words: from which chance on, the highest first.

    """

    commands: tuple[Command, ...]
    unsure: frozenset[str]
    yes: frozenset[str]
    no: frozenset[str]
    leading_yes: frozenset[str]
    leading_no: frozenset[str]
    denials: frozenset[str]
    around_numbers: frozenset[str]
    said: dict[str, str]
    worth_telling: dict[str, float]
    always_told: dict[str, str]
    small_words: frozenset[str]
    courtesies: frozenset[str]
    settings: dict[str, dict[str, str]]
    often: tuple[tuple[float, str], ...]

    def command(self, text: str) -> tuple[Command, str] | None:
        """Return the command that a text begins with or is, and what follows it."""
        plain = tidy(text)
        for command in self.commands:
            for words in command.words:
                if plain == words:
                    return command, ""
                if command.more and plain.startswith(f"{words} "):
                    return command, text.strip()[len(words) :].strip()
        return None


def tidy(text: str) -> str:
    """Return a text in small letters with plain quotes, single spaces and no closing marks."""
    plain = " ".join(text.lower().replace("’", "'").split())
    return plain if plain in {"?", "."} else plain.rstrip(" .!?")


@of_trees
def load_phrasebook(trees: Trees) -> Phrasebook:
    """Load the conversation's words.

    Raises
    ------
    KnowledgeError
        When the file cannot be read.

    """
    table = trees.table("talk.yaml")
    commands = tuple(
        Command(key, tuple(map(str, c["words"])), c["help"], bool(c.get("more")))
        for key, c in table["commands"].items()
    )
    said = {key: value for key, value in table.items() if isinstance(value, str)}

    def words(key: str) -> frozenset[str]:
        return frozenset(map(str, table[key]))

    worth = {unit: float(least) for unit, least in table["worth_telling"].items()}
    return Phrasebook(
        commands,
        words("unsure"),
        words("yes"),
        words("no"),
        words("leading_yes"),
        words("leading_no"),
        words("denials"),
        words("around_numbers"),
        said,
        worth,
        {measure: _sentence(said, name) for measure, name in table.get("always_told", {}).items()},
        frozenset(map(str, table.get("small_words", ()))),
        frozenset(map(str, table.get("courtesies", ()))),
        {part: {str(sign): words for sign, words in ways.items()} for part, ways in table.get("settings", {}).items()},
        tuple(sorted(((float(one["from"]), str(one["words"])) for one in table["often"]), reverse=True)),
    )


def _sentence(said: dict[str, str], name: str) -> str:
    if name not in said:
        raise entry_fault("talk.yaml", "always_told", f"there is no sentence '{name}' here; write it, or name another")
    return said[name]
