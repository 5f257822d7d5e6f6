"""The chance of cure: against closed forms and plain simulation, and today's step against trying everything.

The oracle here shares no options, costs nor `for` lists with the search: it has its own list of what a hand can set
(slots by the millimetre, notches, heelcup steps), its own minutes, its own draws of sheets and of riders' thresholds.
"""

from __future__ import annotations

from itertools import product
from math import erf, exp, pi, sqrt
from random import Random

import pytest

from advisor.geometry.register import MEASURES, Place
from advisor.knowledge.trees import authors
from advisor.sheet.readings import Known
from advisor.sheet.resolve import resolve
from advisor.sheet.setup import Setup
from advisor.sheet.sheet import Sheet
from advisor.solve.aims import Aim
from advisor.solve.chance.felt import Felt, Outcome, learned
from advisor.solve.chance.ladder import best_rung
from advisor.solve.chance.likely import Complaint, likely, worth_measuring
from advisor.solve.chance.model import ChanceModel, Ruled, Tried
from advisor.solve.limits import Scope
from advisor.solve.search import hunt_for
from advisor.solve.today import find_today
from advisor.solve.windows import load_windows
from advisor.workshop.random_riders import ordinary_sheet

EVEN = Felt(tuple(n / 10 for n in range(1, 11)))


def normal_cdf(x: float) -> float:
    return 0.5 * (1 + erf(x / sqrt(2)))


def integral_of_cdf(x: float) -> float:
    """The integral of the normal distribution's cumulative function up to x: x P(x) + p(x)."""
    return x * normal_cdf(x) + exp(-x * x / 2) / sqrt(2 * pi)


def mean_clipped(mu: float, sd: float) -> float:
    """Closed form of E[min(max(S, 0), 1)] for S normal: thresholds spread evenly from 0 to 1."""
    return sd * (integral_of_cdf(mu / sd) - integral_of_cdf((mu - 1) / sd))


def one_number(plus_minus: float, short: float = 3.0, seat: float = -5.0) -> Sheet:
    """Return the ordinary sheet with the back boot off to the heel, and a tilt that leaves it short of 5 degrees."""
    sheet = ordinary_sheet().with_value("mount.back.seat_mm", seat)
    contact = MEASURES["heel_contact_deg"].at(resolve(sheet).setup, Place("back"))
    return sheet.with_value("rider.tilt_deg", contact - 5 + short, "told", plus_minus)


def only(known: Known, path: str) -> Known:
    return Known(known.setup, {key: one for key, one in known.readings.items() if key == path}, trees=known.trees)


def model_of(sheet: Sheet, *aims: Aim, **given: object) -> ChanceModel:
    known = given.pop("known", None) or resolve(sheet)
    hunt = hunt_for(sheet, known, aims, scope=Scope("goal"))  # type: ignore[arg-type]
    return ChanceModel(hunt, known, felt=EVEN, **given)  # type: ignore[arg-type]


@pytest.mark.parametrize("plus_minus", [2.0, 6.0, 12.0])
@pytest.mark.parametrize("short", [-1.0, 2.0, 6.0])
@pytest.mark.parametrize("gain", [1.5, 4.0, 9.0])
def test_a_normal_measure_against_even_thresholds_is_as_its_closed_form(
    plus_minus: float, short: float, gain: float
) -> None:
    """The margin is the contact less the tilt, so it is normal as the tilt is; 5 degrees from first to all."""
    sheet = one_number(plus_minus, short)
    known = only(resolve(sheet), "rider.tilt_deg")
    model = model_of(sheet, Aim("heel_margin_deg.back"), known=known)
    mu, sd = short / 5, plus_minus / 2 / 5
    before = mean_clipped(mu, sd)
    assert model.agrees == pytest.approx(before, abs=0.015)
    expected = 1 - mean_clipped(mu - gain / 5, sd) / before
    assert model.cured_at([model.goals[0].meter.base + gain]) == pytest.approx(expected, abs=0.03)


def test_the_chance_never_falls_as_the_step_grows() -> None:
    model = model_of(one_number(8), Aim("heel_margin_deg.back"))
    base = model.goals[0].meter.base
    chances = [model.cured_at([base + gain]) for gain in range(15)]
    assert chances == sorted(chances)
    assert chances[0] == 0
    assert chances[-1] > 0.95


def test_an_earlier_step_that_did_not_help_asks_for_a_larger_one() -> None:
    sheet = one_number(8).with_value("mount.back.slot_mm", 3.0)
    base = model_of(sheet, Aim("heel_margin_deg.back"))
    taught = model_of(sheet, Aim("heel_margin_deg.back"), tried=[Tried({"back.slot_mm": 0.0}, "same")])
    helped = model_of(sheet, Aim("heel_margin_deg.back"), tried=[Tried({"back.slot_mm": 5.0}, "same")])
    value = base.goals[0].meter.base + 3
    assert taught.cured_at([value]) == pytest.approx(base.cured_at([value]))  # it was felt there anyway: nothing new
    assert helped.cured_at([value]) < base.cured_at([value])  # felt even with 2 mm more


def test_a_scuff_on_the_boot_says_that_it_touches_and_none_that_it_does_not() -> None:
    sheet = one_number(12, 1)
    plain = model_of(sheet, Aim("heel_margin_deg.back"))
    scuffed = model_of(sheet, Aim("heel_margin_deg.back"), answers={"heel_scuff": "boot"})
    clear = model_of(sheet, Aim("heel_margin_deg.back"), answers={"heel_scuff": "none"})
    assert clear.agrees < plain.agrees < scuffed.agrees
    base = plain.goals[0].meter.base
    assert scuffed.cured_at([base + 4]) < plain.cured_at([base + 4])


def test_what_a_ruler_gave_narrows_the_doubt() -> None:
    sheet = one_number(8).with_value("mount.back.seat_mm", -5.0, "told", 8.0)
    model = model_of(sheet, Aim("overhang_split_mm.back"), ruled=[Ruled("overhang_split_mm.back", -14.0, 1.0)])
    sizes = [w for w in model.weights if w > 0.01 * max(model.weights)]
    assert len(sizes) < model.count / 2


def test_the_same_sheet_gives_the_same_chances() -> None:
    first, second = (model_of(one_number(8), Aim("heel_margin_deg.back")) for _ in range(2))
    assert first.off == second.off
    assert first.cured_at([4.0]) == second.cured_at([4.0])


# The oracle.

SLOTS = [float(mm) for mm in range(-5, 6)]
CUPS = (-2, -1, 0, 1, 2)
NOTCHES = (-6.0, -3.0, 0.0, 3.0, 6.0)


def simulated(known: Known, after: Setup, random: Random, count: int = 4000) -> float:
    """Return the share of riders who felt it and are cured: own draws of board and threshold, nothing shared."""
    felt = cured = 0
    before_board, after_board = known.setup.copy(), after.copy()
    groups: dict[str, list[str]] = {}
    for path, half in known.moving.items():
        if half:
            groups.setdefault(known.readings[path].sheet_path, []).append(path)
    base = {path: (known.setup.get(path), after.get(path)) for paths in groups.values() for path in paths}
    place = Place("back")
    for _ in range(count):
        for paths in groups.values():
            shift = random.gauss(0, 0.5)
            for path in paths:
                before_board.put(path, base[path][0] + shift * known.moving[path])
                after_board.put(path, base[path][1] + shift * known.moving[path])
        threshold = random.random()
        if (5 - MEASURES["heel_margin_deg"].at(before_board, place)) / 5 > threshold:
            felt += 1
            cured += not (5 - MEASURES["heel_margin_deg"].at(after_board, place)) / 5 > threshold
    return cured / felt if felt else 0.0


def spoiled_by(known: Known, after: Setup) -> bool:
    """Return whether the windows of the back foot are left by more than a tech overlooks; windows are data."""
    for key, window in ((key, load_windows(known.trees).window(key, known.setup)) for key in WATCHED):
        kind = key.partition(".")[0]
        now, then = (MEASURES[kind].at(setup, Place("back")) for setup in (known.setup, after))
        assert window is not None
        assert window.guard is not None
        if window.guard.distance(then) > window.guard.distance(now) + window.notice + 1e-9:
            return True
    return False


WATCHED = tuple(
    f"{kind}.back"
    for kind in ("toe_margin_deg", "boot_offset_mm", "overhang_split_mm", "toe_past_ramp_mm", "ramp_to_edge_mm",
                 "turnout_gap_deg", "toe_overhang_mm", "heel_overhang_mm")
)  # fmt: skip


def cheapest_by_hand(sheet: Sheet, known: Known) -> tuple[float, dict[str, float]]:
    """Return the least cost of what reaches the chance wanted, over every slot, heelcup step and notch behind.

    By bench minutes of its own: a disc loosened 2, a slide or a notch on it 1 each, a heelcup 3 and 1; a notch asks the
    rider for 4 minutes' worth more. Common practice, no source.
    """
    random = Random(5)
    best: tuple[float, dict[str, float]] = (1e9, {})
    angle = known.setup.back.angle_deg
    for slot, cup, turn in product(SLOTS, CUPS, NOTCHES):
        new = {"slot": slot, "cup": float(cup), "turn": turn}
        loose = slot != known.setup.back.slot_mm or turn != 0
        cost = 2.0 * loose + (slot != known.setup.back.slot_mm) + (turn != 0) + 4.0 * (cup != known.setup.back.heelcup)
        cost += 4.0 * abs(turn) / 3
        if cost >= best[0] or 0 < abs(slot - known.setup.back.slot_mm) < 2 or angle * (angle + turn) < 0:
            continue
        after = known.setup.copy()
        after.back.slot_mm, after.back.heelcup, after.back.angle_deg = slot, float(cup), angle + turn
        if spoiled_by(known, after):
            continue
        if simulated(known, after, random, 400) > 0.7 and simulated(known, after, random) >= 0.8:
            best = cost, new
    return best


@pytest.mark.parametrize(("seat", "short", "plus_minus"), [(-5, 2, 4), (-7, 4, 8), (-4, 6, 6), (-9, 9, 3), (-2, 12, 2)])
def test_todays_step_costs_what_trying_everything_by_other_means_costs(
    seat: float, short: float, plus_minus: float
) -> None:
    sheet = one_number(plus_minus, short, seat)
    known = resolve(sheet)
    cost, _ = cheapest_by_hand(sheet, known)
    hunt = hunt_for(
        sheet, known, [Aim("heel_margin_deg.back")], allowed={"shift_across", "heelcup_step", "angle_back"},
        scope=Scope("usual", frozenset({"front"})),
    )  # fmt: skip
    model = ChanceModel(hunt, known, felt=EVEN)
    rung, enough = best_rung(model, "usual")
    if cost > 1e8:
        assert not enough
        return
    assert enough
    assert rung is not None
    assert rung.chance >= 0.8
    if rung.cost == pytest.approx(cost, abs=0.1):
        return
    after = known.setup.copy()  # a step right at what is wanted: both counts of it are a hundredth off
    for lever, option in rung.way:
        for path, value in hunt.levers[lever].options[option].sets:
            after.put(path.removeprefix("mount."), float(value))  # type: ignore[arg-type]
    assert simulated(known, after, Random(6)) == pytest.approx(0.8, abs=0.02), (rung, cost)


def test_todays_step_is_told_with_a_ladder_sizes_and_direction() -> None:
    sheet = one_number(6, 4, -7.0)
    search = find_today(sheet, [Aim("heel_margin_deg.back")], known=resolve(sheet), complaint=Complaint())
    found = search.likely
    assert found is not None
    chances = [rung.chance for rung in found.ladder]
    assert chances == sorted(chances)
    assert found.today in found.ladder
    assert 0 < found.direction <= 1
    low, high = found.bounds
    assert low <= found.chance <= high
    assert found.sizes


def test_measuring_what_decides_is_worth_more_than_what_does_not() -> None:
    """How far a boot sits back is known to 4 mm: measured, it tells how far to slide; little else matters."""
    sheet = ordinary_sheet().with_value("mount.back.seat_mm", -4.0, "told", 4.0)
    known = resolve(sheet)
    hunt = hunt_for(sheet, known, [Aim("overhang_split_mm.back", -1, 1)], allowed={"shift_across"}, scope=Scope("goal"))
    found = likely(hunt, known, Complaint())
    assert found is not None
    worth = worth_measuring(found)
    assert max(worth, key=lambda field: worth[field]) == "mount.back.seat_mm"
    assert worth["mount.back.seat_mm"] > 0.1


def test_where_the_same_step_is_best_whatever_is_measured_nothing_is_worth_measuring() -> None:
    sheet = one_number(20, 10)
    known = resolve(sheet)
    scope = Scope("goal", frozenset({"front"}))
    hunt = hunt_for(sheet, known, [Aim("heel_margin_deg.back")], allowed={"shift_across"}, scope=scope)
    found = likely(hunt, known, Complaint())
    assert found is not None
    assert all(gain < 0.02 for gain in worth_measuring(found).values())


def test_the_shops_riders_move_the_spread_of_thresholds() -> None:
    tough = learned([Outcome(0.6, 1.0)] * 30, authors())
    tender = learned([Outcome(0.0, 0.2)] * 30, authors())
    assert tough.share(0.5) < EVEN.share(0.5) < tender.share(0.5)
    assert learned([], authors()).riders == 0
    assert (tough.riders, tender.riders) == (30, 30)


def test_nothing_is_learned_from_what_says_nothing() -> None:
    assert learned([Outcome(0.4, 0.4)] * 5, authors()).by_tenths == EVEN.by_tenths
