"""The log on both databases: what is saved is found, in order, by alias, complaint, board and date."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import event

from advisor.cases.errors import NoSuchCaseError, StoreError
from advisor.cases.keys import alias_key, search_key
from advisor.cases.record import CaseRecord, Done, Result, from_dict
from advisor.cases.store import Search, Store
from tests.cases.making import HOSTILE, case


def test_a_saved_case_is_found_by_number_by_its_beginning_and_by_alias(url: str) -> None:
    made = case()
    with Store(url) as store:
        store.save(made)
    with Store(url) as store:
        assert store.get(made.id) == made
        assert store.get(made.id[:6].lower()) == made
        assert store.last("  kim   7 ") == made
        assert store.last("Kim") is None
        with pytest.raises(NoSuchCaseError, match="advisor cases list"):
            store.get("ZZZZZZZZ")


def test_a_beginning_that_fits_several_numbers_is_not_guessed_at(url: str) -> None:
    with Store(url) as store:
        store.save_all([case(id="ABCD1"), case(id="ABCDZ9"), case(id="ABCD"), case(id="ABCE")])
        assert store.get("abcd").id == "ABCD"
        assert store.get("ABCDZ").id == "ABCDZ9"
        with pytest.raises(NoSuchCaseError, match="could be X0001, X0002"):
            store.save_all([case(id="X0001"), case(id="X0002")])
            store.get("X000")
        with pytest.raises(NoSuchCaseError, match="no case"):
            store.get("ABC")


def test_the_last_visit_is_the_latest_by_date_not_by_saving(url: str) -> None:
    first, second = case(number=1), case(number=2)
    with Store(url) as store:
        store.save(second)
        store.save(first)
        assert store.last("Kim 7") == second
        assert store.of("Kim 7") == [first, second]


def test_cases_are_found_by_alias_complaint_board_and_date(url: str) -> None:
    kim, kit = case("Kim 7", 1), case("Kit", 2, entry="toe_drag", complaint="My TOES touch", board="Own 162")
    lee = case("Lee", 700, complaint="100% loose_binding")
    with Store(url) as store:
        store.save_all([kim, kit, lee])

        def found(**what: str) -> list[CaseRecord]:
            return store.find(Search(**what))

        assert found() == [lee, kit, kim]
        assert found(alias="ki") == [kit, kim]
        assert found(complaint="toe_drag") == [kit]
        assert found(complaint="toes touch") == [kit]
        assert found(complaint="100%") == [lee]
        assert found(complaint="0% l_ose") == []
        assert found(board="158 BLUE") == [lee, kim]
        assert found(since="2026-01-11T00:00:00+00:00") == [lee]
        assert found(until="2026-01-11T00:00:00+00:00") == [kit, kim]
        assert found(alias="k", complaint="heel", board="hire") == [kim]
        assert store.find(Search(most=1)) == [lee]


def test_a_later_revision_is_never_overwritten_by_an_earlier(url: str) -> None:
    made = case()
    later = made.with_result(Result("better"))
    with Store(url) as store:
        store.save(later)
        store.save(made)
        assert store.get(made.id) == later
        assert store.count() == 1


def test_a_number_that_another_customer_has_is_refused(url: str) -> None:
    made = case("Kim 7")
    with Store(url) as store:
        store.save(made)
        with pytest.raises(StoreError, match="another customer"):
            store.save(replace(made, alias="Lee"))
        assert store.get(made.id) == made


def test_all_or_none_are_saved(url: str) -> None:
    made = case("Kim 7")
    with Store(url) as store:
        store.save(made)
        with pytest.raises(StoreError):
            store.save_all([case("Lee"), replace(made, alias="Lee"), case("Lee")])
        assert store.count() == 1


def test_what_was_done_and_how_it_went_are_counted_by_cause(url: str) -> None:
    done, other = Done("as_advised"), Done("other")
    with Store(url) as store:
        for n in range(9):
            store.save(case("A", n, done=done, result=Result("better")))
        for how in ("same", "worse", "same"):
            store.save(case("B", 20, done=done, result=Result(how)))
        store.save(case("C", 21, done=other, result=Result("better")))
        store.save(case("C", 22, done=done))
        store.save(case("D", 23, suspect="edge", done=done, result=Result("better_new")))
        # The definition counted by hand: 9 better of 12 that were done as advised and came back.
        assert store.tallies() == {"heel_washout": {"heel_contact": (9, 12), "edge": (1, 1)}}


def test_what_was_done_can_be_told_later(url: str) -> None:
    made = case()
    with Store(url) as store:
        store.save(made)
        store.set_done(made.id, Done("as_advised", "by hand"))
        told = store.set_result(made.id, Result("worse", "after lunch"))
        assert store.get(made.id) == told
        assert (told.done, told.result, told.revision) == (
            Done("as_advised", "by hand"),
            Result("worse", "after lunch"),
            3,
        )
        with pytest.raises(NoSuchCaseError):
            store.set_done("ZZZZ", Done("other"))


def test_an_export_imported_elsewhere_is_the_same_log(url: str, tmp_path: object) -> None:
    made = [case(f"A{n}", n, note=text[:2000]) for n, text in enumerate(HOSTILE.values())]
    with Store(url) as store, Store(f"sqlite:///{tmp_path}/other.sqlite") as other:
        store.save_all(made)
        lines = list(store.lines())
        assert other.save_all(from_dict(json.loads(line)) for line in lines) == len(made)
        assert list(other.lines()) == lines
        assert [other.get(one.id) for one in made] == made
        # Saving an export twice changes nothing.
        other.save_all(from_dict(json.loads(line)) for line in lines)
        assert list(other.lines()) == lines


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_in_every_field_is_stored_as_given_and_found(url: str, name: str) -> None:
    text = HOSTILE[name]
    made = case(
        text, entry=text, complaint=text, board=text, said=(text,), answers={text: text}, unsure=(text,), outcome=text,
        cause=text, suspect=text, advice={text: text}, knowledge=text, note=text, sheet={text: text},
        done=Done("other", text), result=Result("worse", text),
    )  # fmt: skip
    with Store(url) as store:
        store.save(case("Lee"))
        store.save(made)
        assert store.get(made.id) == made
        assert store.last(text) == made
        assert made in store.find(Search(complaint=text[:40]))
        assert store.count() == 2
        line = list(store.lines())[1]
        # Harmless wherever it is shown: one line of plain ASCII that no terminal and no spreadsheet acts on.
        assert line.isascii() and line.isprintable() and line.startswith("{")
        assert store.delete(text)[0] == 1
        assert store.count() == 1


@given(st.text(max_size=60))
def test_spaces_capitals_and_unseen_signs_make_no_other_customer(alias: str) -> None:
    key = alias_key(alias)
    assert key
    if search_key(alias):
        assert alias_key(f" \u200b{alias}\t\u202e ") == key


def test_words_are_looked_for_without_reading_any_cases_body(tmp_path: Path) -> None:
    """By SQLite's own plan: an index that has all that is asked for, and bodies by their number alone."""
    plans: list[str] = []
    with Store(f"sqlite:///{tmp_path / 'cases.sqlite'}") as store:
        store.save_all([case(number=1), case(number=2)])

        @event.listens_for(store._engine, "before_cursor_execute")
        def _plan(connection: object, cursor: Any, asked: str, given: Any, *_: object) -> None:
            if asked.startswith("SELECT"):
                cursor.execute(f"EXPLAIN QUERY PLAN {asked}", given)
                plans.extend(row[3] for row in cursor.fetchall())

        store.find(Search(complaint="no such words", board="blue", since="2026-01-01T00:00:00Z", most=5))
    assert any("COVERING INDEX" in step for step in plans), plans
    assert not any(step.startswith("SCAN cases") and "COVERING" not in step for step in plans), plans
