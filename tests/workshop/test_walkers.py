"""Random walks can be had again by their seed, come to every node, and end."""

from __future__ import annotations

from random import Random

import pytest

from advisor.graph.knowledge import load_knowledge
from advisor.workshop.random_riders import random_sheet, wander
from advisor.workshop.random_walks import can_come_to, never_seen, walk_at_random

ENTRIES = load_knowledge().entry_ids


@pytest.mark.parametrize("name", ENTRIES)
def test_random_walks_come_to_every_node(name: str) -> None:
    knowledge = load_knowledge()
    entry = knowledge.entry(name)
    walked = walk_at_random(entry, knowledge.facts, 400, Random(f"1 {name}"))
    assert never_seen(entry, walked.visits) == ()


@pytest.mark.parametrize("name", ENTRIES)
def test_a_made_up_rider_always_gets_an_answer(name: str) -> None:
    knowledge = load_knowledge()
    walked = wander(knowledge, name, 3, Random(f"2 {name}"))
    assert (walked.endless, dict(walked.failed), len(walked.questions)) == (0, {}, 3)
    assert sum(walked.outcomes[outcome] for outcome in ("advice", "refer")) == 3


def test_the_same_seed_gives_the_same_walks() -> None:
    knowledge = load_knowledge()
    entry = knowledge.entry("heel_washout")
    first, again = (walk_at_random(entry, knowledge.facts, 50, Random(7)) for _ in range(2))
    assert first == again
    assert walk_at_random(entry, knowledge.facts, 50, Random(8)) != first
    assert random_sheet(Random(3)).to_dict() == random_sheet(Random(3)).to_dict()


def test_nodes_never_seen_are_listed_in_the_order_of_the_file() -> None:
    entry = load_knowledge().entry("boot_off_centre")
    assert never_seen(entry, ()) == tuple(entry.nodes)


def test_what_is_said_when_nothing_is_left_counts_only_where_something_can_be_left() -> None:
    entry = load_knowledge().entry("ask_which_foot_forward")
    assert set(entry.nodes) - set(can_come_to(entry)) == {entry.nothing_left}
