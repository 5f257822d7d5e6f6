"""`python -m advisor.workshop.signs.train`: build the judge of signs from `trees/signs` and `trees/phrases`.

Needs the `train` extra (numpy, scipy). Limits are set on lines whose voice the model has not learnt: every voice file
is left out once, fitted without, and judged.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from advisor.knowledge.trees import authors
from advisor.match.model_file import write
from advisor.signs.judge import FILE
from advisor.signs.listener import Listener, load_rules
from advisor.workshop.matcher.fit import Space, fit_linear
from advisor.workshop.matcher.pack import whole_numbers
from advisor.workshop.signs.corpus import CLASSES, Told, corpus_hash, load_told

__all__ = ["build", "main"]

KIND_WEIGHTS = {
    "w": 1.0, "b": 0.8, "s": 0.4, "g": 0.4, "f": 0.4, "c": 0.8, "n": 0.8, "d": 0.7, "x": 0.3, "y": 0.5,
    "r": 1.2, "o": 1.0,
}  # fmt: skip
"""How much each kind of feature counts before fitting; set by hand, after the matcher's."""
PENALTY = 0.05
SPLICED = 900
"""Lines made longer by harmless ones beside them, so that a sign is heard inside a telling."""
LEAST_SURE = 4
MOST_HARMLESS_TOLD, MOST_HARMLESS_ASKED = 0.02, 0.09
"""Shares of our own harmless lines, nearly all close neighbours of a sign, that may be told or asked by the judge."""
MOST_WRONG = 0.05
FOLDS = 3


class _Row:
    """A line with its features, its class and its voice."""

    def __init__(self, told: Told, rules: Listener) -> None:
        about: set[str] = set()
        for line in told.before:
            about |= rules.spoken(line)[2]
        self.pieces, self.graver, _ = rules.spoken(told.line, sorted(about))
        self.level, self.voice, self.told = told.level, told.voice, told


def _spliced(rows: Sequence[_Row], rules: Listener, seed: int) -> list[_Row]:
    draw = random.Random(seed)
    own = [row for row in rows if not row.voice.startswith("ordinary")]
    harmless = [row for row in rows if row.level == "none" and not row.told.before]
    made = []
    for _ in range(SPLICED if own else 0):
        one = draw.choice(own)
        others = [draw.choice(harmless).told.line.rstrip(".!") for _ in range(draw.randint(1, 3))]
        place = draw.randint(0, len(others))
        line = ". ".join([*others[:place], one.told.line, *others[place:]])
        made.append(_Row(Told(line, (), one.level, one.voice), rules))
    return made


def _learnt(rows: Sequence[_Row]) -> tuple[list[set[str]], list[str]]:
    """Return the pieces that are learnt: whole lines, and the sentences of harmless ones."""
    texts, levels = [], []
    for row in rows:
        for piece in row.pieces if row.level == "none" else row.pieces[:1]:
            texts.append(piece)
            levels.append(row.level)
    return texts, levels


def _fitted(rows: Sequence[_Row]) -> tuple[Space, Any]:
    texts, levels = _learnt(rows)
    counts = Counter(name for one in texts for name in one)
    names = sorted(name for name, count in counts.items() if count >= (3 if name[0] == "g" else 2))
    rarity = [KIND_WEIGHTS[name[0]] * (np.log((1 + len(texts)) / (1 + counts[name])) + 1) for name in names]
    space = Space({name: place for place, name in enumerate(names)}, np.array(rarity))
    targets = np.zeros((len(texts), len(CLASSES)))
    targets[range(len(texts)), [CLASSES.index(level) for level in levels]] = 1
    return space, fit_linear(space.matrix([{name: [] for name in sorted(one)} for one in texts]), targets, PENALTY)


def _shares(space: Space, linear: Any, rows: Sequence[_Row]) -> list[Any]:
    """Return the shares of the classes of every row, by its gravest piece."""
    texts = [piece for row in rows for piece in row.pieces]
    logits = linear.logits(space.matrix([{name: [] for name in sorted(one)} for one in texts]))
    powers = np.exp(logits - logits.max(axis=1, keepdims=True))
    shares = powers / powers.sum(axis=1, keepdims=True)
    made, at = [], 0
    for row in rows:
        mine = shares[at : at + len(row.pieces)]
        at += len(row.pieces)
        made.append(mine[mine[:, 0].argmin()])
    return made


def _left_out(rows: Sequence[_Row], rules: Listener, say: Callable[[str], None]) -> list[tuple[_Row, Any]]:
    """Judge every line by a model that has not learnt its voice."""
    voices = sorted({row.voice for row in rows})
    random.Random(1).shuffle(voices)
    judged = []
    for fold in range(FOLDS):
        out = set(voices[fold::FOLDS])
        kept = [row for row in rows if row.voice not in out]
        space, linear = _fitted([*kept, *_spliced(kept, rules, fold)])
        held = [row for row in rows if row.voice in out]
        judged += list(zip(held, _shares(space, linear, held), strict=True))
        say(f"fold {fold + 1} of {FOLDS}: {len(kept)} lines learnt, {len(held)} judged")
    return judged


def _limits(judged: Sequence[tuple[_Row, Any]]) -> dict[str, float]:
    """Return the limits: how sure the judge must be to tell, to ask, and to keep or drop what rules hear."""
    own = [(row, shares) for row, shares in judged if not row.voice.startswith("ordinary")]
    harmless = sorted((1 - shares[0] for row, shares in own if row.level == "none"), reverse=True)
    tell = harmless[int(len(harmless) * MOST_HARMLESS_TOLD)]
    ask = harmless[int(len(harmless) * MOST_HARMLESS_ASKED)]
    sure = set(_sure_rules([row for row, _ in judged]))
    doubtful = [(row, 1 - shares[0]) for row, shares in own if row.graver and not sure.intersection(row.graver)]
    right = sorted(share for row, share in doubtful if row.level not in {"none", "ask"})
    asked = sorted(1 - shares[0] for row, shares in own if row.level != "none")
    found = {
        "tell": tell, "ask": ask, "keep": (tell + ask) / 2, "drop": _at(right, 0.01),
        "drop_ask": _at(asked, 0.01),
    }  # fmt: skip
    return {name: round(float(limit), 4) for name, limit in found.items()}


def _at(rising: Sequence[Any], share: float) -> float:
    return float(rising[int(len(rising) * share)]) if rising else 0.0


def _sure_rules(rows: Sequence[_Row]) -> list[str]:
    """Return the rules that were right nearly wherever they heard a sign."""
    right: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    for row in rows:
        (wrong if row.level == "none" else right).update(row.graver)
    return sorted(name for name, count in right.items() if count >= LEAST_SURE and wrong[name] <= MOST_WRONG * count)


def build(file: str, say: Callable[[str], None]) -> dict[str, Any]:
    """Build the model file; return its figures on voices left out."""
    rules = load_rules(authors())
    rows = [_Row(told, rules) for told in load_told()]
    say(f"{len(rows)} lines: {dict(Counter(row.level for row in rows))}")
    judged = _left_out(rows, rules, say)
    limits = _limits(judged)
    space, linear = _fitted([*rows, *_spliced(rows, rules, 9)])
    centred = linear.weights - linear.weights.mean(axis=1, keepdims=True)
    lanes, step, share_step = whole_numbers(centred * space.weights[:, None], space.weights**2)
    keep = np.abs(centred * space.weights[:, None]).max(axis=1) > 0
    sure = _sure_rules(rows)
    header = {
        "classes": list(CLASSES), "step": step, "share_step": share_step, "bias": [float(one) for one in linear.bias],
        "limits": limits, "sure": sure, "hash": corpus_hash(),
    }  # fmt: skip
    size = write(header, {name: lanes[at].tolist() for name, at in space.places.items() if keep[at]}, file)
    return {"bytes": size, "limits": limits, "sure rules": len(sure), **_figures(judged, limits)}


def _figures(judged: Sequence[tuple[_Row, Any]], limits: dict[str, float]) -> dict[str, str]:
    own = [(row, 1 - shares[0]) for row, shares in judged if not row.voice.startswith("ordinary")]
    ordinary = [1 - shares[0] for row, shares in judged if row.voice.startswith("ordinary")]
    signs = [share for row, share in own if row.level not in {"none", "ask"}]
    asks = [share for row, share in own if row.level == "ask"]
    harmless = [share for row, share in own if row.level == "none"]

    def over(shares: Sequence[Any], limit: str) -> str:
        return f"{sum(share >= limits[limit] for share in shares)} of {len(shares)}"

    return {
        f"{what}, {limit}": over(shares, limit)
        for what, shares in (("signs", signs), ("asks", asks), ("harmless", harmless), ("ordinary", ordinary))
        for limit in ("tell", "ask")
    }


def main(arguments: list[str] | None = None) -> int:
    """Run the command; return its exit code."""
    parser = argparse.ArgumentParser(prog="python -m advisor.workshop.signs.train", description=__doc__)
    parser.add_argument("--to", default=FILE, help="model file to write (default: the shipped one)")
    chosen = parser.parse_args(arguments)

    def say(line: str) -> None:
        sys.stderr.write(f"{line}\n")

    for name, value in build(chosen.to, say).items():
        say(f"{name}: {value}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
