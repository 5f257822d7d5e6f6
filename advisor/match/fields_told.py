"""Fields of the sheet told in a sentence: which number is whose, of which foot, and what has no place.

A number belongs to the field named nearest to it in its clause; a clause without a name goes on with the one before.
Front and back before a part of the body are no bindings; what is somebody else's, past, planned or denied is no fact.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from advisor.knowledge.trees import Trees, authors, of_trees
from advisor.match.angles import AngleWords, angle_pair, signed_as_duck
from advisor.match.api import Told
from advisor.match.expressions import Expressions, Found
from advisor.match.heard import Clause, Heard, hearing
from advisor.match.numbers import Number
from advisor.sheet.fields import field_rows
from advisor.sheet.units import FACTORS

_FEET = ("front", "back")
_SIDES = ("left", "right")
_UNIT_NAMES = {"kmh": "km/h", "nm": "N·m", "ms": "m/s"}
_COUNTS = {"rows", "steps", "teeth", "turns", ""}
_ARTICLES = {"the", "a", "an", "at", "on", "it", "is", "it's", "its", "about", "quite", "my"}
_NOT = {"not", "isn't", "isnt", "wasn't", "wasnt", "never", "ain't", "than"}
_ANGLE = "mount.{foot}.angle_deg"
_HEIGHT, _WEIGHT, _BOARD, _SPEED = "rider.height_cm", "rider.weight_kg", "board.length_cm", "rider.speed_kmh"
_PRONOUN_BEFORE = {
    "of",
    "to",
    "for",
    "with",
    "let",
    "all",
    "tell",
    "told",
    "gives",
    "give",
    "both",
    "sold",
    "gave",
    "help",
}
_AFTER_PENALTY = 1.6
_WRONG_SIDE = 6.0
_REACH = 9
_SHORTEST_FOOT_CM = 18


class FieldsTold(NamedTuple):
    """What a line tells for the sheet, and the words of numbers that have no place on it."""

    facts: tuple[Told, ...]
    not_placed: tuple[str, ...]


class _Spec(NamedTuple):
    path: str
    low: float
    high: float
    unit: str
    plus: Expressions[str]
    minus: Expressions[str]
    limits: tuple[float, float]
    needs: bool
    silent: bool
    inches: bool
    from_ninety: bool


def in_field_unit(
    number: Number,
    unit: str,
    low: float,
    high: float,
    limits: tuple[float, float] | None = None,
    inches: bool = True,
) -> float | None:
    """Return a number told in a field's own unit; without a unit, the one that makes it fit is taken.

    Parameters
    ----------
    number
        As heard.
    unit
        The field's unit, such as `mm`; empty for counts.
    low, high
        What the field usually is; decides which unit is meant where none was said.
    limits
        What it can hold at all, for a number told with its unit; the same where left out.
    inches
        Whether a number without a unit may be in inches.

    Returns
    -------
    float or None
        None where the unit is of another kind, or nothing fits.

    """
    value = number.value
    family = FACTORS.get(unit, {})
    told = _UNIT_NAMES.get(number.unit, number.unit)
    if not family:
        return value if number.unit in _COUNTS and low <= value <= high else None
    if told in family:
        made = round(value * family[told] / family[unit], 2)
        least, most = limits or (low, high)
        return made if least <= made <= most else None
    if told:
        return None
    if low <= value <= high:
        return value
    for other in ("cm", "m", "in", "mm"):
        if other in family and other != unit and (inches or other != "in"):
            made = round(value * family[other] / family[unit], 2)
            if low <= made <= high:
                return made
    return None


class FieldReader:
    """Reads the sheet's fields out of lines, with the words of `trees/telling.yaml`."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.data = data
        self.rows = field_rows()
        self.specs: dict[str, _Spec] = {}
        names: list[tuple[str, str]] = []
        zeros: list[tuple[str, str]] = []
        for path, spec in data["fields"].items():
            low, high = spec["usual"]
            row = self.rows.get(_example(path))
            unit = spec.get("unit", row.unit if row else _unit_of(path))
            limits = (min(low, row.low), max(high, row.high)) if row and row.kind == "number" else (low, high)
            plus, minus = (Expressions.of(spec.get(way, ())) for way in ("plus", "minus"))
            flags = [name in spec for name in ("needs", "silent", "inches", "from_ninety")]
            self.specs[path] = _Spec(path, low, high, unit, plus, minus, limits, *flags)
            names += [(words, path) for words in spec["names"]]
            zeros += [(words, path) for words in spec.get("zero", ())]
        self.names = Expressions(names)
        self.zeros = Expressions(zeros)
        feet = [(words, foot) for foot in (*_FEET, "both") for words in data[foot]]
        self.feet = Expressions([*feet, ("left", "left"), ("right", "right")])
        self.body = Expressions.of(data["body"])
        self.not_back = frozenset(data["not_back"])
        cut = hearing(authors()).data
        self.no_after = Expressions.of(cut["no_field_after"])
        self.no_before = frozenset(cut["no_field_before"])
        self.no_clause = Expressions.of(cut["no_field_clause"])
        self.take_back = Expressions.of(cut["take_back"])
        self.sizes = Expressions((words, name) for name, ways in data["sizes"].items() for words in ways)
        self.size_cues = Expressions.of(data["size_cues"])
        self.not_size = frozenset(data["not_size"])
        self.men, self.women = frozenset(data["men"]), frozenset(data["women"])
        self.choices = Expressions(
            (words, (path, value))
            for path, ways in data["choices"].items()
            for value, said in ways.items()
            for words in said
        )
        said = [
            words
            for spec in data["fields"].values()
            for way in ("names", "plus", "minus", "zero")
            for words in spec.get(way, ())
        ]
        self.words = frozenset(
            word for words in [*said, *cut["small_talk"], *cut["small_words"], *_FEET] for word in str(words).split()
        )
        self.height_cues = Expressions.of(data["height_cues"])
        self.board_cues = Expressions.of(data["board_cues"])
        about_angles = ("angle_between", "duck", "angle_cues", "angle_names")
        self.angle_words = AngleWords(*(frozenset(data[name]) for name in about_angles))
        self.same = Expressions.of(data["angle_same"])
        self.outward = Expressions.of(data["angle_outward"])

    def spec(self, path: str) -> _Spec | None:
        """Return how a field is told, by its path on the sheet."""
        for ending in (path, re.sub(r"\b(front|back)\b", "{foot}", path), re.sub(r"\b(left|right)$", "{side}", path)):
            if ending in self.specs:
                return self.specs[ending]
        return None

    def told(self, heard: Heard, leading: str | None = None, defaults: bool = True) -> FieldsTold:
        """Return what a line tells.

        Parameters
        ----------
        heard
            The line.
        leading
            The foot in front, `left` or `right`, where it is known: it makes front and back of left and right.
        defaults
            Whether numbers that nothing names are read by what they can be.

        """
        return _Line(self, heard, leading).read(defaults)


class _Line:
    """One line being read."""

    def __init__(self, reader: FieldReader, heard: Heard, leading: str | None) -> None:
        self.reader, self.heard, self.leading = reader, heard, leading
        self.forms = heard.bare
        self.used: set[int] = set()
        self.made: dict[str, tuple[int, Told]] = {}
        self.not_placed: list[str] = []
        self.feet = self._feet()
        self.takes_back = [one.start for one in reader.take_back.find(self.forms)]
        self.numbers = [one for one in heard.numbers if not self._set_aside(one)]

    # ------------------------------------------------------------------ what counts

    def _set_aside(self, one: Number) -> bool:
        """Tell whether a number is no fact of this rider's set-up as it stands; its place counts as used."""
        forms = self.forms
        clause = self.heard.clause_at(one.start)
        if clause is None:
            return True
        before = forms[one.start - 1] if one.start else ""
        beyond = forms[one.start - 2] if one.start > 1 else ""
        if clause.owner == "other" or clause.when:
            return True
        if before in _NOT or (before in _ARTICLES and beyond in _NOT):
            return True
        if before == "from" and "to" in forms[one.end : one.end + 3]:
            return True
        after = self.reader.no_after.at(forms, one.bare_end) if one.bare_end < len(forms) else None
        if after and not one.unit and not self._age(after, one):
            return True
        if (
            one.end < len(forms)
            and one.unit in {"deg", "m", "kmh"}
            and self.reader.no_after.at(forms, one.end)
            and not one.about
        ):
            return forms[one.end] not in {"minutes", "d", "am"}
        if before in self.reader.no_before and not one.unit:
            return True
        if one.unit in {"", "deg"} and self.reader.no_clause.find(forms, clause.start, clause.end):
            return not (
                one.unit == "" and any(foot.start >= clause.start for foot in self.feet if foot.end <= clause.end)
            )
        return forms[one.end : one.end + 1] == ["c"] or (before in {"temp", "temperature"})

    def _age(self, after: Found[str], one: Number) -> bool:
        """Tell whether days are told of boots or board: "these boots for about 60 days"."""
        if not after.means.startswith("day"):
            return False
        around = self.forms[max(0, one.start - 8) : one.end + 8]
        for part, path in (("boots", "boots.age_days"), ("board", "board.age_days")):
            if part in around and any(word in around for word in ("had", "have", "old", "got", "on", "for")):
                self._tell(path, one.value, one.start, after.end)
        return False

    def _feet(self) -> list[Found[str]]:
        found = []
        forms = self.forms
        inside = {place for one in self.heard.numbers for place in range(one.start, one.end)}
        for one in self.reader.feet.find(forms):
            if one.start in inside:
                continue
            before = forms[one.start - 1] if one.start else ""
            body = self.reader.body.at(forms, one.end) if one.end < len(forms) else None
            if one.means in _FEET and body and forms[one.end - 1] != "behind":
                continue
            if one.means == "back" and forms[one.start] == "back" and before in self.reader.not_back:
                continue
            if len(forms[one.start]) == 1 and not (self._beside_number(one) and "f" in forms):
                continue
            if (
                one.means == "right"
                and before in {"all", "is", "about", "just", "quite", "that's", "not", "the"}
                and one.end < len(forms)
            ) and forms[one.end] in {"now", "size", "length", "amount", "thing", "way", "one", "?", "for"}:
                continue
            found.append(one)
        return found

    def _beside_number(self, one: Found[str]) -> bool:
        return any(number.start == one.end or number.end == one.start for number in self.heard.numbers)

    # ------------------------------------------------------------------ telling

    def _tell(self, path: str, value: float | str | bool, start: int, end: int) -> None:
        """Note a fact; what is told later in the line holds only where something was taken back between."""
        if isinstance(value, float):
            value = int(value) if value == int(value) else round(value, 2)
        before = self.made.get(path)
        self.used.update(range(start, end))
        if before and not any(before[0] <= place <= start for place in self.takes_back):
            return
        self.made[path] = (start, Told(path, value, self.heard.words(start, end)))

    def _paths(self, path: str, foot: str) -> list[str]:
        """Return the fields of a path that holds for one foot or side; none where the side can't be told."""
        if "{side}" in path:
            sides = list(_SIDES) if foot in {"both", ""} else [foot]
            return [path.replace("{side}", side) for side in (self._side(one) for one in sides) if side]
        if "{foot}" in path:
            feet = list(_FEET) if foot in {"both", ""} else [foot]
            return [path.replace("{foot}", side) for side in (self._foot(one) for one in feet) if side]
        return [path]

    def _foot(self, told: str) -> str:
        if told in _FEET:
            return told
        return "" if self.leading is None else "front" if told == self.leading else "back"

    def _side(self, told: str) -> str:
        if told in _SIDES:
            return told
        if self.leading is None:
            return ""
        return self.leading if told == "front" else "left" if self.leading == "right" else "right"

    # ------------------------------------------------------------------ the whole line

    def read(self, defaults: bool = True) -> FieldsTold:
        self._leading_foot()
        if defaults:
            self._bodies()
        self._sizes()
        self._screws()
        self._named()
        self._zeros()
        self._angles()
        if defaults:
            self._by_default()
        for one in self.reader.choices.find(self.forms):
            path, value = one.means
            clause = self.heard.clause_at(one.start)
            if clause is None or clause.owner == "other" or clause.when or self._denied(one.start, clause):
                continue
            foot = self._foot_near(one.start, one.end, clause)
            for field in self._paths(path, foot):
                self._tell(field, value == "true" or value, one.start, one.end)
        self._leftover()
        facts = [told for _, told in sorted(self.made.values(), key=lambda one: one[0]) if not self._silent(told.key)]
        return FieldsTold(tuple(facts), tuple(self.not_placed))

    def _silent(self, key: str) -> bool:
        spec = self.reader.specs.get(key)
        return bool(spec and spec.silent)

    def _leading_foot(self) -> None:
        data, forms = self.reader.data, self.forms
        leads = {}
        for foot, expressions in data["leading"].items():
            for one in Expressions.of(expressions).find(forms):
                before = forms[one.start - 1] if one.start else ""
                clause = self.heard.clause_at(one.start)
                if before in data["not_leading"] or (clause and (clause.owner == "other" or clause.when)):
                    continue
                if one.end < len(forms) and forms[one.end] in data["not_leading_after"]:
                    continue
                leads[foot] = one
        if len(leads) == 1:
            ((foot, one),) = leads.items()
            self.leading = foot
            self._tell("rider.leading_foot", foot, one.start, one.end)

    def _denied(self, place: int, clause: Clause) -> bool:
        return any(form in _NOT or form == "no" for form in self.forms[max(clause.start, place - 3) : place])

    # ------------------------------------------------------------------ bodies

    def _bodies(self) -> None:
        """Read heights in feet and inches or metres, and weights: their units name them."""
        numbers, forms = self.numbers, self.forms
        for place, one in enumerate(numbers):
            if one.start in self.used:
                continue
            if self._said_as_height(one):
                continue
            after = numbers[place + 1] if place + 1 < len(numbers) else None
            gap = self.forms[one.end : after.start] if after else ["?"]
            near = after if after and (not gap or gap == ["and"]) else None
            if one.unit == "ft" and 3 <= one.value <= 7:
                inches = (
                    near.value if near and near.unit in {"in", ""} and near.value < 12 and near.unit != "deg" else 0.0
                )
                end = near.end if near and inches else one.end
                if forms[one.end : one.end + 1] == ["one"]:
                    inches, end = 1.0, one.end + 1
                if not inches and self._named_near(one):
                    continue
                self._tell(_HEIGHT, float(round((one.value * 12 + inches) * 2.54)), one.start, end)
            elif (
                one.unit == "m" and one.value in (1, 2) and near and near.unit in {"", "cm"} and 10 <= near.value < 100
            ):
                self._tell(_HEIGHT, one.value * 100 + near.value, one.start, near.end)
            elif one.unit == "st":
                pounds = (
                    near.value
                    if near and near.unit in {"lb", ""} and near.value < 14 and not self._feet_follow(near)
                    else 0.0
                )
                end = near.end if near and pounds else one.end
                self._tell(_WEIGHT, round((one.value * 14 + pounds) * 0.45359237, 1), one.start, end)
            elif one.unit in {"kg", "lb"} and not self._named_near(one):
                kg = one.value if one.unit == "kg" else one.value * 0.45359237
                if 12 <= kg <= 200:
                    self._tell(_WEIGHT, round(kg, 1), one.start, one.end)
            elif one.unit in {"kmh", "mph"}:
                self._tell(_SPEED, round(one.value * (1.609344 if one.unit == "mph" else 1), 1), one.start, one.end)
            elif (
                not one.unit
                and not one.signed
                and 4 <= one.value <= 7
                and near
                and not near.unit
                and 0 <= near.value < 12
            ):
                if self._body_led(one) and not gap and "." not in self.heard.words(one.start, one.end):
                    self._tell(_HEIGHT, float(round((one.value * 12 + near.value) * 2.54)), one.start, near.end)
            elif (
                not one.unit
                and 1.2 <= one.value <= 2.15
                and one.value != int(one.value)
                and self._body_led(one, loose=True)
            ):
                self._tell(_HEIGHT, round(one.value * 100, 1), one.start, one.end)
        self._dashed_height()

    def _said_as_height(self, one: Number) -> bool:
        """Read "five eleven" and "5-9" beside a word for a body."""
        if one.unit or one.signed or not self._body_led(one):
            return False
        feet, inches = divmod(one.value, 100) if not one.ranged else (one.low, one.high)
        in_words = not self.forms[one.start][0].isdigit()
        if feet not in (4, 5, 6) or not 0 <= inches < 12 or not (in_words or one.ranged):
            return False
        self._tell(_HEIGHT, float(round((feet * 12 + inches) * 2.54)), one.start, one.end)
        return True

    def _feet_follow(self, pounds: Number) -> bool:
        """Tell whether a number begins a height: "eleven stone five eleven"."""
        after = next((one for one in self.numbers if one.start == pounds.end), None)
        return bool(after and not after.unit and after.value < 12 and 4 <= pounds.value <= 6)

    def _dashed_height(self) -> None:
        """Read "5-9" beside a word for a body."""
        for one, other in zip(self.numbers, self.numbers[1:], strict=False):
            gap = self.forms[one.end : other.start]
            if one.start in self.used or other.start in self.used or gap != ["-"]:
                continue
            if one.value in (4, 5, 6) and 0 <= other.value < 12 and self._body_led(one):
                self._tell(_HEIGHT, float(round((one.value * 12 + other.value) * 2.54)), one.start, other.end)

    def _body_led(self, one: Number, loose: bool = False) -> bool:
        """Tell whether a weight or words for a body stand right before a number; `loose`: or nothing."""
        forms = self.forms
        before = forms[max(0, one.start - 3) : one.start]
        if any(self.reader.height_cues.find(before)):
            return True
        weight = self.made.get(_WEIGHT)
        if weight and any(number.end == one.start and number.unit in {"st", "kg", "lb"} for number in self.numbers):
            return True
        return loose and not before

    def _named_near(self, one: Number) -> bool:
        clause = self.heard.clause_at(one.start)
        if clause is None:
            return False
        return any(
            found.means not in {_HEIGHT, _WEIGHT}
            for found in self.reader.names.find(self.forms, clause.start, clause.end)
            if found.end <= one.start and one.start - found.end <= 3
        )

    # ------------------------------------------------------------------ boot sizes

    def _sizes(self) -> None:
        data = self.reader.data
        cues = self.reader.size_cues.find(self.forms)
        systems = self.reader.sizes.find(self.forms)
        for one in self.numbers:
            if one.start in self.used or one.unit not in {"", "cm"} or one.signed or one.ranged:
                continue
            name, start, end = self._system(one, systems)
            if not name and not one.unit:
                name = self._bare_size(one, cues)
            if not name:
                continue
            value = one.value / 10 if name == "mondo" and one.value > 100 else one.value
            low, high = data["size_bounds"][name]
            if not low <= value <= high:
                continue
            around = self.forms[max(0, start - 3) : end + 3]
            sex = "W " if self.reader.women.intersection(around) and name == "US" else ""
            sex = sex or ("M " if name == "US" and self._man(start, end) else "")
            size = f"{name} {sex}{value:g}"
            if name == "mondo" or "boots.size" not in self.made:
                self.made.pop("boots.size", None)
                self._tell("boots.size", size, start, end)
            else:
                self.used.update(range(start, end))

    def _man(self, start: int, end: int) -> bool:
        near = self.forms[max(0, start - 2) : start] + self.forms[start : end + 2]
        return bool(self.reader.men.intersection(near))

    def _system(self, one: Number, systems: list[Found[str]]) -> tuple[str, int, int]:
        """Return the system that stands beside a number: "EU 42", "10.5 US men's", "mondo 27", "US M 11"."""
        fillers = (
            self.reader.men
            | self.reader.women
            | {"size", "sizes", "'", "s", "is", "a", "point", "in", "sized", ":", "boot", "boots", "of", "shoe"}
        )
        for system in systems:
            if self.forms[system.start] == "us" and system.start and self.forms[system.start - 1] in _PRONOUN_BEFORE:
                continue
            if system.end <= one.start and all(form in fillers for form in self.forms[system.end : one.start]):
                return system.means, system.start, one.end
            if system.start >= one.end and all(form in fillers for form in self.forms[one.end : system.start]):
                return system.means, one.start, system.end
        return "", one.start, one.end

    def _bare_size(self, one: Number, cues: list[Found[str]]) -> str:
        clause = self.heard.clause_at(one.start)
        if clause is None or self.reader.not_size.intersection(self.forms[clause.start : clause.end]):
            return ""
        near = any(
            (0 <= one.start - cue.end <= 2 or 0 <= cue.start - one.end <= 1)
            for cue in cues
            if clause.start <= cue.start < clause.end
        )
        if not near:
            return ""
        for name, (low, high) in self.reader.data["bare_sizes"].items():
            if low <= one.value <= high and (one.value * 2).is_integer():
                return str(name)
        return ""

    def _screws(self) -> None:
        """Read "M6x16": the thread and the length of a screw."""
        forms = self.forms
        for place in range(len(forms) - 3):
            if (
                forms[place] == "m"
                and forms[place + 1] == "6"
                and forms[place + 2] == "x"
                and forms[place + 3].isdigit()
            ):
                self._tell("bindings.screw_length_mm", float(forms[place + 3]), place, place + 4)

    # ------------------------------------------------------------------ named fields

    def _named(self) -> None:
        reader, forms = self.reader, self.forms
        current: tuple[str, ...] = ()
        carried = ""
        for clause in self.heard.clauses:
            names = [
                one
                for one in reader.names.find(forms, clause.start, clause.end)
                if not any(place in self.used for place in range(one.start, one.end))
            ]
            numbers = [
                one for one in self.numbers if clause.start <= one.start < clause.end and one.start not in self.used
            ]
            if clause.owner == "other" or clause.when:
                current = tuple(dict.fromkeys(one.means for one in names)) or current
                continue
            foot_here = [foot for foot in self.feet if clause.start <= foot.start < clause.end]
            if names and numbers:
                self._assign(clause, names, numbers, carried)
                current = tuple(dict.fromkeys(one.means for one in names))
            elif numbers and not names:
                self._go_on(clause, numbers, current, carried)
            elif names:
                current = tuple(one.means for one in names)
                self._named_behind(clause, names)
                if not foot_here:
                    carried = carried if numbers else ""
            if foot_here and (names or numbers):
                carried = foot_here[-1].means
            if foot_here and not numbers and not names:
                carried = foot_here[-1].means

    def _assign(self, clause: Clause, names: list[Found[str]], numbers: list[Number], carried: str) -> None:
        """Give each number of a clause the name nearest to it that it fits."""
        pair = angle_pair(self.forms, numbers, self.reader.angle_words)
        ways: list[tuple[float, int, int]] = []
        numbers_lead = numbers[0].end <= names[0].start
        for which, name in enumerate(names):
            for place, one in enumerate(numbers):
                behind = name.end <= one.start
                gap = float(one.start - name.end if behind else name.start - one.end)
                gap += _AFTER_PENALTY if behind == numbers_lead else 0.0
                if name.start < one.end and one.start < name.end:
                    gap = 0.0
                if 0 <= gap <= _REACH:
                    ways.append((gap, which, place))
        taken_names: set[int] = set()
        taken: set[int] = set()
        for _, which, place in sorted(ways):
            if place in taken or which in taken_names:
                continue
            one, path = numbers[place], names[which].means
            if path == _ANGLE:
                continue
            spec = self.reader.specs[path]
            paired = pair is not None and place in pair
            if paired and "{" not in path:
                continue
            value = self._value(one, spec, clause)
            if value is None:
                continue
            if paired and pair is not None:
                other = numbers[pair[0] + pair[1] - place]
                second = self._value(other, spec, clause)
                if second is None:
                    continue
                first_foot, second_foot = ("front", "back") if "{foot}" in path else ("left", "right")
                ordered = (value, second) if place == pair[0] else (second, value)
                self._tell_each(
                    path,
                    ((first_foot, ordered[0]), (second_foot, ordered[1])),
                    numbers[pair[0]].start,
                    numbers[pair[1]].end,
                )
                taken |= set(pair)
                taken_names.add(which)
                continue
            foot = self._foot_of(one, names[which], clause, carried) if "{" in path else ""
            start, end = min(one.start, names[which].start), max(one.end, names[which].end)
            if self._tell_each(path, ((foot, value),), start, end, one):
                taken.add(place)
                taken_names.add(which)
        left = [one for place, one in enumerate(numbers) if place not in taken and one.start not in self.used]
        paired_names = [names[which].means for which in taken_names if "{" in names[which].means]
        for one in left:
            foot = self._foot_of(one, None, clause, "")
            if not foot or foot == "both":
                continue
            for path in dict.fromkeys(paired_names):
                value = self._value(one, self.reader.specs[path], clause)
                if value is not None and path != _ANGLE and self._free(path, foot):
                    self._tell_each(path, ((foot, value),), one.start, one.end, one)
                    break

    def _named_behind(self, clause: Clause, names: list[Found[str]]) -> None:
        """Give the lone number of the clause before the name that follows it: "51 not 15, stance"."""
        before = [one for one in self.heard.clauses if one.end <= clause.start]
        if not before or clause.end - clause.start > 3:
            return
        last = before[-1]
        left = [one for one in self.numbers if last.start <= one.start < last.end and one.start not in self.used]
        if len(left) == 1 and not self.reader.names.find(self.forms, last.start, last.end):
            self._assign(clause, names[:1], left, "")

    def _free(self, path: str, foot: str) -> bool:
        return all(field not in self.made for field in self._paths(path, foot))

    def _go_on(self, clause: Clause, numbers: list[Number], current: tuple[str, ...], carried: str) -> None:
        """Read numbers without a name as more of what the clause before named."""
        for path in current:
            if path == _ANGLE:
                continue
            spec = self.reader.specs[path]
            for one in numbers:
                if one.start in self.used or angle_pair(self.forms, numbers, self.reader.angle_words):
                    continue
                value = self._value(one, spec, clause)
                if value is None:
                    continue
                foot = self._foot_of(one, None, clause, carried) if "{" in path else ""
                taken_back = any(
                    self.made[key][0] <= place <= one.start
                    for place in self.takes_back
                    for key in self._paths(path, foot)
                    if key in self.made
                )
                before = max(
                    (other.end - other.start for other in self.heard.clauses if other.end <= clause.start), default=0
                )
                guessed = not one.unit and value != one.value
                if guessed and before > 5 and not taken_back and "{" not in path:
                    continue
                if "{" in path:
                    if (foot and self._free(path, foot)) or taken_back:
                        self._tell_each(path, ((foot, value),), one.start, one.end, one)
                elif path not in self.made or taken_back:
                    self._tell(path, value, one.start, one.end)

    def _tell_each(
        self, path: str, told: Iterable[tuple[str, float]], start: int, end: int, one: Number | None = None
    ) -> bool:
        done = False
        for foot, value in told:
            fields = self._paths(path, foot)
            if not fields and one is not None:
                self.not_placed.append(self.heard.words(one.start, one.end))
                self.used.update(range(one.start, one.end))
            for field in fields:
                self._tell(field, value, start, end)
                done = True
        if one is not None and done:
            self.used.update(range(one.start, one.end))
        return done

    def _value(self, one: Number, spec: _Spec, clause: Clause) -> float | None:
        """Return a number in a field's unit with its direction, or None where it does not fit."""
        unit = "" if spec.unit in {"days"} else spec.unit
        value = in_field_unit(one, unit, spec.low, spec.high, spec.limits, spec.inches)
        if value is None and one.unit in _COUNTS and unit == "":
            value = one.value if spec.low <= one.value <= spec.high else None
        if value is None or (spec.path.startswith("rider.foot_length") and self._no_foot_length(one)):
            return None
        if not one.signed and value:
            span = (max(clause.start, one.start - 4), min(clause.end, one.end + 6))
            minus = spec.minus.find(self.forms, *span)
            plus = spec.plus.find(self.forms, *span)
            if minus and not plus:
                return -value if -value >= spec.low else None
            if plus and minus:
                gaps = [(abs(found.start - one.end), sign) for sign, ways in ((1, plus), (-1, minus)) for found in ways]
                value *= min(gaps)[1]
            elif spec.needs and not plus:
                return None
        return value

    def _no_foot_length(self, one: Number) -> bool:
        """Tell whether a number behind "foot" is an angle: "front foot at 15", "front foot 15"."""
        small = not one.unit and one.value < _SHORTEST_FOOT_CM
        return small or self.forms[one.start - 1 : one.start] == ["at"]

    def _foot_of(self, one: Number, name: Found[str] | None, clause: Clause, carried: str) -> str:
        """Return the foot a number is told for: the nearest in its clause, else the one carried on."""
        start = min(one.start, name.start) if name else one.start
        end = max(one.end, name.end) if name else one.end
        del start, end
        feet = [foot for foot in self.feet if clause.start <= foot.start < clause.end]
        if not feet:
            return carried
        others = [number for number in self.numbers if clause.start <= number.start < clause.end and number is not one]
        led = min([one.start, *(other.start for other in others)])
        first = feet[0].start < led
        best: tuple[float, str] | None = None
        for foot in feet:
            low, high = (foot.end, one.start) if foot.end <= one.start else (one.end, foot.start)
            if any(low <= other.start < high for other in others):
                continue
            gap = high - low + (_WRONG_SIDE if (foot.end <= one.start) != first else 0.0)
            if best is None or gap < best[0]:
                best = gap, foot.means
        return best[1] if best else (carried if not others else "")

    def _foot_near(self, start: int, end: int, clause: Clause) -> str:
        feet = [foot for foot in self.feet if clause.start <= foot.start < clause.end]
        if not feet:
            return ""
        return min(feet, key=lambda foot: min(abs(foot.start - end), abs(start - foot.end))).means

    def _zeros(self) -> None:
        """Read words that say nought: "no cants", "both on the reference", "nothing on the back"."""
        for one in self.reader.zeros.find(self.forms):
            clause = self.heard.clause_at(one.start) or self.heard.clause_at(one.end - 1)
            if clause is None or clause.owner == "other" or clause.when:
                continue
            path = one.means
            foot = self._foot_near(one.start, one.end, clause) if "{" in path else ""
            for field in self._paths(path, foot):
                if field not in self.made:
                    self._tell(field, 0.0, one.start, one.end)
        self._nothing_at_the_other()

    def _nothing_at_the_other(self) -> None:
        """Read "highback turned 12 front, nothing on the back"."""
        for place, form in enumerate(self.forms):
            clause = self.heard.clause_at(place)
            if form not in {"nothing", "none", "normal", "not"} or place in self.used or clause is None:
                continue
            if clause.end - clause.start > 5 or clause.owner == "other":
                continue
            for side in (foot.means for foot in self.feet if clause.start <= foot.start < clause.end):
                other = {"front": "back", "back": "front"}.get(side)
                for spec in self.reader.specs.values():
                    paired = other and "{foot}" in spec.path and spec.path != _ANGLE and spec.low <= 0
                    if paired and spec.path.replace("{foot}", str(other)) in self.made:
                        self._tell(spec.path.replace("{foot}", side), 0.0, place, place + 1)

    # ------------------------------------------------------------------ angles

    def _angles(self) -> None:
        forms, spec = self.forms, self.reader.specs[_ANGLE]
        free = [
            one
            for one in self.numbers
            if one.start not in self.used
            and one.unit in {"", "deg"}
            and one.value == int(one.value)
            and spec.low <= one.value <= spec.high
            and not one.ranged
        ]
        self._triple(free)
        free = [one for one in free if one.start not in self.used]
        names = [one for one in self.reader.names.find(forms) if one.means == _ANGLE]
        pair = angle_pair(forms, free, self.reader.angle_words, named=[one.start for one in names], notched=True)
        outward = [one.start for one in self.reader.outward.find(forms)]
        if pair:
            first, second = free[pair[0]], free[pair[1]]
            clause = self.heard.clause_at(first.start)
            low = max(0, first.start - 3)
            feet = [
                foot.means
                for foot in self.feet
                if low <= foot.start <= second.end + 2 and foot.means in {"front", "back", "left", "right"}
            ]
            leads, trails = first.value, signed_as_duck(forms, first, second, self.reader.angle_words)
            order = ["front", "back"]
            if (feet and len(set(feet)) > 1) or (feet and feet[0] == "back" and self._foot_before(first)):
                named = [self._foot(foot) for foot in dict.fromkeys(feet)]
                if named[0] == "back":
                    order = ["back", "front"]
                elif not named[0]:
                    order = []
            elif self._swapped(second.end):
                order = ["back", "front"]
            for foot, value in zip(order, (leads, trails), strict=False):
                self._tell(_ANGLE.replace("{foot}", foot), value, first.start, second.end)
            del clause
        duck = [place for place, form in enumerate(forms) if form in self.reader.angle_words.duck]
        for one in free:
            if one.start in self.used:
                continue
            clause = self.heard.clause_at(one.start)
            if clause is None:
                continue
            foot = self._foot_of(one, None, clause, self._carried_foot(one, clause))
            ducked = any(abs(place - one.start) <= 4 or clause.start <= place < clause.end for place in duck)
            if ducked and foot in {"", "both"} and len(free) == 1:
                self._tell(_ANGLE.replace("{foot}", "front"), abs(one.value), one.start, one.end)
                self._tell(_ANGLE.replace("{foot}", "back"), -abs(one.value), one.start, one.end)
                continue
            if not foot:
                continue
            value = one.value
            if self._foot(foot) == "back" and not one.signed and value > 0 and (ducked or self._tailward(one, clause)):
                value = -value
            if foot == "both":
                value_back = -value if ducked and value > 0 else value
                self._tell(_ANGLE.replace("{foot}", "front"), value, one.start, one.end)
                self._tell(_ANGLE.replace("{foot}", "back"), value_back, one.start, one.end)
                continue
            if self._angle_cued(one, foot, clause, free):
                for field in self._paths(_ANGLE, foot):
                    self._tell(field, value, one.start, one.end)
        self._other_foot(free)
        self._same_again(outward)

    def _triple(self, free: list[Number]) -> None:
        """Read "18-6-54": both angles and the stance."""
        stance = self.reader.specs["measured.stance_width_mm"]
        for one, two, three in zip(self.numbers, self.numbers[1:], self.numbers[2:], strict=False):
            joins = {*self.forms[one.end : two.start], *self.forms[two.end : three.start]}
            width = in_field_unit(three, stance.unit, stance.low, stance.high)
            if joins in ({"-"}, {"/"}) and one in free and two in free and width and not three.signed:
                self._tell(_ANGLE.replace("{foot}", "front"), one.value, one.start, one.end)
                self._tell(_ANGLE.replace("{foot}", "back"), two.value, two.start, two.end)
                self._tell("measured.stance_width_mm", width, three.start, three.end)

    def _other_foot(self, free: list[Number]) -> None:
        """Give a signed number the foot that is left: "plus 18 and then the back one is -12"."""
        told = [foot for foot in _FEET if _ANGLE.replace("{foot}", foot) in self.made]
        left = [one for one in free if one.start not in self.used and one.signed]
        if len(told) == 1 and len(left) == 1 and not self._foot_before(left[0]):
            other = "back" if told[0] == "front" else "front"
            first = left[0].start < self.made[_ANGLE.replace("{foot}", told[0])][0]
            if first == (other == "front"):
                self._tell(_ANGLE.replace("{foot}", other), left[0].value, left[0].start, left[0].end)

    def _swapped(self, place: int) -> bool:
        rest = " ".join(self.forms[place : place + 12])
        return "other way round" in rest or "other way around" in rest or "swapped" in rest

    def _foot_before(self, one: Number) -> bool:
        return any(0 <= one.start - foot.end <= 1 for foot in self.feet)

    def _tailward(self, one: Number, clause: Clause) -> bool:
        rest = " ".join(self.forms[one.end : min(clause.end, one.end + 5)])
        return any(
            words in rest
            for words in ("to the tail", "toward the tail", "towards the tail", "tailward", "outward", "negative")
        )

    def _carried_foot(self, one: Number, clause: Clause) -> str:
        """Return the foot named alone in the clause before, or by "it sits at" of a foot spoken of."""
        del one
        before = [other for other in self.heard.clauses if other.end <= clause.start]
        if not before:
            return ""
        last = before[-1]
        feet = [foot for foot in self.feet if last.start <= foot.start < last.end]
        has_number = any(last.start <= number.start < last.end for number in self.heard.numbers)
        if feet and not has_number:
            return feet[-1].means
        if clause.end - clause.start >= 3 and self.forms[clause.start] in {"it", "it's", "its", "that", "which"}:
            body = [one for one in self.reader.feet.find(self.forms, last.start, last.end) if one.means in _FEET]
            return body[-1].means if body else ""
        return ""

    def _angle_cued(self, one: Number, foot: str, clause: Clause, free: list[Number]) -> bool:
        forms = self.forms
        around = set(forms[clause.start : clause.end])
        if one.signed or one.unit == "deg":
            return True
        others = [other for other in free if other is not one]
        if others and len(self.feet) > 1:
            return True
        near = any(
            abs(found.start - one.end) <= 2 or abs(one.start - found.end) <= 3
            for found in self.feet
            if clause.start <= found.start < clause.end
        )
        cues = {
            "angle",
            "angles",
            "at",
            "is",
            "set",
            "on",
            "runs",
            "notch",
            "foot",
            "binding",
            "mounted",
            "'s",
            "got",
            "said",
        }
        if near and (cues & around or one.value % 3 == 0 or clause.end - clause.start <= 4):
            return True
        return bool(foot) and bool({"angle", "angles", "degrees"} & around)

    def _same_again(self, outward: list[int]) -> None:
        """Read "back the same outwards": the other foot as the one told, or its mirror."""
        front, back = (_ANGLE.replace("{foot}", foot) for foot in _FEET)
        for one in self.reader.same.find(self.forms):
            clause = self.heard.clause_at(one.start)
            if clause is None:
                continue
            foot = self._foot(self._foot_near(one.start, one.end, clause))
            if foot == "back" and front in self.made and back not in self.made:
                value = self.made[front][1].value
                turned = any(clause.start <= place < clause.end for place in outward)
                if isinstance(value, int | float):
                    self._tell(back, float(-value if turned else value), one.start, one.end)

    # ------------------------------------------------------------------ what is left

    def _by_default(self) -> None:
        """Read numbers that nothing names by what they can be: a height, a board, a stance's width."""
        reader, forms = self.reader, self.forms
        for one in self.numbers:
            if (
                one.start in self.used
                or one.signed
                or any(place in self.used for place in range(one.start, one.bare_end))
            ):
                continue
            clause = self.heard.clause_at(one.start)
            if clause is None:
                continue
            if one.unit == "nm" and 0.5 <= one.value <= 15:
                self._tell("mount.screw_torque_nm", one.value, one.start, one.end)
                continue
            cm = one.value if one.unit in {"", "cm"} else one.value * 100 if one.unit == "m" else 0.0
            before = forms[max(clause.start, one.start - 4) : one.start]
            wide = one.end < len(forms) and forms[one.end] == "w"
            board = bool(reader.board_cues.find(before)) or wide
            body = bool(reader.height_cues.find(before)) or (
                one.end < len(forms) and forms[one.end] in {"tall", "high", "rider"}
            )
            if one.end < len(forms) and forms[one.end] in {"board", "deck", "snowboard", "stick"}:
                board, body = True, False
            after = forms[one.end : one.end + 2]
            near = [
                (one.start - max([found.end for found in ways.find(forms, clause.start, one.start)], default=-99), kind)
                for ways, kind in ((reader.board_cues, "board"), (reader.height_cues, "body"))
            ]
            if board and body and "tall" not in after:
                body, board = (min(near)[1] == "body", min(near)[1] == "board")
            if one.unit in {"cm", "m"} and cm:
                if board and not body and 90 <= cm <= 200:
                    self._tell(_BOARD, cm, one.start, one.end)
                elif 100 <= cm <= 215 and _HEIGHT not in self.made:
                    self._tell(_HEIGHT, cm, one.start, one.end)
                continue
            if one.unit or not 100 <= one.value <= 215 or {"wide", "thick"}.intersection(after):
                continue
            if wide or (board and not body and _BOARD not in self.made):
                self._tell(_BOARD, one.value, one.start, one.end + (1 if wide and forms[one.end] == "w" else 0))
            elif body and _HEIGHT not in self.made:
                self._tell(_HEIGHT, one.value, one.start, one.end)
            elif clause.end - clause.start <= 3 or self._listed(one):
                self._lone(one)

    def _listed(self, one: Number) -> bool:
        return any(other is not one and abs(other.start - one.end) <= 3 for other in self.numbers)

    def _lone(self, one: Number) -> None:
        """Tell a bare number in a list: "5'10 165lbs 156"; "63 kg 168"."""
        body = any(key.startswith("rider.weight") or key == _HEIGHT for key in self.made)
        if _HEIGHT in self.made or one.value < 130 or not body:
            if _BOARD not in self.made and len(self.made) + len(self.numbers) > 1 and one.value <= 190 and self.made:
                self._tell(_BOARD, one.value, one.start, one.end)
        elif body and _HEIGHT not in self.made:
            near_weight = any(
                other.unit in {"kg", "lb", "st"} and abs(other.end - one.start) <= 2 for other in self.numbers
            )
            board_first = any(key.startswith("board.") for key in self.made)
            if near_weight and not board_first:
                self._tell(_HEIGHT, one.value, one.start, one.end)
            elif _BOARD not in self.made:
                self._tell(_BOARD, one.value, one.start, one.end)

    def _leftover(self) -> None:
        """Name the numbers with a unit of length, angle or torque that found no place."""
        for one in self.numbers:
            free = not any(place in self.used for place in range(one.start, one.bare_end))
            if free and one.unit in {"mm", "cm", "deg", "nm", "in"}:
                self.not_placed.append(self.heard.words(one.start, one.end))


def _example(path: str) -> str:
    return path.replace("{foot}", "front").replace("{side}", "left")


def _unit_of(path: str) -> str:
    tail = path.rpartition("_")[2]
    return tail if tail in {"mm", "cm", "deg", "kg", "m"} else ""


@of_trees
def field_reader(trees: Trees) -> FieldReader:
    """Return the reader with the words of `trees/telling.yaml`.

    Raises
    ------
    KnowledgeError
        When the file cannot be read.

    """
    return FieldReader(trees.table("telling.yaml"))
