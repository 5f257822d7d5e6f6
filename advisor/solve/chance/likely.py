"""What is likely: today's step with its chance, the ladder, and how sure foot, direction and size are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from advisor.knowledge.trees import Trees
from advisor.sheet.readings import Known
from advisor.solve.chance.doses import load_doses
from advisor.solve.chance.drawn import shifts
from advisor.solve.chance.felt import Felt
from advisor.solve.chance.ladder import Rung, best_rung, ladder, rung_of, singles
from advisor.solve.chance.model import ChanceModel, Ruled, Tried, Way
from advisor.solve.hunt import Hunt
from advisor.solve.limits import Reach, allows

_LOW_SIZE, _HIGH_SIZE = 0.1, 0.9
_PARTS = 4
_DECIDES = 0.3
"""A number whose draws go together with the severity less than this decides nothing."""


@dataclass(frozen=True)
class Complaint:
    """What is told of a complaint beside the sheet.

    Parameters
    ----------
    answers
        Answers and looks by fact.
    tried
        Earlier steps that left it felt.
    ruled
        What a ruler gave directly.
    felt
        The spread of riders' thresholds, with the shop's own outcomes where they count.

    """

    answers: Mapping[str, str] = field(default_factory=dict)
    tried: Sequence[Tried] = ()
    ruled: Sequence[Ruled] = ()
    felt: Felt | None = None


@dataclass(frozen=True)
class Likely:
    """Today's step and what is known of it.

    Parameters
    ----------
    model
        What is known of the complaint.
    today
        Today's step.
    goal
        Where it may end, where today's step reaches less than what is wanted and more visits reach it.
    reach
        How far today went.
    enough
        Whether today's step reaches what is wanted.
    steps
        The ladder, where today's step was chosen from it.

    """

    model: ChanceModel
    today: Rung
    goal: Rung | None
    reach: Reach
    enough: bool
    steps: tuple[Rung, ...] = ()

    @property
    def chance(self) -> float:
        """Return the chance that today's step cures, if what is aimed at is the cause."""
        return self.today.chance

    @property
    def nominal(self) -> tuple[float, float]:
        """Return the severity on the sheet as it stands, before and after today's step."""
        before = self.model.severity_at([goal.meter.base for goal in self.model.goals])
        return round(before, 3), round(self.model.severity_at(self.model.values(self.today.way)), 3)

    @cached_property
    def bounds(self) -> tuple[float, float]:
        """Return the chance if riders felt it earlier, and if they felt it later, than the table says."""
        model, values = self.model, self.model.values(self.today.way)
        found = [model.with_felt(felt).cured_at(values) for felt in _doubted(model.felt, model.trees)]
        return min(*found, self.chance), max(*found, self.chance)

    @cached_property
    def ladder(self) -> list[Rung]:
        """Return smaller, larger and other steps with today's among them, by their chance."""
        return list(self.steps) or ladder(self.model, self.today, "most")

    @cached_property
    def direction(self) -> float:
        """Return the chance that today's step goes the right way at the right foot."""
        return self.model.helped(self.today.way)

    @cached_property
    def sizes(self) -> dict[str, tuple[float, float]]:
        """Return, by field, how far it may have to go: from where one in ten is cured to where nine in ten are."""
        found = {}
        hunt = self.model.hunt
        for lever, option in self.today.way:
            offered = hunt.levers[lever]
            rest = tuple(pick for pick in self.today.way if pick[0] != lever)
            mine = offered.options[option]
            onward = [i for i, other in enumerate(offered.options) if other.by * mine.by > 0]
            onward.sort(key=lambda i: abs(offered.options[i].by))
            if not onward:  # a disc laid in the other way moves nothing along the way by itself
                continue
            chances = [self.model.cured(tuple(sorted((*rest, (lever, i))))) for i in onward]
            low = next((i for i, chance in zip(onward, chances, strict=True) if chance >= _LOW_SIZE), onward[-1])
            high = next((i for i, chance in zip(onward, chances, strict=True) if chance >= _HIGH_SIZE), onward[-1])
            path, value = offered.options[low].sets[0]
            if isinstance(value, bool) or not isinstance(value, int | float):
                continue
            ends = sorted((offered.options[low].by, offered.options[high].by))
            found[path] = (ends[0], ends[1])
        return found


def worth_measuring(found: Likely) -> dict[str, float]:
    """Return, by field, how much likelier the best step would be to cure if that field were known exactly.

    The draws are sorted by each uncertain number and cut into parts; in each the best single step is taken. Left out
    are numbers that hardly move what is aimed at.
    """
    model = found.model
    ways = [found.today.way, *(rung.way for rung in singles(model, found.reach))]
    left = [model.left(model.values(way)) for way in dict.fromkeys(ways)]
    unknown = min(sum(one) for one in left)
    expected = {}
    for source in model.sources():
        if abs(_correlation(shifts(source), model.before)) < _DECIDES:
            continue
        ranked = sorted(range(model.count), key=shifts(source).__getitem__)
        size = -(-len(ranked) // _PARTS)
        felt = 0.0
        for start in range(0, len(ranked), size):
            part = ranked[start : start + size]
            felt += min(sum(one[i] for i in part) for one in left)
        expected[source] = max(0.0, (unknown - felt) / model.total)
    return expected


def likely(hunt: Hunt, known: Known, complaint: Complaint) -> Likely | None:
    """Return today's step by its chance; None where nothing is worth a visit, or the sheet can't be felt at all.

    Parameters
    ----------
    hunt
        The search, over all that a goal may reach.
    known
        The set-up with the reading behind each number.
    complaint
        What is told beside the sheet.

    """
    model = ChanceModel(
        hunt, known, answers=complaint.answers, tried=complaint.tried, ruled=complaint.ruled, felt=complaint.felt
    )
    if not model.goals or model.total <= 0:
        return None
    reach: Reach = "usual"
    today, enough = best_rung(model, reach)
    if not enough:
        further, enough = best_rung(model, "most")
        if enough:
            today, reach = further, "most"
    goal = None
    if not enough:
        far, reached = best_rung(model, "goal")
        if reached and far is not None:
            goal = far
            first, _ = best_rung(model, reach, among={lever for lever, _ in far.way})
            today = first or today
    if today is None or (today.chance < load_doses(known.trees).hardly and goal is None):
        return None
    return Likely(model, today, goal, reach, enough)


def with_way(found: Likely, way: Way) -> Likely:
    """Return the same with another change for today, such as one with the boot slid on to the middle."""
    rung = rung_of(found.model, way)
    return found if rung is None else Likely(found.model, rung, found.goal, found.reach, found.enough)


def within_reach(found: Likely, way: Way) -> bool:
    """Return whether a change keeps to the most that one visit may change."""
    levers = found.model.hunt.levers
    return all(allows(levers[lever], levers[lever].options[option], "most", found.model.trees) for lever, option in way)


def _correlation(one: Sequence[float], other: Sequence[float]) -> float:
    count = len(one)
    mine, theirs = sum(one) / count, sum(other) / count
    both = sum((a - mine) * (b - theirs) for a, b in zip(one, other, strict=True))
    spread = sum((a - mine) ** 2 for a in one) * sum((b - theirs) ** 2 for b in other)
    return both / spread**0.5 if spread > 0 else 0.0


def _doubted(felt: Felt, trees: Trees) -> tuple[Felt, Felt]:
    """Return the spread if riders felt it earlier, and later, by as much as the table may be wrong."""
    power = load_doses(trees).felt_doubt
    whole = felt.riders + load_doses(trees).felt_cases
    power = 1 + (power - 1) * (load_doses(trees).felt_cases / whole) ** 0.5
    return tuple(Felt(tuple(share**way for share in felt.by_tenths), felt.riders) for way in (1 / power, power))  # type: ignore[return-value]
