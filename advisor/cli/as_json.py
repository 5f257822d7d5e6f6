"""Measures, answers and questions as the JSON that scripts rely on."""

from __future__ import annotations

import json
from collections.abc import Mapping
from math import isfinite
from typing import TYPE_CHECKING, Any

from advisor.dialogue.verdict import verdict_of
from advisor.geometry.measuring import Measured, Measurements
from advisor.knowledge.tables import load_table
from advisor.sheet.sheet import SCHEMA

if TYPE_CHECKING:
    from advisor.dialogue.answer import Answer
    from advisor.dialogue.walk import Question, Walk
    from advisor.graph.nodes import Fact
    from advisor.solve.chance.ladder import Rung
    from advisor.solve.chance.likely import Likely
    from advisor.solve.choice import Change, Choice
    from advisor.solve.out_of_window import OutOfWindow
    from advisor.solve.whole_mount import WholeMount


def dumps(content: Mapping[str, Any]) -> str:
    """Return one JSON object as text, one line for each of its fields and for each entry of a field that is an object.

    Written so because the encoder's own indentation is many times slower than its compact form.
    """
    fields = []
    for name, value in content.items():
        told = _compact(value)
        if isinstance(value, dict) and value:
            told = (
                "{\n  " + ",\n  ".join(f"{_compact(key)}: {_compact(inner)}" for key, inner in value.items()) + "\n }"
            )
        fields.append(f"{_compact(name)}: {told}")
    return "{\n " + ",\n ".join(fields) + "\n}"


def _compact(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _number(value: float) -> float | None:
    return round(value, 6) if isfinite(value) else None


def _measured(one: Measured, sources: Mapping[str, Any]) -> dict[str, Any]:
    made: dict[str, Any] = {
        "value": _number(one.value),
        "unit": one.measure.unit,
        "plus_minus": _number(one.plus_minus),
        "formula": one.formula,
        "source": sources[one.measure.source]["words"],
        "inputs": [
            {
                "field": r.sheet_path,
                "number": path,
                "value": _number(float(r.value)),
                "from": r.origin,
                "plus_minus": _number(r.plus_minus),
                **({"note": r.note} if r.note else {}),
            }
            for path, r in one.inputs_by_path
        ],
    }
    if one.window:
        made["window"] = [_number(end) for end in one.window]
    if one.needs:
        made["needs"] = list(one.needs)
    return made


def measures_json(measurements: Measurements) -> dict[str, Any]:
    """Return every measure: `{id: {...}}`, `{id: {front: {...}, back: {...}}}`.

    A measure taken at each edge has the tighter edge's numbers at the foot's level, and both edges below it.
    """
    sources = load_table("sources.yaml")
    made: dict[str, Any] = {}
    for one in measurements.values():
        name, side, edge = one.measure.id, one.place.side, one.place.edge
        told = _measured(one, sources)
        if side is None:
            made[name] = told
        elif edge is None:
            made.setdefault(name, {})[side] = told
        else:
            foot = made.setdefault(name, {}).setdefault(side, {})
            foot[edge] = told
            tightest = foot.get("value")
            if "value" not in foot or (told["value"] is not None and (tightest is None or told["value"] < tightest)):
                foot.update(told)
    return made


def answer_json(answer: Answer) -> dict[str, Any]:
    """Return one whole walk."""
    best = answer.choice
    before = _values(best.before) if best else {}
    after = _values(best.after) if best else {}
    return {
        "schema": SCHEMA,
        "entry": answer.walk.entry.id,
        "outcome": answer.outcome,
        "verdict": verdict_of(answer),
        "needs": [question_json(q) for q in answer.walk.questions] if answer.outcome == "needs" else [],
        "cause": answer.cause.id if answer.cause else None,
        "because": _because(answer),
        "adjustments": _adjustments(answer, best),
        "today": _adjustments(answer, best),
        "goal": _adjustments(answer, answer.goal),
        **_chances(answer),
        "refer": _referral(answer),
        "sheet_after": (best.sheet_after if best else answer.case.sheet).to_dict(),
        "before": before,
        "after": after,
        "aims": [{"measure": aim.key, "low": aim.low, "high": aim.high} for aim in answer.aims],
        "spoils": [
            {"measure": s.key, "before": _number(s.before), "after": _number(s.after), "good": s.good}
            for s in (best.spoils if best else ())
        ],
        "runners_up": [_runner_up(choice) for choice in (answer.search.runners_up if answer.search else ())],
        **({"bench_order": _bench_order(answer.mount)} if answer.mount else {}),
        "look": question_of(answer.walk.doubted) if answer.walk.doubted else None,
        "if_so": [change.words for change in (answer.if_so.changes if answer.if_so else ())],
        "measure": list(answer.lacking),
        "out_of_window": [_outside(one) for one in answer.out_of_window],
        "trail": _trail(answer.walk),
        "cautions": list(answer.cautions),
        "doubts": [
            {"id": one.id, "fields": list(one.fields), "says": one.says, "supposed": dict(one.supposed)}
            for one in answer.doubts
        ],
    }


def _adjustments(answer: Answer, choice: Choice | None) -> list[dict[str, Any]]:
    return [
        {**_change(change), **({"reason": answer.mount.step_of(change).says} if answer.mount else {})}
        for change in (choice.changes if choice else ())
    ]


def _outside(one: OutOfWindow) -> dict[str, Any]:
    """Return a number outside its window: `sure` where it is so wherever in its ± it lies."""
    name, place = one.measured.measure.id, one.measured.place
    return {
        "measure": one.key if name.startswith("foot.") else name,
        "foot": place.side,
        "value": _number(one.measured.value),
        "unit": one.measured.measure.unit,
        "plus_minus": _number(one.measured.plus_minus),
        "good": [_number(one.window.good.low), _number(one.window.good.high)],
        "state": one.state,
        "sure": one.sure,
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        "id": change.adjustment,
        "foot": change.foot,
        "field": change.path,
        "from": None if change.before == "" else change.before,
        "to": change.after,
        "by": change.by,
        "unit": change.unit,
        "words": change.words,
    }


def _chances(answer: Answer) -> dict[str, Any]:
    """Return the chance that today's step ends the complaint, the ladder, and how sure that is, where it is known."""
    found = answer.likely
    if found is None:
        return {}
    share, (low, high) = answer.cause_share, found.bounds
    return {
        "chance": {
            name: round(share * part, 3) for name, part in (("cured", found.chance), ("low", low), ("high", high))
        },
        "ladder": [_rung(found, rung, share) for rung in found.ladder],
        "sure": {
            "cause": round(share, 3),
            "direction": round(found.direction, 3),
            "size": {path: [_number(end) for end in ends] for path, ends in found.sizes.items()},
        },
    }


def _rung(found: Likely, rung: Rung, share: float) -> dict[str, Any]:
    from advisor.solve.choice import changes_of

    hunt = found.model.hunt
    chosen = [(hunt.levers[lever], hunt.levers[lever].options[option]) for lever, option in rung.way]
    return {
        "adjustments": [_change(change) for change in changes_of(chosen, found.model.known)],
        "chance": round(share * rung.chance, 3),
        "minutes": rung.minutes,
        "strain": round(rung.strain, 3),
        "spoils": list(rung.spoiled),
        "today": rung is found.today,
    }


def _bench_order(mount: WholeMount) -> list[dict[str, Any]]:
    """Return every step of a whole mount: what it sets, what it goes by, and what else there was."""
    return [
        {
            "step": step.id,
            "foot": step.foot,
            "settings": dict(step.settings),
            "says": step.says,
            "mind": step.mind,
            "decided": step.decided,
            "judged": [
                {"measure": one.key, "value": _number(one.value), "good": one.good, "state": one.state}
                for one in step.judged
            ],
            "runners_up": [{"settings": dict(one.settings), "reason": one.reason} for one in step.runners_up],
        }
        for step in mount.setup.steps
    ]


def _because(answer: Answer) -> str | None:
    from advisor.explain.filling import fill

    return fill(answer.cause.because, answer.case.known, answer.feet) if answer.cause else None


def _referral(answer: Answer) -> dict[str, Any] | None:
    if answer.referral is None:
        return None
    from advisor.explain.account import shortfall_words
    from advisor.explain.filling import fill

    told = {
        "id": answer.referral.id,
        "to": answer.referral.to,
        "says": fill(answer.referral.says, answer.case.known, answer.feet),
    }
    if answer.search and answer.search.shortfall:
        told["shortfall"] = shortfall_words(answer.search.shortfall)
    return told


def _runner_up(choice: Choice) -> dict[str, Any]:
    return {"adjustments": [change.words for change in choice.changes], "reason": choice.reason}


def _values(measurements: Measurements) -> dict[str, Any]:
    made: dict[str, Any] = {}
    for one in measurements.values():
        told = {"value": _number(one.value), "unit": one.measure.unit}
        place = [part for part in (one.place.side, one.place.edge) if part]
        level = made.setdefault(one.measure.id, {})
        for part in place:
            level = level.setdefault(part, {})
        level.update(told)
    return made


def question_json(question: Question) -> dict[str, Any]:
    """Return one question: what is asked, its options or unit, how to find out, and why."""
    return {**question_of(question.fact), "why": question.node.says}


def question_of(fact: Fact) -> dict[str, Any]:
    """Return a fact as a question: what is asked, its options or unit, and how to find out."""
    return {
        "key": fact.id,
        "question": fact.question,
        "kind": fact.kind,
        "unit": fact.unit,
        "options": fact.options,
        "how": fact.how,
    }


def _trail(walk: Walk) -> list[dict[str, Any]]:
    from advisor.graph.nodes import Ask, Cause

    made: list[dict[str, Any]] = []
    for line in walk.lines:
        for step in line.steps:
            node = step.node
            told: dict[str, Any] = {"suspect": line.suspect.name, "node": node.id, "sure": step.sure}
            if isinstance(node, Cause):
                told["cause"] = node.cause
            elif isinstance(node, Ask):
                told |= {"fact": node.fact, "answer": step.answer}
            else:
                told |= {
                    "measure": node.measure,
                    "values": {
                        one.place.side or "board": {"value": _number(one.value), "plus_minus": _number(one.plus_minus)}
                        for one in step.measured
                    },
                    "source": node.source,
                }
                if step.span:
                    told["branch"] = {"from": _number(step.span.low), "below": _number(step.span.high)}
                    told["go"] = step.span.go
            made.append(told)
        made.append({"suspect": line.suspect.name, "status": line.status})
    return made
