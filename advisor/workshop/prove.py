"""Every knowledge file proven, in every room that reads one: what `advisor trees` looks at."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.errors import KnowledgeError
from advisor.graph.compiler import compile_knowledge
from advisor.graph.other_tables import faults_of_reader, faults_of_tables
from advisor.knowledge.fault import Fault
from advisor.knowledge.trees import Trees
from advisor.knowledge_home import trees_dir
from advisor.plain_text import clean
from advisor.workshop.proof import prove

__all__ = ["prove_everything"]


def prove_everything(trees: Trees) -> tuple[dict[str, Any], list[Fault]]:
    """Return the compiled knowledge and every fault in it: shapes first, then what each room reads, then the rules."""
    compiled, faults = compile_knowledge(trees.home, trees.shop)
    if not faults:
        faults = faults_of_tables(trees, compiled["lines"])
    if not faults:
        faults = [*prove(compiled, trees), *_of_the_conversation(trees, compiled)]
    return compiled, faults


def _of_the_conversation(trees: Trees, compiled: dict[str, Any]) -> Iterator[Fault]:
    """Yield what is wrong with the words of the conversation and with the phrases."""
    from advisor.dialogue.phrasebook import load_phrasebook
    from advisor.graph.compiled import Knowledge
    from advisor.match.fields_told import field_reader
    from advisor.match.heard import hearing
    from advisor.workshop.matcher.corpus import language_data, load_phrases
    from advisor.workshop.matcher.model_check import model_is_stale
    from advisor.workshop.proof_of_answers import faults_of_answers
    from advisor.workshop.signs.model_check import judge_is_stale

    yield from faults_of_reader("talk", load_phrasebook, trees, compiled["lines"])
    for name, reader in (("hearing", hearing), ("telling", field_reader)):
        yield from faults_of_reader(name, reader, trees, compiled["lines"])
    yield from faults_of_answers(trees, Knowledge(compiled, trees), compiled["lines"])
    try:
        phrases = {phrase.entry for phrase in load_phrases()}
        language_data()
    except KnowledgeError as error:
        file, _, words = str(error).partition(": ")
        yield Fault(file.removeprefix(f"{trees_dir().parent}/"), 0, f"can this be read? {clean(words, 300)}")
        return
    for name, row in compiled["catalogue"].items():
        if name not in phrases and row["by"] == "words":
            words = f"how do riders say '{name}'? No phrase means it; write trees/phrases/{name}.yaml"
            yield Fault("trees/catalogue.yaml", compiled["lines"]["trees/catalogue.yaml"][name], words, loose=True)
    for name in sorted(phrases - set(compiled["catalogue"]) - {"out_of_scope"}):
        yield Fault(f"trees/phrases/{name}.yaml", 1, f"what is '{name}'? The catalogue does not know it; mend the name")
    if judge_is_stale():
        words = "has the judge of signs learnt this? It has changed; run python -m advisor.workshop.signs.train"
        yield Fault("trees/signs", 0, words, loose=True)
    if model_is_stale():
        words = "has the matcher learnt these phrases? They have changed; run python -m advisor.workshop.matcher.train"
        yield Fault("trees/phrases", 0, words, loose=True)
