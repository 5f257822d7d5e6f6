"""Expected cost of repair: probability over cost against its worked examples, and bounds on real entries."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.graph.knowledge import load_knowledge
from advisor.workshop.question_cost import best_order, effort, expected_cost

# Kadane & Simon's rule (probability over cost) on three suspects; worked out by hand: with C, B, A it is
# 1 + 0.8 x 3 + 0.5 x 10 = 8.4.
ABC = {"A": (0.5, 10.0), "B": (0.3, 3.0), "C": (0.2, 1.0)}


@pytest.mark.parametrize(
    ("order", "cost"), [("CBA", 8.4), ("BCA", 8.7), ("CAB", 9.9), ("BAC", 10.2), ("ACB", 11.4), ("ABC", 11.7)]
)
def test_expected_cost_of_each_order_of_the_worked_example(order: str, cost: float) -> None:
    assert expected_cost([ABC[name] for name in order]) == pytest.approx(cost, abs=1e-12)


def test_probability_over_cost_beats_probability_first() -> None:
    likely, cheap = (0.6, 4.0), (0.4, 2.0)
    assert expected_cost([likely, cheap]) == pytest.approx(4.8)
    assert expected_cost([cheap, likely]) == pytest.approx(4.4)
    assert best_order([likely, cheap]) == [1, 0]


def test_best_order_of_the_worked_example() -> None:
    assert [list(ABC)[i] for i in best_order(list(ABC.values()))] == ["C", "B", "A"]


@given(st.lists(st.tuples(st.floats(0.01, 1), st.floats(0.1, 20)), min_size=1, max_size=5))
def test_no_order_is_cheaper_than_the_best_order(parts: list[tuple[float, float]]) -> None:
    total = sum(odds for odds, _ in parts)
    shares = [(odds / total, cost) for odds, cost in parts]
    best = expected_cost([shares[i] for i in best_order(shares)])
    assert best <= min(expected_cost(order) for order in permutations(shares)) + 1e-9


@pytest.mark.parametrize("name", load_knowledge().entry_ids)
def test_an_entry_never_needs_more_questions_than_it_has_facts(name: str) -> None:
    knowledge = load_knowledge()
    entry = knowledge.entry(name)
    found = effort(entry, knowledge.facts)
    facts = {node.fact for node in entry.nodes.values() if hasattr(node, "fact")}
    assert 0 <= found.expected <= found.worst <= len(facts)
    assert found.longest <= found.nodes
