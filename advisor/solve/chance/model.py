"""The complaint as evidence: what the sheet allows, each rider's own threshold, and what a change then cures.

The severity of a measure is how far it lies beyond the near end of what is aimed at, as a part of the way to where
nearly all riders feel it; the worst of the measures aimed at counts. A rider feels the complaint when it is over the
rider's own threshold. Drawn are the sheet's numbers within their ±; the thresholds need no drawing, for their spread
is known: on a draw with severity S before and R after a change, the share of riders who felt it and feel it no more
is F(S) less F(min(S, R)). The chance of cure is the sum of that over all draws, over the sum of F(S).

An earlier step that left it felt says that the threshold is under the severity after that step too. Looks, answers
and what a ruler measured weigh the draws.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from math import exp, inf

from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.solve.chance.doses import Evidence, load_doses
from advisor.solve.chance.drawn import deviations, used_sources
from advisor.solve.chance.felt import Felt, felt_by
from advisor.solve.found import Goal
from advisor.solve.hunt import Hunt
from advisor.solve.trial import Meter

Way = tuple[tuple[int, int], ...]
"""A change, as picks of a hunt: adjustments with their values."""
_LEAST = 1e-9


@dataclass(frozen=True, slots=True)
class Tried:
    """An earlier step for the same complaint: the set-up's numbers after it, and how it went: same, worse or better."""

    values: Mapping[str, float]
    how: str


@dataclass(frozen=True, slots=True)
class Ruled:
    """What a ruler gave directly: a measure at its place, its value and ±."""

    key: str
    value: float
    plus_minus: float


class ChanceModel:
    """What is known of one complaint, and the chance that a change cures it.

    Parameters
    ----------
    hunt
        The search whose trial and adjustments the changes are made on; its goals are what is aimed at.
    known
        The set-up with the reading behind each number.
    answers
        Answers to facts, and looks, given so far.
    tried
        Earlier steps that left the complaint felt.
    ruled
        What a ruler gave directly.
    felt
        The spread of riders' thresholds; the common one where it is not given.

    """

    def __init__(
        self,
        hunt: Hunt,
        known: Known,
        *,
        answers: Mapping[str, str] | None = None,
        tried: Sequence[Tried] = (),
        ruled: Sequence[Ruled] = (),
        felt: Felt | None = None,
    ) -> None:
        self.hunt = hunt
        self.known = known
        self.trees = known.trees
        self.felt = felt or felt_by(self.trees)
        self.goals = tuple(goal for goal in hunt.goals if goal.meter.base == goal.meter.base)
        self.reach = [_beyond(goal, known.trees) for goal in self.goals]
        watched = [goal.meter for goal in self.goals]
        extra = [hunt.trial.meter(one.key) for one in ruled]
        drawn = deviations(known, [*watched, *extra])
        self.off = drawn[: len(watched)]
        self.count = len(self.off[0]) if self.off else 0
        self.weights = [1.0] * self.count
        for one, meter, off in zip(ruled, extra, drawn[len(watched) :], strict=True):
            self._ruled(one, meter, off)
        for evidence in load_doses(self.trees).evidence:
            if (answers or {}).get(evidence.fact) in evidence.answers:
                self._weigh(evidence)
        self.before = self.severities([goal.meter.base for goal in self.goals])
        self.ceiling = list(self.before)
        for step in tried:
            after = self.severities(self._values_of(step))
            self.ceiling = [min(had, now) for had, now in zip(self.ceiling, after, strict=True)]
        self.mass = [w * self.felt.share(s) for w, s in zip(self.weights, self.ceiling, strict=True)]
        self.total = sum(self.mass)
        self._left: dict[tuple[int, float], list[float]] = {}

    def with_felt(self, felt: Felt) -> ChanceModel:
        """Return the same with another spread of thresholds."""
        other = copy(self)
        other.felt = felt
        other.mass = [w * felt.share(s) for w, s in zip(self.weights, self.ceiling, strict=True)]
        other.total = sum(other.mass)
        other._left = {}
        return other

    @property
    def agrees(self) -> float:
        """Return the share of what the sheet allows in which this complaint would be felt."""
        whole = sum(self.weights)
        return self.total / whole if whole else 0.0

    def values(self, way: Way) -> list[float]:
        """Return the measures aimed at with a change made, on the sheet as it stands."""
        trial = self.hunt.trial
        for lever, option in way:
            trial.put(trial.moves[lever][option])
        found = [goal.meter.value(trial.now) for goal in self.goals]
        for lever, option in way:
            trial.take_back(trial.moves[lever][option])
        return found

    def severities(self, values: Sequence[float]) -> list[float]:
        """Return the worst severity on each draw, for the measures' values on the sheet as it stands."""
        each = [self._severity(place, value if value == value else inf) for place, value in enumerate(values)]
        return each[0] if len(each) == 1 else list(map(max, *each))

    def severity_at(self, values: Sequence[float]) -> float:
        """Return the worst severity of the measures' values, the sheet taken as it stands."""
        return max(
            max(goal.interval.low - value, value - goal.interval.high) / reach
            for goal, value, reach in zip(self.goals, values, self.reach, strict=True)
        )

    def cured(self, way: Way) -> float:
        """Return the chance that a change cures, if what is aimed at is the cause."""
        return self.cured_at(self.values(way))

    def cured_at(self, values: Sequence[float]) -> float:
        """Return the same for the measures' values after a change."""
        if self.total < _LEAST:
            return 0.0
        left = sum(self.left(values))
        return min(1.0, max(0.0, 1 - left / self.total))

    def cured_at_best(self, each: Sequence[Sequence[float]]) -> float:
        """Return the chance if every measure took the best for it of several sets of values."""
        if self.total < _LEAST:
            return 0.0
        best = []
        for place in range(len(self.goals)):
            mine = [self._left_by(place, values[place]) for values in each]
            best.append(mine[0] if len(mine) == 1 else list(map(min, *mine)))
        return 1 - sum(best[0] if len(best) == 1 else map(max, *best)) / self.total

    def left(self, values: Sequence[float]) -> list[float]:
        """Return, draw by draw, the riders who would still feel it, for the measures' values after a change.

        The share who feel the worst of several measures is the largest of the shares who feel each, so each measure is
        worked out once for each of its values.
        """
        each = [self._left_by(place, value) for place, value in enumerate(values)]
        return each[0] if len(each) == 1 else list(map(max, *each))

    def _left_by(self, place: int, value: float) -> list[float]:
        key = (place, value)
        if key not in self._left:
            share = self.felt.share
            after = self._severity(place, value)
            self._left[key] = [
                weight * share(one if one < ceiling else ceiling)
                for weight, ceiling, one in zip(self.weights, self.ceiling, after, strict=True)
            ]
        return self._left[key]

    def _severity(self, place: int, value: float) -> list[float]:
        """Return a measure's severity on each draw."""
        interval, reach, off = self.goals[place].interval, self.reach[place], self.off[place]
        low, high = interval.low - value, value - interval.high
        if low == -inf:
            return [(high + one) / reach for one in off]
        if high == -inf:
            return [(low - one) / reach for one in off]
        return [max(low - one, high + one) / reach for one in off]

    def helped(self, way: Way) -> float:
        """Return the chance that a change makes it better at all: the share of what is left in which severity falls."""
        if self.total < _LEAST:
            return 0.0
        after = self.severities(self.values(way))
        better = sum(m for m, b, a in zip(self.mass, self.before, after, strict=True) if a < b - _LEAST)
        return better / self.total

    def _weigh(self, evidence: Evidence) -> None:
        """Weigh each draw by how well an answer agrees with it: the lowest of the measure over the feet counts."""
        places = [n for n, goal in enumerate(self.goals) if goal.meter.kind == evidence.measure]
        if not places:
            return
        for draw in range(self.count):
            low = min(self.goals[n].meter.base + self.off[n][draw] for n in places)
            self.weights[draw] *= evidence.so if low < evidence.below else evidence.not_so

    def _ruled(self, one: Ruled, meter: Meter, off: Sequence[float]) -> None:
        spread = max(one.plus_minus / 2, _LEAST)
        for draw in range(self.count):
            self.weights[draw] *= max(exp(-(((meter.base + off[draw] - one.value) / spread) ** 2) / 2), 1e-12)

    def _values_of(self, step: Tried) -> list[float]:
        trial = self.hunt.trial
        moved = [(trial.paths.index(path), value) for path, value in step.values.items() if path in trial.paths]
        trial.put(moved)
        found = [goal.meter.value(trial.now) for goal in self.goals]
        trial.take_back(moved)
        return found

    def sources(self) -> list[str]:
        """Return the sheet's fields whose numbers the measures hang on and that are uncertain."""
        return list(used_sources(self.known, [goal.meter for goal in self.goals]))


def _beyond(goal: Goal, trees: Trees) -> float:
    """Return how far beyond the near end of an aim nearly all riders feel it, in the measure's unit."""
    told = load_doses(trees).beyond.get(goal.meter.kind)
    if told is not None:
        return told
    return goal.meter.window.scale if goal.meter.window else 1.0
