"""An answer as a case of the log, and a case of the log as the complaint that was answered."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from math import isfinite
from typing import TYPE_CHECKING, Any

from advisor.cases.errors import StoreError
from advisor.cases.record import CaseRecord, new_id, now
from advisor.dialogue.case import Case
from advisor.dialogue.verdict import verdict_of
from advisor.dialogue.visit import LastVisit
from advisor.graph.nodes import Ask, Cause, suspect_name
from advisor.knowledge.trees import Trees, authors
from advisor.sheet.sheet import Sheet

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer
    from advisor.dialogue.walk import Line, Step, Walk
    from advisor.solve.choice import Change


def record_of(
    answer: Answer,
    alias: str,
    *,
    number: str = "",
    at: str = "",
    said: Sequence[str] = (),
    complaint: str = "",
    odds: Mapping[str, tuple[int, int]] | None = None,
    board: str = "",
    note: str = "",
    follows: str = "",
    revision: int = 1,
) -> CaseRecord:
    """Return an answer as a case: what it rests on, what was advised, and how the walk came to it.

    Parameters
    ----------
    answer
        Of any outcome; one that still needs something is kept as far as it came.
    alias
        What the shop calls the customer.
    number, at
        The case's number and moment; new ones where not given.
    said, complaint
        The lines of the conversation, and the one that named the complaint; the first where not given.
    odds
        What the log knew of the entry's suspects.
    board, note, follows, revision
        As in the record; the board's name is made from the sheet where not given.

    """
    from advisor.graph.version import knowledge_version

    case = answer.case
    return CaseRecord(
        id=number or new_id(),
        alias=alias,
        at=at or now(),
        entry=case.entry,
        complaint=complaint or (said[0] if said else ""),
        board=board or board_of(case.sheet),
        sheet=case.sheet.to_dict(),
        sheet_after=answer.choice.sheet_after.to_dict() if answer.choice else None,
        said=tuple(said),
        answers=dict(case.answers),
        unsure=tuple(sorted(case.unsure)),
        ruled_out=tuple(sorted(case.ruled_out)),
        keep=tuple({"key": aim.key, "low": aim.low, "high": aim.high} for aim in case.keep),
        odds=dict(odds or {}),
        outcome=answer.outcome,
        cause=answer.cause.id if answer.cause else "",
        suspect=answer.line.suspect.name if answer.line and answer.outcome != "needs" else "",
        trail=tuple(_trail(answer.walk)),
        advice=_advice(answer),
        knowledge=knowledge_version(case.trees),
        follows=follows,
        note=note,
        revision=revision,
    )


def board_of(sheet: Sheet) -> str:
    """Return a plain name for a board: its length and waist; empty where neither is known."""
    named = (("board.length_cm", "cm"), ("board.waist_width_mm", "mm waist"))
    return ", ".join(
        f"{sheet.value(path):g} {unit}" for path, unit in named if isinstance(sheet.value(path), int | float)
    )


def _advice(answer: Answer) -> dict[str, Any]:
    from advisor.explain.account import cost_text, mount_words, shortfall_words, what_to_do
    from advisor.explain.filling import fill

    known, best = answer.case.known, answer.choice

    def filled(words: str) -> str:
        return fill(words, known, answer.feet) if words else ""

    made: dict[str, Any] = {
        "title": answer.cause.title if answer.cause else answer.walk.entry.title,
        "complaint": answer.walk.entry.title,
        "verdict": verdict_of(answer),
        "because": filled(answer.cause.because) if answer.cause else "",
        "says": filled(answer.says),
        "feel": filled(answer.feel),
        "feet": list(answer.feet),
        "cautions": list(answer.cautions),
        "aims": [{"key": aim.key, "low": aim.low, "high": aim.high} for aim in answer.aims],
    }
    if best:
        words = what_to_do(best)
        made["changes"] = [_change(change, told) for change, told in zip(best.changes, words, strict=True)]
        made["spoils"] = [spoil.key for spoil in best.spoils]
    if best and not answer.mount:
        made["minutes"] = best.minutes
        made["costs"] = cost_text(best)
    if answer.likely:
        # What the shop's returns will tell of its riders' thresholds: how far out it was, and is after the step.
        nominal = answer.likely.nominal
        made["felt"] = {"before": nominal[0], "after": nominal[1], "chance": round(answer.likely.chance, 3)}
    if answer.mount:
        made["steps"] = list(mount_words(answer.mount))
    if answer.outcome == "needs":
        question = answer.walk.question
        made["open"] = question.fact.question if question else ""
    if answer.missed:
        made["near"] = shortfall_words(answer.missed)
    if answer.referral:
        made["refer"] = {
            "id": answer.referral.id,
            "to": answer.referral.to,
            "says": filled(answer.referral.says),
            "shortfall": shortfall_words(answer.search.shortfall) if answer.search and answer.search.shortfall else "",
        }
    return {key: value for key, value in made.items() if value not in ("", [], None)}


def _change(change: Change, words: str) -> dict[str, Any]:
    return {
        "id": change.adjustment,
        "foot": change.foot,
        "path": change.path,
        "from": change.before,
        "to": change.after,
        "by": change.by,
        "unit": change.unit,
        "words": words,
        "also": [list(one) for one in change.also],
        "needs": list(change.needs),
    }


def _trail(walk: Walk) -> list[dict[str, Any]]:
    return [_line(line) for line in walk.lines]


def _line(line: Line) -> dict[str, Any]:
    return {
        "suspect": line.suspect.name,
        "words": line.suspect.words,
        "odds": round(line.suspect.odds, 4),
        "status": line.status,
        "steps": [_step(step) for step in line.steps],
    }


def _step(step: Step) -> dict[str, Any]:
    node = step.node
    told: dict[str, Any] = {"node": node.id, "sure": step.sure}
    if isinstance(node, Cause):
        return told | {"cause": node.cause}
    if isinstance(node, Ask):
        return told | {"fact": node.fact, "answer": step.answer}
    values = {one.place.side or "board": _number(one.value) for one in step.measured}
    told |= {"measure": node.measure, "values": values, "source": node.source}
    if step.span:
        told |= {"from": _number(step.span.low), "below": _number(step.span.high)}
    return told


def _number(value: float) -> float | None:
    return round(value, 4) if isfinite(value) else None


# ---------------------------------------------------------------------- back again


def sheet_of(document: Mapping[str, Any] | None, name: str = "the case's sheet") -> Sheet:
    """Return the setup sheet of a case.

    Raises
    ------
    SheetError
        With every fault; an imported case may hold anything.

    """
    from advisor.sheet.reading import parse_sheet

    if not document:
        return Sheet("", {})
    return Sheet("", parse_sheet(json.dumps(document).encode(), name).leaves)


def case_of(record: CaseRecord, trees: Trees | None = None) -> Case:
    """Return the complaint of a case with everything that its answer rests on.

    Raises
    ------
    AdvisorError
        When the case's sheet or its aims can't be used.

    """
    return Case(
        record.entry,
        sheet_of(record.sheet, f"case {record.id}: sheet"),
        dict(record.answers),
        frozenset(record.unsure),
        frozenset(map(suspect_name, record.ruled_out)),
        aims_of(record.keep, record.id),
        trees or authors(),
    )


def aims_of(raw: Any, number: str) -> tuple[Any, ...]:
    """Return the aims that a case holds as data."""
    from advisor.solve.aims import Aim

    found = []
    for one in raw or ():
        low, high = (one.get("low"), one.get("high")) if isinstance(one, Mapping) else (None, None)
        numbers = all(end is None or isinstance(end, int | float) for end in (low, high))
        if not isinstance(one, Mapping) or not numbers or not isinstance(one.get("key"), str):
            raise StoreError(f"case {number}: an aim is not of the form key, low, high; was it changed by hand?")
        found.append(Aim(one["key"], low, high))
    return tuple(found)


def visit_of(record: CaseRecord, title: str, now_sheet: Sheet | None = None, trees: Trees | None = None) -> LastVisit:
    """Return a case as the last visit of a customer who is back.

    Parameters
    ----------
    record
        The customer's last case.
    title
        The entry's title.
    now_sheet
        The sheet as it is, where the tech brings one.

    """
    advice = record.advice
    changes = [one for one in advice.get("changes", ()) if isinstance(one, Mapping)]
    done = record.done
    advised = sheet_of(record.sheet_after, f"case {record.id}: sheet after") if record.sheet_after else None
    if done and done.sheet:
        now_sheet = now_sheet or sheet_of(done.sheet, f"case {record.id}: sheet as done")
    return LastVisit(
        number=record.id,
        date=record.at[:10],
        case=case_of(record, trees),
        title=title,
        suspect=suspect_name(record.suspect),
        changes=tuple(str(one.get("words", "")) for one in changes),
        advised=advised,
        aims=aims_of(advice.get("aims"), record.id),
        spoiled=bool(advice.get("spoils")),
        did=done.what if done else "",
        how=record.result.how if record.result else "",
        now=now_sheet,
    )
