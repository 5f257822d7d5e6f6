"""A bare mount on which the steps of the first set-up are solved one after the other, each by trying every value.

A step's values are ranked by the number of measures that are out and may never be, then of its `must` measures that are
not good, then how far its own measures lie outside their windows, then the steps of what is moved only as a spare, then
how far they lie from where they should go (the style's own place, else the window's middle), in parts that a tech would
call alike, then the steps away from the start.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import floor, inf, isnan

from advisor.geometry.measuring import measure
from advisor.geometry.register import MEASURES, Place
from advisor.sheet.readings import Known
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.solve.aims import spoken
from advisor.solve.bench_order import BenchStep, Goal, load_bench_order
from advisor.solve.options import SIDES, levers
from advisor.solve.reasons import range_words, value_words
from advisor.solve.trial import Meter, Trial
from advisor.solve.windows import load_windows

Values = tuple[int, ...]
"""For each adjustment of a step its value: 0 for where it stands, else the place among its options plus one."""

_RUNNERS_UP = 2
_HOLDER = re.compile(r"\{([^{}]*)\}")
_TINY = 1e-6


@dataclass(frozen=True, slots=True)
class Judged:
    """One measure that a step went by: its value, and where it should lie."""

    key: str
    value: float
    good: str
    state: str


@dataclass(frozen=True, slots=True)
class Alternative:
    """What a step could have set instead, and why it did not."""

    settings: Mapping[str, LeafValue]
    reason: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step at the bench: what to set, why, and what else there was.

    `foot` is None for a step that is about both feet; `head` says what the step is. `settings` are the sheet's fields
    that it decides. Where nothing can be decided there are none; `needs` are the fields that it lacks, `left_open`
    those that stay as they are.
    """

    id: str
    foot: FootSide | None
    settings: Mapping[str, LeafValue]
    says: str
    mind: str
    judged: tuple[Judged, ...]
    runners_up: tuple[Alternative, ...]
    needs: tuple[str, ...] = ()
    left_open: tuple[str, ...] = ()
    head: str = ""

    @property
    def decided(self) -> bool:
        """Whether anything could be decided."""
        return bool(self.settings)


@dataclass(frozen=True, slots=True)
class Rank:
    """How good one choice of values is: `out` counts what may never be out, `bad` what must be good and is not."""

    out: int
    bad: int
    excess: float
    spare: float
    far: float
    steps: float
    values: Values
    alike: float

    @property
    def order(self) -> tuple[int, int, float, float, float, float, float, Values]:
        """Return what orders choices, the best first."""
        far = floor(self.far / self.alike) if self.alike and self.far < inf else self.far
        return (self.out, self.bad, self.excess, self.spare, far, self.steps, self.far, self.values)


class Bench:
    """A bare mount on which steps are solved one after the other."""

    def __init__(self, sheet: Sheet, known: Known, style: str) -> None:
        order = load_bench_order(known.trees)
        self.style = style
        self.sheet = sheet
        sets = {name for step in order.steps.values() for name in step.sets}
        self.levers = levers(sheet, known, allowed=sets, carrying=False)
        self.trial = Trial(known, self.levers, load_windows(known.trees))
        self.known = known
        self.chosen: dict[int, int] = {}

    def needs(self, step: BenchStep, foot: FootSide | None) -> tuple[str, ...]:
        """Return the fields that a step's measures lack."""
        missing: list[str] = []
        for name in step.by:
            if name in MEASURES:
                sides = (SIDES if foot is None else (foot,)) if MEASURES[name].scope == "foot" else (None,)
                for side in sides:
                    missing.extend(measure(self.known, MEASURES[name], Place(side)).needs)
        return tuple(dict.fromkeys(missing))

    def settings(self) -> dict[str, LeafValue]:
        """Return what has been decided so far, by the sheet's paths."""
        found: dict[str, LeafValue] = {}
        for lever, value in self.chosen.items():
            found.update(self._setting(lever, value))
        return found

    def solve(self, step: BenchStep, foot: FootSide | None) -> tuple[list[Step], int]:
        """Solve a step, and keep it; return it with the number of measures that must be good and are not."""
        step = step.on(self.sheet)
        ours = self._levers(step, foot)
        meters, musts = self._meters(step.by, foot), self._meters(step.must, foot)
        inner = load_bench_order(self.known.trees).steps.get(step.before)
        never = self._meters(step.never_out, foot)
        ranks = self._ranked(step, ours, meters, never, self._inside(ours, inner) if inner else musts)
        ranked = sorted(ranks, key=lambda rank: rank.order)
        best = ranked[0]
        values = {rank.values: self._values(ours, rank.values, meters) for rank in ranked[: 1 + _RUNNERS_UP]}
        if not ours or not meters or meters[0].kind != step.by[0].replace("front.", "foot."):
            needs = self.needs(step, foot)
            return [Step(step.id, foot, {}, step.open, step.mind, (), (), needs, self._bare(ours), step.head)], 0
        self._keep(ours, best.values)
        runners = tuple(
            Alternative(
                self._settings(ours, rank.values),
                self._reason(meters, values[rank.values], values[best.values], rank, best),
            )
            for rank in ranked[1 : 1 + _RUNNERS_UP]
        )
        now = self.trial.now
        judged = tuple(
            Judged(meter.key, meter.value(now), range_words(meter.key, meter.window.good), _state(meter, now))
            for meter in meters
            if meter.window
        )
        says = self._says(step, foot)
        settings = self._settings(ours, best.values)
        made = Step(step.id, foot, settings, says, step.mind, judged, runners, head=step.head)
        return [made], 0 if inner else best.bad

    def _bare(self, ours: Sequence[int]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(path for i in ours for path in self.levers[i].before))

    def _levers(self, step: BenchStep, foot: FootSide | None) -> list[int]:
        return [
            i
            for i, lever in enumerate(self.levers)
            if lever.adjustment.id in step.sets and (foot is None or lever.foot in {foot, None})
        ]

    def _meters(self, names: Sequence[str], foot: FootSide | None) -> list[Meter]:
        """Return the meters of measures and fields, at one foot or wherever they are taken; unknown ones left out."""
        found = []
        for name in names:
            keys = [name]
            if name in MEASURES and MEASURES[name].scope == "foot":
                keys = [f"{name}.{side}" for side in (SIDES if foot is None else (foot,))]
            found += [self.trial.meter(key) for key in keys]
        return [meter for meter in found if meter.window is not None and not isnan(meter.base)]

    def _ranked(
        self,
        step: BenchStep,
        ours: Sequence[int],
        meters: Sequence[Meter],
        never: Sequence[Meter],
        musts: Sequence[Meter] | Inside,
    ) -> Iterator[Rank]:
        now = self.trial.now
        for values in self.all_values(ours):
            out = sum(_state(meter, now) == "out" for meter in never)
            bad = musts.bad(values) if isinstance(musts, Inside) else _count_bad(musts, now)
            excess = round(sum(max(0.0, _strain(meter, now) - 1) for meter in meters), 6)
            far = round(sum(self._far(step, meter) for meter in meters), 6)
            spare = self._steps(ours, values, step.spare)
            yield Rank(out, bad, excess, spare, far, self._steps(ours, values), values, step.alike)

    def _far(self, step: BenchStep, meter: Meter) -> float:
        """Return how far a measure lies from where it should go, as a share of half its window."""
        goal = step.goal(meter.kind if meter.kind in step.toward else meter.key, self.style)
        if goal is None:
            return _strain(meter, self.trial.now) if not step.toward else 0.0
        assert meter.window is not None
        return abs(meter.value(self.trial.now) - self._number(goal)) / meter.window.scale

    def _number(self, goal: Goal) -> float:
        """Return the number that a goal names: itself, a measure or a field (minus turns the sign), the first not 0."""
        for one in goal if isinstance(goal, tuple) else (goal,):
            if not isinstance(one, str):
                return one
            name = one.removeprefix("-")
            value = MEASURES[name].at(self.known.setup, Place()) if name in MEASURES else self.known.setup.get(name)
            if value:
                return -float(value) if one.startswith("-") else float(value)
        return 0.0

    def _inside(self, ours: Sequence[int], inner: BenchStep) -> Inside:
        feet = []
        for foot in SIDES:
            musts = self._meters(inner.must, foot)
            touching = [i for i in ours if any(meter.mask & self.trial.masks[i] for meter in musts)]
            feet.append((touching, self._levers(inner, foot), musts))
        return Inside(self, ours, feet)

    def all_values(self, ours: Sequence[int]) -> Iterator[Values]:
        """Yield every choice of values while it is set on the trial."""
        trial = self.trial
        before = list(trial.now)
        for values in product(*(range(len(trial.moves[i]) + 1) for i in ours)):
            for i, value in zip(ours, values, strict=True):
                if value:
                    trial.put(trial.moves[i][value - 1])
                else:
                    trial.take_back(trial.moves[i][0])
            yield values
            trial.now[:] = before
        trial.now[:] = before

    def _keep(self, ours: Sequence[int], values: Values) -> None:
        for i, value in zip(ours, values, strict=True):
            self.chosen[i] = value
            if value:
                self.trial.put(self.trial.moves[i][value - 1])

    def _values(self, ours: Sequence[int], wanted: Values, meters: Sequence[Meter]) -> dict[str, float]:
        before = list(self.trial.now)
        for i, value in zip(ours, wanted, strict=True):
            if value:
                self.trial.put(self.trial.moves[i][value - 1])
        found = {meter.key: meter.value(self.trial.now) for meter in meters}
        self.trial.now[:] = before
        return found

    def _steps(self, ours: Sequence[int], values: Values, only: Sequence[str] | None = None) -> float:
        return sum(
            self.levers[i].options[value - 1].steps
            for i, value in zip(ours, values, strict=True)
            if value and (only is None or self.levers[i].adjustment.id in only)
        )

    def _setting(self, lever: int, value: int) -> dict[str, LeafValue]:
        offered = self.levers[lever]
        return dict(offered.options[value - 1].sets) if value else dict(offered.before)

    def _settings(self, ours: Sequence[int], values: Values) -> dict[str, LeafValue]:
        found: dict[str, LeafValue] = {}
        for i, value in zip(ours, values, strict=True):
            found.update(self._setting(i, value))
        return found

    def _reason(
        self, meters: Sequence[Meter], theirs: Mapping[str, float], ours: Mapping[str, float], rank: Rank, best: Rank
    ) -> str:
        """Return why an alternative is not the one to take."""
        if rank.bad > best.bad:
            return f"then {rank.bad} of the margins fall short, against {best.bad}"
        if rank.out > best.out:
            return f"then {rank.out} of the measures lie out, against {best.out}"

        def worse(meter: Meter) -> float:
            assert meter.window is not None
            return meter.window.strain(theirs[meter.key]) - meter.window.strain(ours[meter.key])

        worst = max(meters, key=worse)
        assert worst.window is not None
        theirs_said, ours_said = (value_words(worst.key, values[worst.key]) for values in (theirs, ours))
        if worse(worst) <= _TINY or theirs_said == ours_said:
            return "as good, but further from where the mount starts" if rank.steps > best.steps else "as good"
        return (
            f"puts the {spoken(worst.key)} at {theirs_said} instead of {ours_said}; "
            f"{range_words(worst.key, worst.window.good)} is right"
        )

    def _says(self, step: BenchStep, foot: FootSide | None) -> str:
        words = step.says
        now = self.trial.now
        for holder in _HOLDER.finditer(step.says):
            name, _, ways = holder[1].partition("|")
            key = f"{name}.{foot}" if foot and name in MEASURES and MEASURES[name].scope == "foot" else name
            words = words.replace(holder[0], _value_words(key, self.trial.meter(key).value(now), ways))
        return words


class Inside:
    """What an inner step can make of each foot, for every value of the outer one.

    What a foot's inner step must reach is moved by no adjustment at the other foot, so each foot is solved by itself,
    once for the values that touch it.
    """

    def __init__(
        self, bench: Bench, ours: Sequence[int], feet: Sequence[tuple[list[int], list[int], list[Meter]]]
    ) -> None:
        self._bench = bench
        self._ours = ours
        self._feet = feet
        self._reached: dict[tuple[int, Values], int] = {}

    def bad(self, values: Values) -> int:
        """Return how many measures that must be good cannot all be made so; the outer values are set on the trial."""
        now = self._bench.trial.now
        total = 0
        for place, (touching, inside, musts) in enumerate(self._feet):
            key = (place, tuple(value for i, value in zip(self._ours, values, strict=True) if i in touching))
            if key not in self._reached:
                self._reached[key] = min(_count_bad(musts, now) for _ in self._bench.all_values(inside))
            total += self._reached[key]
        return total


def _value_words(key: str, value: float, ways: str) -> str:
    """Return a value in words; with words for more, less and none it loses its sign."""
    if not ways:
        return value_words(key, value)
    more, less, none = ways.split("|")
    size = value_words(key, abs(value))
    return none if value_words(key, 0.0) == size else f"{size} {more if value > 0 else less}"


def _count_bad(meters: Sequence[Meter], now: list[object]) -> int:
    return sum(_state(meter, now) != "good" for meter in meters)


def _state(meter: Meter, now: list[object]) -> str:
    return meter.window.state(meter.value(now)) if meter.window else "unknown"


def _strain(meter: Meter, now: list[object]) -> float:
    value = meter.value(now)
    return inf if meter.window is None or isnan(value) else meter.window.strain(value)
