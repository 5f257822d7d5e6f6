"""What each trainee knows: spaced repetition by fault and by skill (FSRS), kept in a small file beside the case log."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from advisor.errors import AdvisorError
from advisor.workshop.training.planted_faults import load_faults
from advisor.workshop.training.tables import training_table

if TYPE_CHECKING:
    from fsrs import Card

_SCHEMA = """
create table if not exists cards (
  trainee text not null, card text not null, kind text not null, content text not null,
  primary key (trainee, card)
);
create table if not exists marks (
  id integer primary key, trainee text not null, day text not null, fault text not null, skill text not null,
  complaint text not null, mark real not null, minutes real not null, right_cause integer not null,
  right_remedy integer not null
);
"""


@dataclass(frozen=True)
class SkillState:
    """How a trainee stands in one skill.

    Parameters
    ----------
    skill, drills
        Which, and how many cases.
    mark
        Mean of the last five marks, out of 100.
    cause, remedy
        Shares of right causes and right remedies.
    recall
        How likely it is still known now, 0 to 1, as FSRS estimates it.
    due
        When it is due again.

    """

    skill: str
    drills: int
    mark: float
    cause: float
    remedy: float
    recall: float
    due: str


class Memory:
    """The kept progress.

    Parameters
    ----------
    file
        The file; its folder is made where it is missing.

    """

    def __init__(self, file: Path) -> None:
        self.file = file

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        try:
            self.file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            os.close(os.open(self.file, os.O_RDWR | os.O_CREAT, 0o600))
            with closing(sqlite3.connect(self.file, timeout=10)) as connection, connection:
                connection.execute("pragma secure_delete = on")
                connection.executescript(_SCHEMA)
                yield connection
        except (OSError, sqlite3.Error) as error:
            raise AdvisorError(
                f"{self.file}: the trainees' progress can't be kept there ({error}); "
                "set ADVISOR_DATA to a folder of yours"
            ) from None

    def next_fault(self, trainee: str, random: Random, skill: str = "", now: datetime | None = None) -> str:
        """Return the fault to drill next: the one longest due, else one not seen yet, else the one due soonest."""
        from fsrs import Card

        now = now or datetime.now(UTC)
        with self._open() as kept:
            rows = kept.execute("select card, content from cards where trainee = ? and kind = 'fault'", (trainee,))
            cards = {name: Card.from_json(content) for name, content in rows}
        faults = [fault.id for fault in load_faults().values() if not skill or fault.skill == skill]
        if not faults:
            skills = ", ".join(sorted({fault.skill for fault in load_faults().values()}))
            raise AdvisorError(f"--skill {skill}: no such skill; there are {skills}")
        due = sorted((cards[name].due, name) for name in faults if name in cards)
        if due and due[0][0] <= now:
            return due[0][1]
        fresh = [name for name in faults if name not in cards]
        return random.choice(fresh) if fresh else due[0][1]

    def keep(
        self, trainee: str, fault: str, complaint: str, mark: float, minutes: float, right: tuple[bool, bool],
        now: datetime | None = None,
    ) -> datetime:  # fmt: skip
        """Keep a mark, and move the cards of its fault and its skill on; return when the fault is due again."""
        from fsrs import Card, Rating, Scheduler

        now = now or datetime.now(UTC)
        levels = training_table("drills")["ratings"]
        rating = (
            Rating.Easy if mark >= levels["easy"] else Rating.Good if mark >= levels["good"]
            else Rating.Hard if mark >= levels["hard"] else Rating.Again
        )  # fmt: skip
        skill = load_faults()[fault].skill
        scheduler = Scheduler(enable_fuzzing=False)
        due = now
        with self._open() as kept:
            for kind, name in (("skill", f"skill {skill}"), ("fault", fault)):
                row = kept.execute(
                    "select content from cards where trainee = ? and card = ?", (trainee, name)
                ).fetchone()
                card: Card = Card.from_json(row[0]) if row else Card()
                card, _ = scheduler.review_card(card, rating, now)
                due = card.due
                kept.execute("insert or replace into cards values (?, ?, ?, ?)", (trainee, name, kind, card.to_json()))
            kept.execute(
                "insert into marks (trainee, day, fault, skill, complaint, mark, minutes, right_cause, right_remedy)"
                " values (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (trainee, now.isoformat(timespec="seconds"), fault, skill, complaint, mark, minutes, *map(int, right)),
            )
        return due

    def trainees(self) -> tuple[str, ...]:
        """Return everybody with a mark."""
        with self._open() as kept:
            return tuple(name for (name,) in kept.execute("select distinct trainee from marks order by trainee"))

    def forget(self, trainee: str) -> int:
        """Delete a trainee for good, overwriting what that frees; return how many marks there were."""
        with self._open() as kept:
            kept.execute("delete from cards where trainee = ?", (trainee,))
            return kept.execute("delete from marks where trainee = ?", (trainee,)).rowcount

    def overview(self, trainee: str, now: datetime | None = None) -> list[SkillState]:
        """Return how a trainee stands, the weakest skill first; skills never drilled come with no drills."""
        from fsrs import Card, Scheduler

        now = now or datetime.now(UTC)
        scheduler = Scheduler(enable_fuzzing=False)
        found = []
        with self._open() as kept:
            for skill in sorted({fault.skill for fault in load_faults().values()}):
                marks = kept.execute(
                    "select mark, right_cause, right_remedy from marks where trainee = ? and skill = ? order by id",
                    (trainee, skill),
                ).fetchall()
                row = kept.execute(
                    "select content from cards where trainee = ? and card = ?", (trainee, f"skill {skill}")
                ).fetchone()
                last = [one for one, _, _ in marks[-5:]]
                card = Card.from_json(row[0]) if row else None
                found.append(
                    SkillState(
                        skill, len(marks), sum(last) / len(last) if last else 0.0,
                        sum(cause for _, cause, _ in marks) / len(marks) if marks else 0.0,
                        sum(remedy for _, _, remedy in marks) / len(marks) if marks else 0.0,
                        float(scheduler.get_card_retrievability(card, now)) if card else 0.0,
                        json.loads(row[0])["due"][:10] if row else "",
                    )
                )  # fmt: skip
        return sorted(found, key=lambda one: (one.drills == 0, one.mark * max(one.recall, 0.01)))
