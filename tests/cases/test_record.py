"""A case as JSON and back: nothing lost, and what is no case refused by the name of its field."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.cases.errors import StoreError
from advisor.cases.record import CaseRecord, Done, Result, from_dict, new_id
from tests.cases.making import case

_TEXT = st.text(st.characters(codec=None), max_size=20)  # any code point, halves of surrogate pairs too


@given(_TEXT.filter(bool), _TEXT, st.lists(_TEXT, max_size=3), st.dictionaries(_TEXT, _TEXT, max_size=3))
def test_a_case_comes_back_from_json_as_it_was(alias: str, note: str, said: list[str], answers: dict[str, str]) -> None:
    made = case(
        alias, note=note, said=tuple(said), answers=answers, done=Done("other", note), result=Result("worse", note)
    )
    made = replace(
        made, odds={"heel_contact": (9, 12)}, keep=({"key": "heel_margin_deg.back", "low": 5, "high": None},)
    )
    assert from_dict(json.loads(json.dumps(made.to_dict()))) == made


def test_what_is_empty_is_left_out_of_the_json() -> None:
    assert set(CaseRecord("A1", "x", "2026-01-10T08:00:00Z").to_dict()) == {"schema", "id", "alias", "at", "revision"}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("id", "no spaces"), ("id", 7), ("alias", ["x"]), ("alias", ""), ("at", "yesterday"), ("at", "2026-01-10"),
        ("said", "one line"), ("said", [1]), ("sheet", []), ("answers", "hard"), ("revision", 0), ("revision", True),
        ("done", {"what": "maybe"}), ("result", {"how": "fine"}), ("odds", {"x": [3, 2]}), ("odds", {"x": [1]}),
        ("trail", [1]), ("keep", {"key": 1}),
    ],
)  # fmt: skip
def test_a_field_of_the_wrong_kind_is_named(field: str, value: object) -> None:
    with pytest.raises(StoreError) as told:
        from_dict({**case().to_dict(), field: value})
    assert str(told.value).startswith(field)


def test_an_unknown_field_and_a_newer_schema_are_refused() -> None:
    with pytest.raises(StoreError, match="colour"):
        from_dict({**case().to_dict(), "colour": "red"})
    with pytest.raises(StoreError, match="newer"):
        from_dict({**case().to_dict(), "schema": 2})


def test_ten_thousand_numbers_are_all_different() -> None:
    assert len({new_id() for _ in range(10_000)}) == 10_000
