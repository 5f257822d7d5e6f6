"""Every printed label answers its own question alone, and `trees/answers.yaml` speaks of questions there are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from advisor.dialogue.choosing import choose, exact, says_unsure
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.graph.compiled import Knowledge
from advisor.graph.nodes import Fact
from advisor.knowledge.fault import Fault
from advisor.knowledge.trees import Trees
from advisor.match.heard import hear

_FILE = "trees/answers.yaml"


def faults_of_answers(trees: Trees, knowledge: Knowledge, lines: Mapping[str, Mapping[str, int]]) -> Iterator[Fault]:
    """Yield what is wrong with the labels of the questions and with the words for their answers.

    Parameters
    ----------
    trees
        The knowledge files.
    knowledge
        Compiled from them.
    lines
        The line of each place of each file.

    """
    at = lines.get("trees/facts.yaml", {})
    for fact in knowledge.facts.values():
        if fact.kind == "choice":
            for words in _of_a_question(trees, fact):
                yield Fault("trees/facts.yaml", at.get(fact.id, 0), words)
    table = trees.table("answers.yaml")
    yield from _of_the_table(table, knowledge, lines.get(_FILE, {}))


def _of_a_question(trees: Trees, fact: Fact) -> Iterator[str]:
    book = load_phrasebook(trees)
    for option, label in fact.options.items():
        heard = hear(label)
        printed, chosen = exact(fact, heard), choose(fact, heard)
        if printed is None or printed.option != option:
            yield f"does '{label}' answer '{fact.id}' alone? Another option has the same words; change one of them"
        elif chosen is None or chosen.option != option:
            taken = chosen.option if chosen else "nothing"
            yield f"is '{label}' heard as '{option}' of '{fact.id}'? It is heard as {taken}; change the words"
        elif book.command(label) is not None:
            yield f"is '{label}' of '{fact.id}' an answer? It is a command of the conversation; change the words"
        elif says_unsure(heard):
            yield f"is '{label}' of '{fact.id}' an answer? It is heard as 'don't know'; change the words"


def _of_the_table(table: Mapping[str, Any], knowledge: Knowledge, at: Mapping[str, int]) -> Iterator[Fault]:
    for name, option in table["fine"].items():
        fact = knowledge.facts.get(name)
        if fact is None or option not in fact.options:
            yield Fault(
                _FILE, at.get(f"fine.{name}", 0), f"what is '{name}: {option}'? There is no such answer; mend it"
            )
    for name, options in table["said"].items():
        fact = knowledge.facts.get(name)
        for option in options:
            if fact is None or option not in fact.options:
                words = f"what is '{name}: {option}'? No question has that answer; mend the name, or take it out"
                yield Fault(_FILE, at.get(f"said.{name}", 0), words)
