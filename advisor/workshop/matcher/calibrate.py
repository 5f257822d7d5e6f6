"""Thresholds and sharpness from scores of held-out phrases."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.match.second import second_complaint

OUT_OF_SCOPE = "out_of_scope"


@dataclass(slots=True)
class Held:
    """Logits of phrases by models that have not seen them; `clauses` is None where there is one clause."""

    whole: Any
    clauses: Sequence[Any]
    truth: Any
    kinds: Sequence[str]


def _softmax(logits: Any) -> Any:
    powers = np.exp(logits - logits.max(axis=-1, keepdims=True))
    return powers / powers.sum(axis=-1, keepdims=True)


def mixed_shares(held: Held, out: int, sharpness: float, clause_sharpness: float, part: float) -> Any:
    """Mix the shares of the whole text with the best share of its clauses, as the run time does."""
    shares = _softmax(held.whole * sharpness)
    for number, logits in enumerate(held.clauses):
        if logits is not None and part:
            each = _softmax(logits * clause_sharpness)
            best = each.max(axis=0)
            best[out] = each[:, out].min()
            shares[number] = (1 - part) * shares[number] + part * best / best.sum()
    return shares


def _loss(shares: Any, truth: Any, out: int) -> float:
    """Return the mean surprise at the entry meant, over real complaints, as the run time tells it: given it is ours."""
    real = truth != out
    meant = shares[np.arange(len(truth)), truth][real] / np.maximum(1 - shares[real, out], 1e-9)
    return float(-np.log(np.maximum(meant, 1e-9)).mean())


def _error_of_confidence(top: Any, right: Any) -> float:
    """Expected calibration error over ten equal bins (Guo et al. 2017; from memory)."""
    total = 0.0
    for low in np.arange(0, 1, 0.1):
        inside = (top > low) & (top <= low + 0.1)
        if inside.any():
            total += inside.mean() * abs(top[inside].mean() - right[inside].mean())
    return float(total)


def _second_clearness(
    held: Held, shares: Any, order: Any, names: Any, out: int, heat: float, aims: Mapping[str, float]
) -> float:
    """Return the clearness that few phrases with one complaint reach for a second one."""
    heard = []
    for number, logits in enumerate(held.clauses):
        if held.truth[number] != out:
            clauses = _softmax(logits * heat).tolist() if logits is not None else []
            heard.append(second_complaint(shares[number].tolist(), clauses, int(names[order[number, 0]]), out)[1])
    return float(np.quantile(heard, 1 - aims["second_wrong_at_most"]))


def decide(held: Held, classes: Sequence[str], aims: Mapping[str, float]) -> tuple[dict[str, float], dict[str, Any]]:
    """Return the run time's thresholds, and figures about the held-out phrases.

    Parameters
    ----------
    held
        The held-out scores.
    classes
        All classes in order.
    aims
        `trees/match/decisions.yaml`.

    """
    out = classes.index(OUT_OF_SCOPE)
    truth = held.truth
    real = truth != out
    _, sharpness, clause_sharpness, part = min(
        (_loss(mixed_shares(held, out, heat, clause_heat, part), truth, out), heat, clause_heat, part)
        for heat in (0.8, 1.0, 1.2, 1.4, 1.6)
        for clause_heat in (1.0,)
        for part in (0.0, 0.1, 0.2, 0.3)
    )
    shares = mixed_shares(held, out, sharpness, clause_sharpness, part)
    inside = np.delete(shares, out, axis=1)
    names = np.delete(np.arange(len(classes)), out)
    order = np.argsort(-inside, axis=1)
    first = names[order[:, 0]]
    rows = np.arange(len(truth))
    against = shares[:, out] / np.maximum(shares[:, out] + inside[rows, order[:, 0]], 1e-9)
    wanted = np.quantile(against[~real], 1 - aims["foreign_refused_at_least"])
    most_outside = float(max(wanted, np.quantile(against[real], 1 - aims["refused_at_most"])))
    kept = real & (against <= most_outside)
    total = 1 - shares[:, out]
    top = inside[rows, order[:, 0]] / total
    lead = top - inside[rows, order[:, 1]] / total
    right = first == truth
    sure_share, sure_lead = 1.0, float(aims["sure_lead"])
    for floor in np.arange(0.9, 0.2, -0.02):
        chosen = kept & (top >= floor) & (lead >= sure_lead)
        if chosen.any() and right[chosen].mean() >= aims["sure_right_at_least"]:
            sure_share = float(floor)
    decision = {
        "sharpness": sharpness,
        "clause_sharpness": clause_sharpness,
        "clause_part": part,
        "most_outside": round(most_outside, 4),
        "sure_share": round(sure_share, 4),
        "sure_lead": round(sure_lead, 4),
        "offered_part": aims["offered_part"],
        "second_clearness": round(_second_clearness(held, shares, order, names, out, clause_sharpness, aims), 4),
    }
    in_three = (names[order[:, :3]] == truth[:, None]).any(axis=1)
    kinds = np.array(held.kinds)
    figures: dict[str, Any] = {
        "top1": round(float(right[real].mean()), 3),
        "top3": round(float(in_three[real].mean()), 3),
        "rejected": round(float((against[~real] > most_outside).mean()), 3),
        "refused": round(float((against[real] > most_outside).mean()), 3),
        "calibration_error": round(_error_of_confidence(top[real], right[real]), 3),
        "sure": round(float(((top >= sure_share) & (lead >= sure_lead))[kept].mean()), 3),
        "by_kind": {
            kind: [round(float(x[real & (kinds == kind)].mean()), 3) for x in (right, in_three)]
            for kind in sorted(set(held.kinds))
        },
    }
    return decision, figures
