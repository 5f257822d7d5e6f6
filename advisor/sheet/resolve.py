"""From a sheet to the set-up that the geometry reads: units, left and right to front and back, estimates, ±."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from functools import cache

from advisor.errors import KnowledgeError
from advisor.knowledge.trees import Trees, authors
from advisor.sheet.estimates import Estimates, Rule, apply_rules, load_estimates
from advisor.sheet.measured import apply_measured
from advisor.sheet.paths import OF_EACH_FOOT, setup_paths
from advisor.sheet.practice import PracticeValue, load_practice
from advisor.sheet.readings import Known, Origin, Reading
from advisor.sheet.setup import Practice, Setup
from advisor.sheet.sheet import Leaf, Sheet

_STEPS = frozenset({"left", "right", "lean", "label", "longer"})
_LEADING = "rider.leading_foot"


def resolve(sheet: Sheet, practice: Mapping[str, PracticeValue] | None = None, *, trees: Trees | None = None) -> Known:
    """Return the set-up of a sheet with the reading behind each of its numbers.

    Parameters
    ----------
    sheet
        As read.
    practice
        The trade's numbers; those of `trees` where they are not given.
    trees
        The knowledge that is estimated from and that the result carries along; the authors' where it is not given.

    Notes
    -----
    What the sheet leaves out is estimated where `trees/estimates.yaml` has a rule for it, marked `assumed` with
    its ±, and stays `nan` where it has none.

    """
    trees = trees or authors()
    practice = load_practice(trees) if practice is None else practice
    estimates = load_estimates(trees)
    known = _told(sheet, estimates)
    _add_label(known, sheet)
    _add_rows(known, sheet, estimates)
    _estimate(known, estimates.rules)
    _name_the_pattern(known)
    _to_front_and_back(known, sheet)
    apply_measured(known, sheet)
    _add_practice(known, sheet, practice)
    setup = Setup()
    readings = {}
    for path, reading in known.items():
        part, _, name = path.rpartition(".")
        if hasattr(getattr(setup, part, None) if part else setup, name):
            setup.put(path, bool(reading.value) if name == "disc_flipped" else reading.value)
            readings[path] = reading
        elif part not in _STEPS:
            raise KnowledgeError(f"trees/estimates.yaml: a rule gives {path!r}, which is no number of a set-up")
    setup.rider.style = str(sheet.value("rider.style") or setup.rider.style)
    for side in ("front", "back"):
        foot = setup.front if side == "front" else setup.back
        foot.slots = str(sheet.value(f"mount.{side}.slots") or foot.slots)
    return Known(setup, readings, str(sheet.value(_LEADING) or "left"), trees)


def _told(sheet: Sheet, estimates: Estimates) -> dict[str, Reading]:
    forward, _ = setup_paths()
    known = {}
    for path, leaf in sheet.leaves.items():
        if path in forward:
            target, factor = forward[path]
            known[target] = _reading(path, leaf, factor, estimates)
    return known


def _reading(path: str, leaf: Leaf, factor: float, estimates: Estimates) -> Reading:
    spread = leaf.plus_minus if leaf.plus_minus is not None else estimates.reading_error.get(path, 0.0)
    value = float(leaf.value) if isinstance(leaf.value, int | float) else 0.0
    return Reading(value * factor, leaf.origin, spread * factor, path)


def _add_label(known: dict[str, Reading], sheet: Sheet) -> None:
    """Add the foot length that the labelled boot size stands for."""
    leaf = sheet.leaves.get("boots.size")
    if leaf:
        from advisor.sheet.boot_size import foot_range, parse_boot_size

        size = parse_boot_size(str(leaf.value))
        feet = foot_range(size)
        reading = Reading(feet.middle, leaf.origin, feet.plus_minus, "boots.size", size.words)
        known["label.foot_length_mm"] = known["boots.for_foot_mm"] = reading


def _add_rows(known: dict[str, Reading], sheet: Sheet, estimates: Estimates) -> None:
    """Add what the insert pattern's name says of its rows; a slot track has none."""
    path, note = "board.insert_pattern", estimates.row_pitch_note
    pattern = sheet.leaves.get(path) or Leaf("", "assumed")
    pitch = estimates.row_pitch_mm.get(str(pattern.value))
    if pitch is not None:
        known.setdefault("board.row_pitch_mm", Reading(pitch, "looked_up", 0.0, path, note))
    if pattern.value == "slot_track":
        known.setdefault("board.rows_each_way", Reading(0.0, pattern.origin, 0.0, path))
        for side in ("front", "back"):
            known.setdefault(f"{side}.row", Reading(0.0, pattern.origin, 0.0, path))
    else:
        for side in ("front", "back"):
            known.setdefault(f"{side}.track_mm", Reading(0.0, pattern.origin, 0.0, path))


def _name_the_pattern(known: dict[str, Reading]) -> None:
    """Name the insert pattern as what an assumed distance of rows hangs on: that is what a tech looks at."""
    pitch = known.get("board.row_pitch_mm")
    if pitch is not None and pitch.origin == "assumed":
        known["board.row_pitch_mm"] = pitch._replace(sheet_path="board.insert_pattern")


def _longer_foot(known: dict[str, Reading]) -> None:
    feet = [known[path] for path in ("left.foot_length_mm", "right.foot_length_mm") if path in known]
    if feet and "longer.foot_length_mm" not in known:
        known["longer.foot_length_mm"] = max(feet, key=lambda foot: foot.value)


def _estimate(known: dict[str, Reading], rules: tuple[Rule, ...]) -> None:
    """Apply the rules; those for `foot` serve both feet, and the longer foot is known once the feet are."""
    _, back = setup_paths()
    for rule in rules:
        if rule.takes == "longer.foot_length_mm":
            _longer_foot(known)
        apply_rules(known, _for_both_feet(rule), back)


@cache
def _for_both_feet(rule: Rule) -> tuple[Rule, ...]:
    side, _, name = rule.gives.partition(".")
    if side != "foot":
        return (rule,)
    rest = (rule.takes, rule.times, rule.plus, rule.plus_minus, rule.plus_minus_of, rule.source, rule.words)
    return Rule(f"front.{name}", *rest), Rule(f"back.{name}", *rest)


def _to_front_and_back(known: dict[str, Reading], sheet: Sheet) -> None:
    """Give left and right their places; where the leading foot is not told, regular is assumed and ± covers both."""
    told = sheet.value(_LEADING)
    front, back = ("right", "left") if told == "right" else ("left", "right")
    for name in OF_EACH_FOOT:
        pair = {side: known.get(f"{side}.{name}") for side in (front, back)}
        for place, side, other in (("front", front, back), ("back", back, front)):
            mine, others = pair[side], pair[other]
            if mine is None:
                continue
            if (
                told is None
                and others is not None
                and (mine.value, mine.plus_minus) != (others.value, others.plus_minus)
            ):
                spread = max(mine.plus_minus, abs(others.value - mine.value) + others.plus_minus)
                mine = Reading(mine.value, "assumed", spread, _LEADING, "left foot taken as the front foot")
            known[f"{place}.{name}"] = mine


def _add_practice(known: dict[str, Reading], sheet: Sheet, practice: Mapping[str, PracticeValue]) -> None:
    """Add the trade's numbers, those by style for the rider's style; an untold style widens the ± over all of them."""
    told = sheet.value("rider.style")
    style = str(told or Setup().rider.style)
    for spec in fields(Practice):
        entry = practice.get(spec.name) or practice.get(f"{spec.name}.{style}")
        if entry is None:
            continue
        spread, origin = entry.plus_minus, "looked_up"
        note = f"{entry.words} [{entry.source}]"
        path = f"practice.{spec.name}"
        if spec.name not in practice and told is None:
            spread = max(_reach(entry, other) for key, other in practice.items() if key.startswith(f"{spec.name}."))
            origin, path, note = "assumed", "rider.style", f"style {style} assumed; {note}"
        known[f"practice.{spec.name}"] = Reading(entry.value, _origin(origin), spread, path, note)


def _reach(entry: PracticeValue, other: PracticeValue) -> float:
    return abs(other.value - entry.value) + other.plus_minus


def _origin(name: str) -> Origin:
    return "assumed" if name == "assumed" else "looked_up"
