"""What is said where an answer is not shown by facts, but is the likeliest that could not be ruled out."""

from __future__ import annotations

from advisor.dialogue.answer import Answer
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.graph.nodes import Ask


def doubt_words(answer: Answer) -> str:
    """Return which question has to be settled first; empty where the answer is shown."""
    fact = answer.walk.doubted
    if fact is None or answer.line is None:
        return ""
    said = load_phrasebook(answer.case.trees).said
    if fact.id not in answer.case.answers:
        return said["left_by_untold"].format(question=fact.question)
    told = answer.case.answers[fact.id]
    steps = [step for step in answer.line.steps if isinstance(step.node, Ask) and step.node.fact == fact.id]
    supposed = steps[0].answer if steps and steps[0].answer else ""
    return said["left_by_doubt"].format(
        question=fact.question, told=fact.options.get(told, told), supposed=fact.options.get(supposed, supposed)
    )
