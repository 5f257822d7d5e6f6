"""A case ends the same in whatever order, how often and by however many writers its events arrive."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from advisor.cases.errors import StoreError
from advisor.cases.journal import Event, changes, event_from, folded, whole
from advisor.cases.record import CaseRecord, Done, Result, from_dict
from advisor.cases.store import Store
from tests.cases.making import case

WRITERS = ("till", "bench", "laptop")


def history(draw: random.Random, number: str) -> list[Event]:
    """Return what three writers did to one case, each seeing only part of what the others had done."""
    made: list[Event] = []
    seen: dict[str, list[Event]] = {name: [] for name in WRITERS}
    begun = case(id=number)
    first = Event(number, draw.choice(WRITERS), 1, 1, changes(None, begun))
    made.append(first)
    for name in WRITERS:
        seen[name].append(first)
    numbers = {name: 2 if name == first.writer else 1 for name in WRITERS}
    for step in range(draw.randint(1, 9)):
        name = draw.choice(WRITERS)
        seen[name] += draw.sample(made, draw.randint(0, len(made)))
        own = [event for event in made if event.writer == name and event is not first]
        if own and draw.random() < 0.2:
            event = Event(number, name, numbers[name], _after(seen[name]), {}, (draw.choice(own).name,))
        else:
            event = Event(number, name, numbers[name], _after(seen[name]), _some_change(draw, step))
        numbers[name] += 1
        made.append(event)
        seen[name].append(event)
    return made


def _after(seen: list[Event]) -> int:
    return 1 + max(event.stamp for event in seen)


def _some_change(draw: random.Random, step: int) -> dict[str, Any]:
    return draw.choice(
        (
            {"done": {"what": draw.choice(("as_advised", "other", "nothing")), "words": f"step {step}"}},
            {"result": {"how": draw.choice(("better", "same", "worse"))}},
            {"note": f"note {step}"},
            {"said": [f"line {step}"], "answers": {"snow": "hard"}},
            {"note": None},
        )
    )


def arrivals(draw: random.Random, events: list[Event]) -> Iterator[Event]:
    """Yield events in any order, some twice, some lost and sent again later."""
    waiting = list(events)
    while waiting:
        event = waiting.pop(draw.randrange(len(waiting)))
        if draw.random() < 0.2:
            waiting.append(event)
            continue
        yield event
        if draw.random() < 0.2:
            yield event


def expected(events: list[Event]) -> dict[str, Any]:
    """Return the fields by the plainest reading: go through the events in their order and set what each sets."""

    def counts(event: Event) -> bool:
        return not any(counts(other) for other in events if (event.writer, event.number) in other.takes_back)

    fields: dict[str, Any] = {}
    for event in sorted(events, key=lambda one: (one.stamp, one.writer, one.number)):
        if counts(event):
            fields.update(event.sets)
    return {name: value for name, value in fields.items() if value is not None}


def without_revision(record: CaseRecord | None) -> dict[str, Any]:
    assert record is not None
    return {name: value for name, value in record.to_dict().items() if name not in {"schema", "id", "revision"}}


def check(seed: int) -> None:
    draw = random.Random(f"journal {seed}")
    events = history(draw, "CASE1")
    one = folded("CASE1", arrivals(draw, events))
    other = folded("CASE1", arrivals(draw, events))
    assert one == other
    plain = from_dict({"schema": 1, "id": "CASE1", **expected(events)})
    assert without_revision(one) == without_revision(plain)
    assert one is not None and one.revision >= max(event.stamp for event in events)


def test_any_order_any_duplicate_and_any_loss_and_resend_end_the_same() -> None:
    for seed in range(2_000):
        check(seed)


@pytest.mark.slow
def test_a_hundred_thousand_histories_of_three_writers_end_the_same() -> None:
    for seed in range(100_000):
        check(seed)


@pytest.mark.parametrize("seed", range(12))
def test_the_log_ends_the_same_in_whatever_batches_the_events_arrive(url: str, seed: int) -> None:
    draw = random.Random(f"batches {seed}")
    histories = {number: history(draw, number) for number in ("CASE1", "CASE2")}
    # Each case has its own writers: the log knows an event by its writer and number alone.
    events = [
        replace(
            event,
            writer=f"{number} {event.writer}",
            takes_back=tuple((f"{number} {writer}", n) for writer, n in event.takes_back),
        )
        for number, made in histories.items()
        for event in made
    ]
    coming = list(arrivals(draw, events))
    with Store(url) as store:
        while coming:
            cut = draw.randint(1, 4)
            assert store.append(coming[:cut]) == 0
            coming = coming[cut:]
        for number in histories:
            assert store.get(number) == folded(number, [event for event in events if event.case == number])


def test_two_windows_on_one_case_lose_nothing_of_each_other(url: str) -> None:
    begun = case(id="W1ND0WS1")
    with Store(url) as store:
        store.append([Event(begun.id, "a", 1, 1, changes(None, begun))])
        store.set_done(begun.id, Done("other", "B moved the front disc instead"))
        store.set_result(begun.id, Result("worse", "knee pain now"))
        told = replace(begun, said=(*begun.said, "it is on ice only"))
        store.append([Event(begun.id, "a", 2, 2, changes(begun, told))])
        held = store.get(begun.id)
    assert held.said == told.said
    assert held.done and held.done.words == "B moved the front disc instead"
    assert held.result and held.result.how == "worse"


def test_what_is_taken_back_counts_no_longer_and_a_case_taken_back_whole_is_gone(url: str) -> None:
    begun = case(id="BACK1")
    first = Event(begun.id, "a", 1, 1, changes(None, begun))
    done = Event(begun.id, "a", 2, 2, {"done": {"what": "as_advised"}})
    with Store(url) as store:
        store.append([first, done])
        assert store.get(begun.id).done
        store.append([Event(begun.id, "a", 3, 3, {}, (done.name,))])
        assert store.get(begun.id).done is None
        store.append([Event(begun.id, "a", 4, 4, {}, (first.name,))])
        assert store.last(begun.alias) is None and store.count() == 0


def test_a_late_writer_does_not_bring_a_deleted_customer_back(url: str) -> None:
    talking, away = case(id="TA1K1NG1"), case(id="AWAY1")
    with Store(url) as store:
        store.append([Event(talking.id, "a", 1, 1, changes(None, talking))])
        assert store.delete(talking.alias)[0] == 1
        assert store.append([Event(talking.id, "a", 2, 2, {"note": "one more line"})]) == 1
        # A till that was offline had begun a case for the same customer before the deletion.
        later = Event(away.id, "b", 2, 2, {"note": "later"})
        assert store.append([later, Event(away.id, "b", 1, 1, changes(None, away)), later]) == 2
        assert store.count() == 0 and store.last(talking.alias) is None
        with pytest.raises(StoreError, match="deleted for good"):
            store.save(talking)
        # The same customer may come again after it.
        anew = case(id="ANEW1")
        assert store.append([Event(anew.id, "b", 3, 1, changes(None, anew), (), store.deletions())]) == 0
        assert store.last(anew.alias) == anew


def test_a_case_from_before_the_journal_keeps_all_that_it_held(url: str) -> None:
    old = case(done=Done("as_advised"))
    with Store(url) as store:
        store.save(old)
        store.append([Event(old.id, "b", 1, 2, {"result": {"how": "better"}})])
        held = store.get(old.id)
    assert without_revision(replace(held, result=None)) == without_revision(old)
    assert held.result and held.result.how == "better" and held.revision == old.revision + 1


def test_a_revision_from_the_far_future_locks_nothing(url: str) -> None:
    far = case(revision=2**31 - 1)
    with Store(url) as store:
        store.save(far)
        store.set_done(far.id, Done("nothing"))
        held = store.get(far.id)
        assert held.done and from_dict(held.to_dict()) == held


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"number": -1}, "number: expected a whole number"), ({"stamp": 1e9}, "stamp: expected"),
        ({"writer": ""}, "expected a name"), ({"sets": {"nonsense": 1}}, "nonsense: a case has no such field"),
        ({"sets": []}, "an event"), ({"takes_back": [5]}, "no event"),
    ],
)  # fmt: skip
def test_a_broken_event_is_refused_in_words(change: dict[str, Any], words: str) -> None:
    good = whole(case()).to_dict()
    assert event_from(good).to_dict() == good
    with pytest.raises(StoreError, match=words):
        event_from(good | change)


def test_an_older_log_takes_events_after_its_migration(tmp_path: Path) -> None:
    from tests.cases.test_migrations import _old_log

    url = f"sqlite:///{tmp_path / 'cases.sqlite'}"
    made = _old_log(url, 3)
    with Store(url) as store:
        first = store.get(made[0].id)
        store.set_result(first.id, Result("worse"))
        assert store.get(first.id) == replace(first, result=store.get(first.id).result, revision=first.revision + 1)
