"""Answers against a sheet that may be wrong: what to measure again first, and one look before much is moved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from advisor.dialogue.answer import Answer, answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.clashing import clashes
from advisor.dialogue.walk import Question
from advisor.errors import AdvisorError
from advisor.geometry.measuring import measure
from advisor.geometry.one_number import measure_or_field
from advisor.geometry.register import SIDES, Place
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Aim, Mount
from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import Sheet

if TYPE_CHECKING:
    from advisor.doubt.doubts import Doubt
    from advisor.doubt.tables import Look

Boards = Sequence[Mapping[str, float]]


def settled(knowledge: Knowledge, answer: Answer, boards: Boards = ()) -> Answer:
    """Return an answer that a wrong sheet does not make.

    Before much is moved one look confirms the side; where the look and the sheet differ, nothing is moved. Doubts on
    which the answer hangs stand with it.

    Parameters
    ----------
    knowledge
        The compiled knowledge.
    answer
        As the walk and the solver found it.
    boards
        The numbers of the shop's own boards, by field.

    """
    if answer.outcome == "needs" or answer.case.sheet.leaves == {}:
        return answer
    choice = answer.choice
    if choice is not None and choice.changes and isinstance(answer.line and answer.line.end, Aim):
        for look, side in _looks_wanted(answer):
            fact = look.fact.format(foot=side)
            if fact in answer.case.unsure or fact not in knowledge.facts:
                continue
            told = answer.case.answers.get(fact)
            if told is None:
                return _asks(knowledge, answer, fact)
            doubt = _differs(look, side, told, answer.case.known)
            if doubt:
                referral = knowledge.referral(look.referral)
                return Answer("refer", answer.case, answer.walk, answer.line, referral=referral, doubts=(doubt,))
    doubts = _hung_on(knowledge, answer, boards)
    return replace(_not_bought(knowledge, answer) if doubts else answer, doubts=doubts)


def _not_bought(knowledge: Knowledge, answer: Answer) -> Answer:
    """Return the ruler in the place of what costs money, where the answer hangs on a doubtful number."""
    from advisor.dialogue.verdict import verdict_of
    from advisor.doubt.tables import load_plausibility

    table = load_plausibility(knowledge.trees)
    if verdict_of(answer) not in table.dear:
        return answer
    return Answer(
        "refer", answer.case, answer.walk, answer.line, referral=knowledge.referral(table.not_bought_on_doubt)
    )


def _looks_wanted(answer: Answer) -> Iterator[tuple[Look, FootSide]]:
    from advisor.doubt.tables import load_plausibility

    assert answer.choice is not None
    after = answer.choice.what_if.known_after
    for look in load_plausibility(answer.case.trees).looks:
        for side in SIDES:
            now, then = (_taken(look.measure, side, known) for known in (answer.case.known, after))
            if now is not None and then is not None and abs(then - now) >= look.least(answer.case.sheet.value, side):
                yield look, side


def _taken(name: str, side: FootSide, known: Known) -> float | None:
    one = measure(known, measure_or_field(name), Place(side))
    return one.value if one.known else None


def _asks(knowledge: Knowledge, answer: Answer, fact: str) -> Answer:
    assert answer.line is not None and isinstance(answer.line.end, Aim | Mount)
    wanted = knowledge.facts[fact]
    question = Question(wanted, answer.line.end, answer.line.suspect, (), (), wanted.minutes)
    asking = answer.walk._replace(found=None, questions=(question,))
    return Answer("needs", answer.case, asking, answer.line, answer.cause)


def _differs(look: Look, side: FootSide, told: str, known: Known) -> Doubt | None:
    """Return the doubt where an eye sees another side than the sheet makes it; None where they go together."""
    from advisor.doubt.doubts import Doubt
    from advisor.doubt.tables import load_plausibility

    shown = _taken(look.shows, side, known)
    if shown is None:
        return None
    table = load_plausibility(known.trees)
    if told == look.even:
        wrong, says = abs(shown) > look.seen * table.even_times, table.even_says
    else:
        wrong, says = (shown if told == look.minus else -shown) > look.seen, look.says
    if not wrong:
        return None
    other = look.plus if shown > 0 else look.minus
    fields = tuple(dict.fromkeys(path.format(foot=side) for path in look.fields))
    words = says.format(foot=side, told=told, other=other, shown=f"{abs(shown):.0f}")
    return Doubt("look", fields, words, (), 2.0)


# ---------------------------------------------------------------------------------------------- doubts


def _hung_on(knowledge: Knowledge, answer: Answer, boards: Boards) -> tuple[Doubt, ...]:
    """Return the doubts on which the answer hangs: it is another one where the doubtful field is right, or unknown."""
    from advisor.doubt.doubts import doubts_of
    from advisor.doubt.tables import load_plausibility

    found: list[Doubt] = []
    for doubt in doubts_of(answer.case.sheet, boards, knowledge.trees):
        if len(found) < load_plausibility(knowledge.trees).worth_saying and any(
            not same_advice(answer, other) for other in _otherwise(knowledge, answer.case, doubt)
        ):
            found.append(doubt)
    return tuple(found)


def _otherwise(knowledge: Knowledge, case: Case, doubt: Doubt) -> Iterator[Answer]:
    """Yield the answers on the sheet as it would be: with what is supposed, then without each doubtful field."""
    sheets = []
    supposed = case.sheet
    for path, value in doubt.supposed:
        supposed = supposed.with_value(path, value)
    if doubt.supposed and not clashes(case.sheet, supposed):
        sheets.append(supposed)
    sheets += [case.sheet.without(path) for path in doubt.fields if path in case.sheet.leaves]
    for sheet in sheets:
        try:
            yield answer_case(knowledge, replace(case, sheet=sheet))
        except AdvisorError:
            continue


def same_advice(one: Answer, other: Answer) -> bool:
    """Return whether two answers tell the tech to do the same for the same reason."""
    changes = [answer.choice.changes if answer.choice else () for answer in (one, other)]
    told = [[(c.path, c.after) for c in some] for some in changes]
    ends = [(answer.outcome, answer.cause, answer.referral, answer.feet, answer.says) for answer in (one, other)]
    return told[0] == told[1] and ends[0] == ends[1]


# ---------------------------------------------------------------------------------------------- words


def sides_against(trees: Trees, sheet: Sheet, text: str) -> tuple[dict[str, str], tuple[Doubt, ...]]:
    """Return what a sentence tells of a side by the way ("there is more toe than heel"), and where the sheet differs.

    A sentence that names no foot is taken for both; where it fits one of them it is of that one, and tells nothing new.
    """
    from advisor.doubt.tables import load_plausibility

    table = load_plausibility(trees)
    plain = f" {' '.join(text.lower().replace(',', ' ').replace('.', ' ').split())} "
    side = next((side for words, side in table.sides_said if f" {words} " in plain), "")
    if not side:
        return {}, ()
    known = Case("", sheet, trees=trees).known
    named: tuple[FootSide, ...] = tuple(foot for foot in SIDES if f" {foot} " in plain)
    look = table.looks[0]
    doubts = {foot: _differs(look, foot, side, known) for foot in named or SIDES}
    if not named and not all(doubts.values()):
        return {}, ()
    return {look.fact.format(foot=foot): side for foot in doubts}, tuple(one for one in doubts.values() if one)
