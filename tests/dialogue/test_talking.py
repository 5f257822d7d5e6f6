"""What is said after the first sentence, through the real conversation, also put away and taken up again.

Answers and what they mean: common practice, no source.
"""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from advisor.dialogue.case import Case
from advisor.dialogue.keeping import keep, taken_up
from advisor.dialogue.replies import Answered, Asked, AskedBack, Lost, Reply, Stopped
from advisor.dialogue.talk import Conversation, State
from advisor.dialogue.walk import Question, walk
from advisor.graph.knowledge import load_knowledge
from advisor.graph.nodes import Ask
from advisor.knowledge.trees import authors
from advisor.match import load_matcher
from advisor.sheet.sheet import Sheet

TALK = Conversation(load_knowledge(authors()), load_matcher)
FACTS = TALK.knowledge.facts
CHOICES = [fact.id for fact in FACTS.values() if fact.kind == "choice"]
NOTHING = Sheet("", {})


def kept(state: State) -> State:
    """Put a talk away and take it up again."""
    return taken_up(TALK, json.loads(json.dumps(keep(state))))[0]


def talk(*lines: str, sheet: Sheet = NOTHING, away: bool = False) -> tuple[State, Reply]:
    state, reply = TALK.begin(sheet)
    for line in lines:
        if away and state.case:
            state = kept(state)
        state, reply = TALK.hear(state, line)
    return state, reply


def asked(fact: str) -> State:
    """Return a talk at which a fact is asked, in an entry that asks it where there is one."""
    entries = sorted(TALK.knowledge.entry_ids)

    def asks(entry: str) -> bool:
        nodes = TALK.knowledge.entry(entry).nodes.values()
        return any(isinstance(node, Ask) and node.fact == fact for node in nodes)

    first = [one for one in entries if asks(one)] + entries
    entry = next(one for one in first if walk(TALK.knowledge, Case(one, NOTHING)).question)
    done = walk(TALK.knowledge, Case(entry, NOTHING))
    assert done.question is not None
    question = Question(FACTS[fact], done.question.node, done.question.suspect, ())
    return State(NOTHING, case=Case(entry, NOTHING), walk=done._replace(questions=(question,)))


@pytest.mark.parametrize("fact", CHOICES)
def test_every_printed_label_answers_its_own_question_and_nothing_else(fact: str) -> None:
    before = asked(fact)
    for number, (option, label) in enumerate(FACTS[fact].options.items(), start=1):
        for said in (label, label.upper() + ".", str(number)):
            after, reply = TALK.hear(before, said)
            assert after.heard.facts == {fact: option}, said
            assert after.heard.complaints == ()
            assert after.waiting == before.waiting
            assert after.case is not None and before.case is not None
            assert after.case.entry == before.case.entry
            told = set(after.answers) - {fact}
            assert not told, f"{said} answers {told} too"
            assert not isinstance(reply, Lost)


@pytest.mark.parametrize(
    ("fact", "said", "option"),
    [
        ("binding_play", "both", "yes"),
        ("binding_play", "neither", "no"),
        ("binding_play", "both sit firm", "no"),
        ("knee_signs", "not swollen, but it did start with a fall", "yes"),
        ("knee_signs", "no, it just swells in the evening", "yes"),
        ("back_signs", "nothing down the leg", "no"),
        ("side", "no wait, heels", "heel"),
        ("snow", "the second one", "soft"),
        ("snow", "option 2", "soft"),
        ("snow", "number three", "powder"),
        ("snow", "mostly hard, a bit of powder", "hard"),
        ("straps_snug", "no gap", "yes"),
        ("heel_lifts", "I think so", "yes"),
        ("heel_lifts", "not really", "no"),
        ("heel_lifts", "it lifts a bit when it's cold", "yes"),
        ("edge_sharp", "looks fine to me", "yes"),
        ("edge_burr", "looks fine to me", "no"),
        ("edge_sharp", "dul in the middle", "no"),
    ],
)
def test_an_answer_in_other_words_is_taken(fact: str, said: str, option: str) -> None:
    state = TALK.hear(asked(fact), said)[0]
    assert option in {state.heard.facts.get(fact), state.answers.get(fact)}


@pytest.mark.parametrize(
    ("fact", "said"),
    [("heel_lifts", "yes and no"), ("knee_signs", "yes and no"), ("eases_when", "both"), ("snow", "hard and soft")],
)
def test_an_answer_that_says_two_things_is_asked_again(fact: str, said: str) -> None:
    state = TALK.hear(asked(fact), said)[0]
    assert fact not in state.heard.facts
    assert fact not in state.answers


@pytest.mark.parametrize(
    ("fact", "said", "value"),
    [
        ("board.reference_width_mm", "fifty six centimetres", 560),
        ("board.reference_width_mm", "54", 540),
        ("board.reference_width_mm", "540,5", 540.5),
        ("board.reference_width_mm", "21 1/4", 539.75),
        ("board.reference_width_mm", "between 530 and 550", 540),
        ("board.reference_width_mm", "five hundred forty", 540),
        ("board.reference_width_mm", "no, 45 not 54", 450),
        ("mount.front.angle_deg", "plus eighteen", 18),
        ("mount.back.angle_deg", "minus six", -6),
        ("mount.back.angle_deg", "minus twelve, no, hang on, minus nine", -9),
        ("mount.screw_torque_nm", "six Nm", 6),
        ("mount.front.slot_mm", "2 towards the heel edge", -2),
        ("board.side_bevel_deg", "88", 2),
        ("rider.height_cm", "5'10\"", 178),
        ("rider.height_cm", "a metre ninety", 190),
    ],
)
def test_a_number_in_words_or_another_unit_is_taken(fact: str, said: str, value: float) -> None:
    assert TALK.hear(asked(fact), said)[0].sheet.value(fact) == pytest.approx(value, abs=0.3)


def test_a_unit_left_out_is_supposed_and_said_back() -> None:
    reply = TALK.hear(asked("board.reference_width_mm"), "54")[1]
    assert isinstance(reply, Asked | Answered)
    assert [(one.key, one.value) for one in reply.before.noted] == [("board.reference_width_mm", 540)]


@pytest.mark.parametrize("away", [False, True])
def test_did_you_mean_waits_for_a_yes(away: bool) -> None:
    state, reply = TALK.hear(replace(talk("my toes touch the snow")[0]), "boot")
    assert state.question is not None
    fact = state.question.fact
    if fact.kind == "number" and fact.unit == "mm":
        state, reply = TALK.hear(state, "5400")
        assert isinstance(reply, AskedBack)
        state = kept(state) if away else state
        assert TALK.hear(state, "yes")[0].sheet.value(fact.id) == 540


def test_what_was_told_last_is_mended_by_the_next_line() -> None:
    state, _ = talk("front angle is 15 and the stance is 54 cm", "no, 45 not 54")
    assert state.sheet.value("measured.stance_width_mm") == 450
    assert state.sheet.value("mount.front.angle_deg") == 15
    moved, _ = talk("front lean is 15 degrees", "the other foot")
    assert moved.sheet.value("mount.front.lean_deg") is None
    assert moved.sheet.value("mount.back.lean_deg") == 15


@pytest.mark.parametrize("away", [False, True])
def test_another_complaint_needs_a_clause_of_its_own_and_comes_next(away: bool) -> None:
    state, reply = talk("my heel edge slides out on ice", "both sit firm. also my toes go numb", away=away)
    assert state.case is not None
    assert state.case.entry == "heel_washout"
    assert state.waiting == ("numb_toes",)
    assert isinstance(reply, Asked | Answered)
    assert "I keep that for next" in reply.before.kept[0]


def test_what_the_rider_wants_first_is_taken_up_at_once() -> None:
    state, _ = talk("I'm not getting any pop", "oh forget the pop, I just want my heel edge to stop letting go")
    assert state.case is not None
    assert state.case.entry == "heel_washout"


@pytest.mark.parametrize("away", [False, True])
@pytest.mark.parametrize(
    ("said", "intent"),
    [
        ("how do I measure that?", "how_measure"),
        ("what's a highback", "what_is"),
        ("why do you want to know that", "why_ask"),
        ("I don't understand", "meaning"),
    ],
)
def test_what_is_asked_back_is_answered_and_the_question_stays_open(said: str, intent: str, away: bool) -> None:
    before, _ = talk("my toes touch the snow")
    after, reply = TALK.hear(kept(before) if away else before, said)
    assert isinstance(reply, AskedBack)
    assert reply.intent == intent == after.heard.talk
    assert after.question is not None and before.question is not None
    assert after.question.fact.id == before.question.fact.id


def test_bye_ends_the_talk_in_any_words() -> None:
    state, reply = talk("my toes touch the snow", "I've got to go now bye bye")
    assert isinstance(reply, Stopped)
    assert state.done


@pytest.mark.parametrize(
    "said",
    [
        "Mein hinteres Knie tut nach zwei Stunden weh",
        "La planche vibre à grande vitesse",
        "Me duele la rodilla de atrás",
    ],
)
def test_another_language_is_told_that_this_is_spoken_in_english(said: str) -> None:
    state, reply = talk(said)
    assert isinstance(reply, AskedBack)
    assert reply.intent == "says_english" == state.heard.talk
    assert state.case is None


@pytest.mark.parametrize(
    ("fact", "said", "value"),
    [
        ("heel_lifts", "ja", "yes"), ("heel_lifts", "non", "no"), ("rider.leading_foot", "左", "left"),
        ("mount.front.angle_deg", "fünfzehn", 15), ("mount.front.angle_deg", "dix-huit", 18),
        ("rider.height_cm", "百七十", 170), ("rider.height_cm", "eins achtundsiebzig", 178),
    ],
)  # fmt: skip
def test_yes_no_sides_and_numbers_are_understood_in_other_languages(fact: str, said: str, value: object) -> None:
    assert TALK.hear(asked(fact), said)[0].heard.facts[fact] == value


@pytest.mark.parametrize(
    "ending",
    ["since I remounted my bindings after summer storage", "since I went over a rock on Sunday", "since the new boots"],
)
@pytest.mark.parametrize(
    ("told", "entry"), [("my heelside drags", "heel_drag"), ("the tail washes out", "tail_washes")]
)
def test_a_story_vetoes_no_clear_complaint_and_its_change_is_heard(ending: str, told: str, entry: str) -> None:
    for line in (f"{told} {ending}", f"{ending} {told}"):
        state, _ = talk(line)
        assert state.heard.complaints[:1] == (entry,) or entry in state.candidates


def test_a_vague_line_is_asked_one_good_question() -> None:
    state, _ = talk("the board feels weird")
    assert state.case is None
    assert state.answer is None


@pytest.mark.parametrize(
    ("line", "facts"),
    [
        ("my back knee hurts, 15 front 0 back", {"mount.front.angle_deg": 15, "mount.back.angle_deg": 0}),
        ("the highback digs in, lean 15 front 5 back", {"mount.front.lean_deg": 15, "mount.back.lean_deg": 5}),
        ("it was minus 12 outside and my toes go numb", {}),
        ("my mate rides 27/9, I'm on 15/0, it slides", {"mount.front.angle_deg": 15, "mount.back.angle_deg": 0}),
    ],
)  # fmt: skip
def test_facts_have_an_owner_and_a_clause(line: str, facts: dict[str, object]) -> None:
    heard = talk(line)[0].heard.facts
    assert {key: value for key, value in heard.items() if "." in key} == facts


def test_a_number_without_a_place_is_said_to_have_none() -> None:
    state, _ = talk("my toes drag and the buckle is 23 mm long")
    assert state.heard.not_placed == ("23 mm",)
