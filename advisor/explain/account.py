"""An answer in words: cause, what to do, what it changes, what it costs, what to feel for, cautions."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from math import isnan, nan
from typing import TYPE_CHECKING

from advisor.dialogue.answer import Answer
from advisor.dialogue.case import Case
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.replies import Level
from advisor.dialogue.walk import Line
from advisor.dialogue.wanting import to_measure
from advisor.explain.chances import chance_words
from advisor.explain.doubt import doubt_words
from advisor.explain.filling import fill, window_words
from advisor.explain.shop import shop_words
from advisor.explain.text import Heading, Points, Say, Table, Text
from advisor.explain.wording import (
    field_name,
    in_units,
    named_at,
    place_named,
    quantity,
    short_name,
    shown_unit,
    signed,
)
from advisor.geometry.register import MEASURES, SIDES
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.fields import field_rows
from advisor.sheet.units import UnitSystem
from advisor.solve.aims import spoken
from advisor.solve.reasons import unit_of
from advisor.solve.windows import Interval, load_windows

if TYPE_CHECKING:
    from advisor.graph.nodes import Referral
    from advisor.sheet.readings import Known
    from advisor.sheet.sheet import Sheet
    from advisor.solve.aims import Aim
    from advisor.solve.bench import Step
    from advisor.solve.choice import Change, Choice, Spoiled
    from advisor.solve.first_setup import FirstSetup
    from advisor.solve.out_of_window import OutOfWindow
    from advisor.solve.shortfall import Fix, Missed, Shortfall
    from advisor.solve.whatif import Effect
    from advisor.solve.whole_mount import WholeMount

_MOST_LACKING = 3
_MOST_SMALL = 4
_MOST_GRAZED = 2
_MOST_COSTS = 2
_SAME = 0.05


def answer_text(answer: Answer, units: UnitSystem = "metric", level: Level = "bench") -> Text:
    """Return an answer in words.

    Parameters
    ----------
    answer
        With outcome `advice` or `refer`.
    units
        `metric` or `imperial`.
    level
        `counter`: what and why in two sentences; `bench`: with numbers, cost and cautions; `training`: mechanics too.

    """
    known = answer.case.known
    if level == "counter":
        always = load_phrasebook(known.trees).always_told.values()
        warned = tuple(Say(words) for words in answer.cautions if words in always)
        return (*_counter(answer, known, units), *warned)
    blocks: list[Heading | Say | Points | Table] = []
    if answer.cause:
        blocks.append(Heading(answer.cause.title))
        blocks.append(Say(fill(answer.cause.because, known, answer.feet, units)))
        if level == "training":
            blocks.append(Say(fill(answer.cause.how_so, known, answer.feet, units)))
        if answer.line and answer.line.suspect.tried:
            blocks.append(Say(shop_words(answer.line.suspect, known.trees)))
    else:
        blocks.append(Heading(answer.walk.entry.title))
    if answer.says:
        blocks.append(Say(fill(answer.says, known, answer.feet, units)))
    doubt = doubt_words(answer)
    if doubt:
        blocks.append(Say(doubt))
    unchecked = unchecked_words(answer)
    if unchecked:
        blocks += [Say(load_phrasebook(known.trees).said["unchecked"]), Points(unchecked)]
    if answer.line and not answer.line.sure and not doubt:
        blocks.append(Say("Not every step is certain; 'trail' shows where the numbers could go either way."))
    if answer.verdict_as == "look_first":
        blocks += [Heading(load_phrasebook(known.trees).said["look_first"]), *map(Say, look_words(answer, units))]
    elif answer.out_first:
        assert answer.choice is not None
        blocks.append(Say(load_phrasebook(known.trees).said["out_first"]))
        blocks += [Points(out_first_words(answer, units)), *_adjustment(answer, answer.choice, units)]
    elif answer.lacking and not answer.referral:
        blocks.append(Points(to_read_off(answer)))
    elif answer.referral:
        blocks += _referral(answer, units)
    elif answer.mount:
        blocks += mount_text(answer.mount, units)
    elif answer.choice:
        blocks += _adjustment(answer, answer.choice, units)
    elif answer.missed and answer.choice is None:
        blocks.append(Heading("How near it comes"))
        blocks.append(Say(shortfall_words(answer.missed, units)))
    elif answer.aims:
        blocks.append(Heading("Leave it as it is"))
        blocks.append(_listed(aims_met(answer, units)))
    beside = beside_words(answer, units)
    if beside:
        blocks += [Heading(load_phrasebook(answer.case.trees).said["beside"]), Points(beside)]
    if answer.feel and answer.verdict_as != "look_first":
        only_told = answer.walk.entry.kind == "question" and answer.choice is None
        blocks.append(Heading("What to feel for" if only_told else "On the next run"))
        blocks.append(Say(fill(answer.feel, known, answer.feet, units)))
    if answer.cautions:
        blocks.append(Heading("Mind"))
        blocks.append(Points(tuple(in_units(words, units) for words in answer.cautions)))
    return tuple(blocks)


def look_words(answer: Answer, units: UnitSystem = "metric") -> tuple[str, ...]:
    """Return the look that settles what is only not ruled out, and what would be done then."""
    fact = answer.walk.doubted
    assert fact is not None
    told = [f"{fact.question} {in_units(fact.how, units)}"]
    if answer.if_so and answer.if_so.changes:
        changes = " ".join(what_to_do(answer.if_so, units))
        told.append(load_phrasebook(answer.case.trees).said["if_so"].format(changes=changes))
    return tuple(told)


def out_first_words(answer: Answer, units: UnitSystem = "metric") -> tuple[str, ...]:
    """Return what is outside its window and could be the cause."""
    return tuple(f"{_outside_words(one, units)}: {one.window.why}." for one in answer.out_first)


def beside_words(answer: Answer, units: UnitSystem = "metric", brief: bool = False) -> tuple[str, ...]:
    """Return what else on the sheet is outside its window, where an answer moves nothing: it is offered, not hidden."""
    if answer.choice is not None or answer.walk.entry.kind != "symptom" or answer.verdict_as == "look_first":
        return ()
    told = [one for one in answer.out_of_window if one.sure or one.state == "out"]
    return tuple(f"{_outside_words(one, units, brief)}." for one in told)


def _outside_words(one: OutOfWindow, units: UnitSystem, brief: bool = False) -> str:
    """Return a number outside its window, such as `Stance width: 420 mm (good: 516 mm to 587 mm)`."""
    words, side = named_at(one.key)
    unit = shown_unit(one.key, one.measured.measure.unit)
    good = in_units(window_words(one.window.good, unit), units)
    rough = "" if one.sure else f" ± {quantity(one.measured.plus_minus, unit, units)}"
    if brief:
        return f"{spoken(one.key)} {quantity(one.measured.value, unit, units)}{rough} (good: {good})"
    where = f"{side} foot, " if side else ""
    return f"{_capital(where + words)}: {quantity(one.measured.value, unit, units)}{rough} (good: {good})"


def to_read_off(answer: Answer) -> tuple[str, ...]:
    from advisor.solve.travel import load_travels

    travels = load_travels(answer.case.trees)
    named = [travels[path].words if path in travels else field_name(path) for path in answer.lacking]
    return tuple(f"{_capital(words)}." for words in named)


def unchecked_words(answer: Answer) -> tuple[str, ...]:
    """Return which suspects could not be looked at, and for want of which numbers, where nothing was found."""
    if answer.walk.found in answer.walk.lines:
        return ()
    return tuple(_lacking_words(answer.case, line) for line in answer.walk.lines if line.status == "unchecked")


def _lacking_words(case: Case, line: Line) -> str:
    """Return a suspect with the numbers that a look at it lacks, those that a tech can measure."""
    lacking = dict.fromkeys(path for step in line.steps for one in step.measured for path in one.needs)
    needs = dict.fromkeys(map(field_name, to_measure(load_knowledge(case.trees), case, lacking)))
    if not needs:
        return line.suspect.words
    told, more = list(needs)[:_MOST_LACKING], len(needs) - _MOST_LACKING
    return f"{line.suspect.words} (missing: {', '.join(told)}{f' and {more} more' if more > 0 else ''})"


def in_short(answer: Answer, units: UnitSystem = "metric") -> Text:
    """Return what to do once more, to stand at the end of a long answer."""
    if answer.choice is None or not answer.choice.changes or answer.mount:
        return ()
    return (Heading("In short"), Points(what_to_do(answer.choice, units), numbered=len(answer.choice.changes) > 1))


def _counter(answer: Answer, known: Known, units: UnitSystem) -> Text:
    """Return what to do and why in a sentence or two; a question's first sentence has the window and the number."""
    because = fill(answer.cause.because, known, answer.feet, units) if answer.cause else ""
    if answer.verdict_as == "look_first" and answer.walk.doubted:
        fact = answer.walk.doubted
        first = load_phrasebook(known.trees).said["look_first"]
        return (Say(f"{first}: {fact.question} {_first(in_units(fact.how, units), 1)}"),)
    if answer.lacking:
        return (Say(f"{answer.says} {' '.join(to_read_off(answer))}".strip()),)
    if answer.referral:
        says = fill(answer.referral.says, known, answer.feet, units)
        return (Say(f"{_first(because, 1)} {_first(says, 2)}" if because else _first(says, 3)),)
    asked = answer.walk.entry.kind == "question"
    says = fill(answer.says, known, answer.feet, units) if answer.says else ""
    if answer.mount:
        return (Say(" ".join(mount_words(answer.mount, units))),)
    if answer.choice is None:
        if answer.aims and answer.leave_it:
            met = _capital("; ".join(aims_met(answer, units)))
            return (Say(f"Leave it as it is. {_first(says, 1) if asked and says else f'{met}.'}"),)
        return (Say(_first(says, 2) if asked else says),)
    do = " ".join((*what_to_do(answer.choice, units), *(say.words for say in further_words(answer, units))))
    answered = " ".join((_first(says, 1), *_own_aims(answer, answer.choice, units))) if asked else ""
    return (Say(f"{do} {because or answered}".strip()),)


def _own_aims(answer: Answer, choice: Choice, units: UnitSystem) -> Iterator[str]:
    """Return where the moves lead to and the range, where the entry sets one that is no window a text could name."""
    for aim in answer.aims:
        if aim.low is not None and aim.high is not None:
            reached, unit = aimed_value(choice.what_if.known_after, aim.key)
            unit = shown_unit(aim.key, unit)
            good = in_units(window_words(Interval(aim.low, aim.high), unit), units)
            yield f"{_capital(spoken(aim.key))} comes to {quantity(reached, unit, units)} (good: {good})."


def _first(words: str, sentences: int) -> str:
    return " ".join(_SENTENCE_END.split(words)[:sentences])


_SENTENCE_END = re.compile(r"(?<=[.!?])\s+")


def _referral(answer: Answer, units: UnitSystem) -> list[Heading | Say | Points | Table]:
    assert answer.referral is not None
    head = referral_head(answer.referral, load_phrasebook(answer.case.trees).said)
    blocks: list[Heading | Say | Points | Table] = [Heading(head)]
    blocks.append(Say(fill(answer.referral.says, answer.case.known, answer.feet, units)))
    if answer.lacking:
        blocks.append(Points(to_read_off(answer)))
    elif answer.search and answer.search.shortfall:
        blocks.append(Say(shortfall_words(answer.search.shortfall, units)))
    return blocks


def referral_head(referral: Referral, said: Mapping[str, str]) -> str:
    """Return the line over a referral: its own, else who or what it goes to."""
    if referral.head:
        return referral.head
    return said["leave_it"] if referral.to == "nobody" else said["goes_to"].format(to=referral.to)


def mount_text(mount: WholeMount, units: UnitSystem) -> list[Heading | Say | Points | Table]:
    """Return the whole set-up: whether board and boots suit first, then every step with what to mind."""
    setup = mount.setup
    first = [Say(words) for words in _said_first(setup, units)]
    return [*first, Heading("In bench order"), Points(mount_words(mount, units), numbered=True)]


def mount_words(mount: WholeMount, units: UnitSystem = "metric") -> tuple[str, ...]:
    """Return each step of a whole set-up in bench order, both feet in one: what it is, what to set, what to mind."""
    by_step: dict[str, list[Step]] = {}
    for step in mount.setup.steps:
        by_step.setdefault(step.id, []).append(step)
    told = []
    for steps in by_step.values():
        parts = [_step_words(mount, step, units) for step in steps]
        told.append(" ".join([steps[0].head, *parts, steps[0].mind]).strip())
    return tuple(told)


def _step_words(mount: WholeMount, step: Step, units: UnitSystem) -> str:
    if not step.decided:
        return fill(step.says, mount.setup.known, (), units)
    words = "; ".join(words for words in (set_words(mount, step, units), step.says) if words)
    words = f"{step.foot}: {words}" if step.foot else words
    return f"{_capital(in_units(_whole(words.replace(' degrees', ' deg')), units))}."


_DECIMALS = re.compile(r"\d+\.\d+(?= (?:mm|deg)\b)")
_WORTH_A_DECIMAL = 3.0


def _whole(words: str) -> str:
    """Return a text with its millimetres and degrees as a ruler shows them; small ones keep their decimal."""
    return _DECIMALS.sub(lambda m: m[0] if float(m[0]) < _WORTH_A_DECIMAL else f"{float(m[0]):.0f}", words)


def set_words(mount: WholeMount, step: Step, units: UnitSystem = "metric") -> str:
    """Return what a step changes on the sheet, such as `heelcup in the middle, slid 3 mm toward the toe edge`."""
    at: dict[str, list[str]] = {}
    settings = load_phrasebook(mount.setup.known.trees).settings
    for path, value in step.settings.items():
        room, *rest = path.split(".")
        side = rest[0] if room == "mount" and rest[0] in SIDES and step.foot is None else ""
        words = _setting_words(rest[-1], value, settings, units) if mount.sheet.value(path) != value else ""
        if words:
            at.setdefault(side, []).append(words)
    return "; ".join(f"{side} {', '.join(words)}".strip() for side, words in at.items())


def _setting_words(part: str, value: object, settings: Mapping[str, Mapping[str, str]], units: UnitSystem) -> str:
    ways = settings.get(part, {})
    if isinstance(value, bool) or not isinstance(value, int | float):
        return ways.get(str(value).lower(), "")
    words = ways.get("any") or ways.get("zero" if value == 0 else "plus" if value > 0 else "minus", "")
    unit = field_rows()[_FIELD_OF.get(part, f"mount.front.{part}")].unit
    return words.format(value=quantity(value, unit, units), size=quantity(abs(value), unit, units))


_FIELD_OF = {"screw_length_mm": "bindings.screw_length_mm"}


def _said_first(setup: FirstSetup, units: UnitSystem) -> tuple[str, ...]:
    """Return what is said before anything is mounted: whether the board suits the boots and carries the rider."""
    from advisor.solve.bench_order import load_bench_order

    said = load_bench_order(setup.known.trees).first_said
    known = setup.known.setup
    sole = quantity(known.boots.outsole_length_mm, "mm", units, decimals=0)
    waist, least, most = (
        quantity(value, "mm", units, decimals=0) for value in (setup.waist_mm, setup.min_waist_mm, setup.max_waist_mm)
    )
    told = []
    if not isnan(setup.min_waist_mm + known.boots.outsole_length_mm):
        told.append(said[setup.fit].format(waist=waist, least=least, most=most, sole=sole))
    low, high = setup.lengths_cm
    name = "any_length" if setup.length == "unknown" else setup.length
    if name in said and name != "fits" and not isnan(low):
        kg = quantity(known.rider.weight_kg, "kg", units, decimals=0)
        length = f"{setup.sheet_after.value('board.length_cm')}"
        told.append(said[name].format(kg=kg, low=f"{low:.0f}", high=f"{high:.0f}", length=length))
    return tuple(told)


def _adjustment(answer: Answer, best: Choice, units: UnitSystem) -> list[Heading | Say | Points | Table]:
    blocks: list[Heading | Say | Points | Table] = [
        Heading("Do this"),
        Points(what_to_do(best, units), numbered=len(best.changes) > 1),
        *further_words(answer, units),
        *odds_words(answer, units),
    ]
    if best.effects:
        aimed = {aim.key: aim for aim in answer.aims}
        blocks += [Heading("What it changes"), *effects_text(best.effects, answer.case.known, units, aimed)]
    blocks.append(Say(cost_text(best, units)))
    return blocks


def further_words(answer: Answer, units: UnitSystem) -> list[Say]:
    """Return where a first step may end, or what is still short after a partial answer and what would do it."""
    said = load_phrasebook(answer.case.trees).said
    if answer.goal:
        return [Say(said["goal"].format(goal=goal_words(answer, units)))]
    if not answer.partial or answer.missed is None:
        return []
    nearer = [missed for missed in answer.missed.missed if abs(missed.reached - missed.before) > _SAME]
    told = [_still_short(missed, units, said) for missed in nearer]
    told += [_would_do(fix, units, said) for fix in answer.missed.fixes[:1]]
    if answer.beyond and answer.beyond.to != "nobody" and not answer.missed.fixes:
        told.append(said["beyond"].format(to=answer.beyond.to))
    return [Say(" ".join(told))]


def odds_words(answer: Answer, units: UnitSystem) -> list[Say]:
    words = chance_words(answer, units)
    return [Say(words)] if words else []


def goal_words(answer: Answer, units: UnitSystem) -> str:
    """Return where today's first step may end, such as `back binding at -3`."""
    assert answer.goal is not None and answer.choice is not None
    now = {change.path: change.after for change in answer.choice.changes}
    told = []
    for change in answer.goal.changes:
        if now.get(change.path) != change.after and isinstance(change.after, int | float):
            words = load_phrasebook(answer.case.trees).said["goal_at"]
            name = field_name(change.path) if change.path else change.adjustment
            unit = change.unit if change.unit in {"mm", "deg"} else ""
            told.append(words.format(field=name, to=quantity(float(change.after), unit, units)))
    return ", ".join(told)


def _still_short(missed: Missed, units: UnitSystem, said: Mapping[str, str]) -> str:
    unit = shown_unit(missed.key, unit_of(missed.key))
    before, reached = quantity(missed.before, unit, units), quantity(missed.reached, unit, units)
    wanted = in_units(window_words(Interval(missed.low, missed.high), unit), units)
    words = said["still_short"]
    return words.format(measure=_capital(named_foot(missed.key)), reached=reached, before=before, wanted=wanted)


def _would_do(fix: Fix, units: UnitSystem, said: Mapping[str, str]) -> str:
    needed, now = quantity(fix.needed, fix.unit, units, decimals=0), quantity(fix.now, fix.unit, units, decimals=0)
    return said["would_do"].format(part=fix.words, needed=needed, now=now)


def shortfall_words(short: Shortfall, units: UnitSystem = "metric") -> str:
    """Return how near the best adjustment comes, what stands in the way, and the number that would do it."""
    told = []
    for missed in short.missed:
        unit = shown_unit(missed.key, unit_of(missed.key))
        reached, wanted = quantity(missed.reached, unit, units), window_words(Interval(missed.low, missed.high), unit)
        told.append(
            f"{_capital(named_foot(missed.key))} comes to {reached} at best; wanted: {in_units(wanted, units)}."
        )
    told += [f"In the way: {in_units(words, units)}." for words in short.binds]
    told += [
        f"{fix.words[0].upper()}{fix.words[1:]}: {quantity(fix.needed, fix.unit, units)} would do it, here it is "
        f"{quantity(fix.now, fix.unit, units)}."
        for fix in short.fixes
    ]
    return " ".join(told)


def what_to_do(best: Choice, units: UnitSystem = "metric") -> tuple[str, ...]:
    """Return each change as an instruction with from, to and by how much, in marks that a hand can read."""
    known = best.what_if.known_after
    said = load_phrasebook(known.trees).said
    notch = known.setup.bindings.notch_deg if best.sheet.value("bindings.notch_deg") is not None else nan
    return tuple(_change_words(change, units, said, notch, best.sheet) for change in best.changes)


def _change_words(change: Change, units: UnitSystem, said: Mapping[str, str], notch: float, sheet: Sheet) -> str:
    words = in_units(change.words[0].upper() + change.words[1:], units)
    ends = [value for value in (change.before, change.after) if isinstance(value, int | float)]
    if len(ends) < 2 or isinstance(ends[0], bool):
        return f"{words}."
    if change.path and sheet.value(change.path) is None:
        return f"{words}."
    before, after = (_mark(float(value), change, units, said) for value in ends)
    slid = change.adjustment == "shift_across"
    told = f"from {before}{said['slots_from'] if slid and change.before else ''} to {after}"
    if change.path.endswith("angle_deg") and notch == notch:
        count = round(abs(change.by) / notch)
        told += f", {said['one_notch'] if count == 1 else said['notches'].format(count=count)}"
    if words.endswith(")"):
        return f"{words}, {told}."
    return f"{words} ({told})."


def _mark(value: float, change: Change, units: UnitSystem, said: Mapping[str, str]) -> str:
    """Return where a part stands, as it can be read off: a slide by the slot's middle, an angle with its sign."""
    unit = change.unit if change.unit in {"mm", "deg"} else ""
    if change.adjustment == "shift_across":
        where = "slot_middle" if value == 0 else "slot_toe" if value > 0 else "slot_heel"
        return said[where].format(size=quantity(abs(value), unit, units))
    if change.path.endswith("angle_deg"):
        return signed(value, unit, units) if value else quantity(value, unit, units)
    return quantity(value, unit, units)


def aims_met(answer: Answer, units: UnitSystem) -> tuple[str, ...]:
    """Return what is right already, each with its window; both feet together where the window is the same."""
    told: dict[tuple[str, str], dict[str, str]] = {}
    for aim in answer.aims:
        value, unit = aimed_value(answer.case.known, aim.key)
        window = aim.interval(load_windows(answer.case.trees).window(aim.key, answer.case.known.setup))
        words, side = named_at(aim.key)
        unit = shown_unit(aim.key, unit)
        good = in_units(window_words(window, unit), units)
        told.setdefault((words, good), {})[side] = quantity(value, unit, units)
    return tuple(f"{words} is {_at_feet(values)} (good: {good})" for (words, good), values in told.items())


_WHERE = {"front": " in front", "back": " behind", "": ""}


def _at_feet(values: dict[str, str]) -> str:
    return " and ".join(f"{value}{_WHERE[side]}" for side, value in values.items())


def _listed(told: tuple[str, ...]) -> Say | Points:
    if len(told) == 1:
        return Say(f"{_capital(told[0])}.")
    return Points(tuple(f"{_capital(one)}." for one in told))


def named_foot(key: str) -> str:
    """Return the words for a key as they stand at the head of a sentence's verb: `at the back foot, forward lean`."""
    words, side = named_at(key)
    return f"at the {side} foot, {words}" if side else words


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def aimed_value(known: Known, key: str) -> tuple[float, str]:
    """Return the present value and the unit of what an aim is about."""
    if key.partition(".")[0] not in MEASURES:
        return known.setup.get(key), unit_of(key)
    name, place = place_named(key)
    return MEASURES[name].at(known.setup, place), MEASURES[name].unit


def effects_text(
    effects: tuple[Effect, ...], known: Known, units: UnitSystem = "metric", aimed: Mapping[str, Aim] | None = None
) -> list[Table | Say]:
    """Return the measures that change enough to matter as a table, and the names of the others.

    What was aimed at shows the window that was aimed at, which may differ from the usual one.
    """
    shown: list[Effect] = []
    small: list[str] = []
    for effect in effects:
        if _matters(effect, known):
            shown.append(effect)
        elif quantity(effect.before, effect.unit, units) != quantity(effect.after, effect.unit, units):
            small.append(short_name(effect.key.partition(".")[0]))
    blocks: list[Table | Say] = [effects_table(tuple(shown), known, units, aimed)] if shown else []
    named = {short_name(effect.key.partition(".")[0]) for effect in shown}
    others = [name for name in dict.fromkeys(small) if name not in named]
    if others:
        more = len(others) - _MOST_SMALL
        few = others if more < 2 else [*others[:_MOST_SMALL], f"{more} more ('numbers' shows all)"]
        blocks.append(Say(load_phrasebook(known.trees).said["too_small"].format(names=", ".join(few))))
    return blocks


def _matters(effect: Effect, known: Known) -> bool:
    """Return whether a change is worth a row: by the measure's window, else by what its unit calls worth telling."""
    window = load_windows(known.trees).window(effect.key, known.setup)
    if window is None:
        return not abs(effect.delta) < load_phrasebook(known.trees).worth_telling.get(effect.unit, 0.0)
    return window.state(effect.before) != window.state(effect.after) or not abs(effect.delta) < window.notice


def effects_table(
    effects: tuple[Effect, ...], known: Known, units: UnitSystem = "metric", aimed: Mapping[str, Aim] | None = None
) -> Table:
    """Return measures before and after, each with its good window."""
    windows = load_windows(known.trees)
    rows = []
    for effect in effects:
        name, place = place_named(effect.key)
        unit = shown_unit(name, MEASURES[name].unit)
        aim = (aimed or {}).get(effect.key)
        good = aim.interval(windows.window(effect.key, known.setup)) if aim else windows.good(effect.key, known)
        rows.append(
            (
                short_name(name),
                str(place).replace(".", " "),
                quantity(effect.before, unit, units),
                quantity(effect.after, unit, units),
                signed(effect.delta, unit, units),
                in_units(window_words(good, unit), units) if good else "",
            )
        )
    return Table(("measure", "foot", "before", "after", "change", "good"), tuple(rows), right=(2, 3, 4))


def cost_text(best: Choice, units: UnitSystem = "metric", brief: bool = False) -> str:
    """Return what a change costs elsewhere, in words: whatever it takes out of its window or further out of it.

    `brief` names measures as `numbers` does, and only the first few.
    """
    said = load_phrasebook(best.what_if.known_after.trees).said
    minutes = f"{best.minutes:g} minute{'' if best.minutes == 1 else 's'}"
    name = spoken if brief else named_foot
    told = [_spoiled_words(spoil, units, name) for spoil in best.spoils]
    told += [_worse_words(effect, best, units, name) for effect in _worse(best)]
    more = len(told) - _MOST_COSTS
    if brief and more > 1:
        told = [*told[:_MOST_COSTS], said["costs_more"].format(count=more)]
    told += [change.loses.rstrip(".") for change in best.changes if change.loses]
    if told:
        return said["costs"].format(costs="; ".join(told), minutes=minutes)
    if best.grazes:
        few = "; ".join(_spoiled_words(grazed, units, name) for grazed in best.grazes[:_MOST_GRAZED])
        return f"{said['grazes'].format(measures=few)} {said['bench_minutes'].format(minutes=minutes)}"
    if not any(change.path for change in best.changes):
        return said["bench_minutes"].format(minutes=minutes)
    return said["cost_free"].format(minutes=minutes)


_RANK = {"good": 0, "close": 1, "out": 2}


def _worse(best: Choice) -> Iterator[Effect]:
    """Yield what a change makes worse by its window's own states, besides what it spoils."""
    spoiled = {spoil.key for spoil in (*best.spoils, *best.grazes)}
    windows = load_windows(best.what_if.known_after.trees)
    for effect in best.effects:
        window = windows.window(effect.key, best.what_if.known_after.setup)
        if window is None or effect.key in spoiled:
            continue
        if _RANK.get(window.state(effect.after), 0) > _RANK.get(window.state(effect.before), 0):
            yield effect


def _worse_words(effect: Effect, best: Choice, units: UnitSystem, name: Callable[[str], str]) -> str:
    known = best.what_if.known_after
    window = load_windows(known.trees).window(effect.key, known.setup)
    assert window is not None
    unit = shown_unit(effect.key, effect.unit)
    before, after = (quantity(value, unit, units) for value in (effect.before, effect.after))
    good = in_units(window_words(window.good, unit), units)
    return f"{name(effect.key)} goes from {before} to {after} (good: {good})"


def _spoiled_words(spoil: Spoiled, units: UnitSystem, name: Callable[[str], str]) -> str:
    before, after = (quantity(value, spoil.unit, units) for value in (spoil.before, spoil.after))
    return f"{name(spoil.key)} goes from {before} to {after} (good: {in_units(spoil.good, units)})"
