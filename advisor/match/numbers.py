"""Numbers in a line: in figures and in words, with sign, fraction, range, hedge and unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from advisor.match.expressions import Expressions
from advisor.match.text import Token

_UNDER = {2, 4, 8, 16, 32}
_THOUSANDS = 3
_ORDINALS = {"2": "nd", "3": "rd", **dict.fromkeys("0456789", "th")}
_LONGEST_RANGE = 4


class Number(NamedTuple):
    """A number told, from token `start` to before token `end` (its sign and unit included).

    `low` and `high` are the ends of a range, else the value. `signed` tells whether a sign was said, `about` whether
    it was hedged, `unit` the unit said (mm, cm, m, kg, lb, st, ft, in, kmh, mph, deg, nm, rows, ...), else empty.
    `bare_end` is where the number ends without its unit.
    """

    value: float
    low: float
    high: float
    signed: bool
    about: bool
    unit: str
    start: int
    end: int
    bare_end: int

    @property
    def ranged(self) -> bool:
        """Return whether a range was told."""
        return self.high > self.low


class NumberReader:
    """Reads the numbers of a line.

    Parameters
    ----------
    data
        `numbers` and `units` of `trees/hearing.yaml`.

    """

    def __init__(self, numbers: Mapping[str, Any], units: Mapping[str, Sequence[str]]) -> None:
        self.ones: dict[str, int] = numbers["ones"]
        self.teens: dict[str, int] = numbers["teens"]
        self.tens: dict[str, int] = numbers["tens"]
        self.hundred = frozenset(numbers["hundred"])
        self.thousand = frozenset(numbers["thousand"])
        self.point = frozenset(numbers["point"])
        self.letters = frozenset(numbers["zero_letter"])
        self.halves: dict[str, float] = numbers["halves"]
        self.parts: dict[str, int] = numbers["parts"]
        self.minus = frozenset(numbers["minus"])
        self.plus = frozenset(numbers["plus"])
        self.about = Expressions.of(numbers["about"])
        self.units = Expressions((words, unit) for unit, ways in units.items() for words in ways)

    def read(self, tokens: Sequence[Token]) -> list[Number]:
        """Return the numbers in order."""
        forms = [token.form for token in tokens]
        hedges = self.about.find(forms)
        found: list[Number] = []
        place = 0
        while place < len(forms):
            one = self._one(tokens, forms, place)
            if one is None:
                place += 1
                continue
            one = self._ranged(tokens, forms, one)
            one = one._replace(about=one.about or _beside(hedges, one, forms))
            found.append(one)
            place = one.end
        return found

    # ------------------------------------------------------------------ one number

    def _one(self, tokens: Sequence[Token], forms: list[str], place: int) -> Number | None:
        sign, signed, at = self._sign(tokens, forms, place)
        told = self._magnitude(tokens, forms, at)
        if told is None:
            return None
        value, end = told
        bare_end = end
        about = end < len(forms) and forms[end] == "ish"
        if about:
            end += 1
        unit = self.units.at(forms, end) if end < len(forms) else None
        name = ""
        if unit and not self._other_word(forms, unit.start, unit.end, unit.means):
            name, end = unit.means, unit.end
            more = self._with_part(forms, value, end)
            if end < len(forms) and forms[end] == "and" and more[1] > end:
                value, end = more
        if forms[at] == "one" and bare_end == at + 1 and not name and not signed:
            return None
        if forms[at] == "two" and bare_end == at + 1 and not name and at and forms[at - 1] == "the":
            return None
        value *= sign
        return Number(value, value, value, signed, about, name, place, end, bare_end)

    def _other_word(self, forms: list[str], start: int, end: int, unit: str) -> bool:
        """Tell whether a word that could be a unit is something else here: "15 in front", "2 foot positions"."""
        after = forms[end] if end < len(forms) else ""
        if unit == "in" and forms[start] == "in":
            return after in {"front", "the", "my", "a", "back", "and", "between", "powder", "switch", "total", "all"}
        if unit == "ft" and forms[start] in {"foot", "feet"}:
            return not (after.isdigit() or after in self.ones or after in self.teens or after in {"", "tall", ",", "."})
        if unit == "m":
            return after in {"'"}
        return bool(unit == "lb" and forms[start] == "#")

    def _sign(self, tokens: Sequence[Token], forms: list[str], place: int) -> tuple[int, bool, int]:
        form = forms[place]
        if (form not in self.minus and form not in self.plus) or place + 1 >= len(forms):
            return 1, False, place
        if form == "-" and place:
            joined_before = tokens[place - 1].end == tokens[place].start
            spaced_after = tokens[place].end != tokens[place + 1].start
            if joined_before and (forms[place - 1][0].isdigit() or forms[place - 1].isalpha()):
                return 1, False, place
            if spaced_after and forms[place - 1][0].isdigit():
                return 1, False, place
        return (-1 if form in self.minus else 1), True, place + 1

    def _magnitude(self, tokens: Sequence[Token], forms: list[str], place: int) -> tuple[float, int] | None:
        form = forms[place] if place < len(forms) else ""
        if not form:
            return None
        if form[0].isdigit():
            return self._figures(tokens, forms, place)
        after = forms[place + 1] if place + 1 < len(forms) else ""
        led = place and forms[place - 1][0].isdigit()
        if form == "." and after.isdigit() and not led and tokens[place].end == tokens[place + 1].start:
            return float(f"0.{after}"), place + 2
        if form in self.ones and after in self.parts and 0 < self.ones[form] < self.parts[after]:
            of = forms[place + 2 : place + 4] in (["of", "an"], ["of", "a"])
            return self.ones[form] / self.parts[after], place + (4 if of else 2)
        words = self._words(forms, place)
        if words is None:
            return self._part_alone(forms, place)
        value, end = words
        return self._with_part(forms, value, end)

    def _figures(self, tokens: Sequence[Token], forms: list[str], place: int) -> tuple[float, int] | None:
        form, end = forms[place], place + 1
        if forms[end : end + 1] == ["st"] and form in {"1", "21", "31"} and tokens[place].end == tokens[end].start:
            return None
        if end < len(forms) and _ORDINALS.get(form[-1]) == forms[end] and tokens[place].end == tokens[end].start:
            return None
        whole, comma, rest = form.partition(",")
        if comma and len(rest) == _THOUSANDS and whole != "0" and len(whole) < 3:
            return float(whole + rest), end
        value = float(form.replace(",", "."))
        if value.is_integer() and end < len(forms):
            under = self._slashed(tokens, forms, place)
            if under:
                return value / under, place + 3
            if forms[end].isdigit() and self._slashed(tokens, forms, end) and int(forms[end]) < int(forms[end + 2]):
                return value + int(forms[end]) / int(forms[end + 2]), end + 3
            if forms[end] in self.hundred:
                return value * 100, end + 1
        value, end = self._decimals(forms, value, end)
        return self._with_part(forms, value, end)

    def _slashed(self, tokens: Sequence[Token], forms: list[str], place: int) -> int:
        """Return the lower number of a fraction that begins at a place: 7/8, 1/2; none of 15/8 or 15/0."""
        if place + 2 >= len(forms) or forms[place + 1] != "/" or not forms[place + 2].isdigit():
            return 0
        over, under = forms[place], int(forms[place + 2])
        if not over.isdigit() or under not in _UNDER or not 0 < int(over) < under:
            return 0
        tight = tokens[place].end == tokens[place + 1].start and tokens[place + 1].end == tokens[place + 2].start
        return under if tight else 0

    def _with_part(self, forms: list[str], value: float, end: int) -> tuple[float, int]:
        """Add "and a half", "and three quarters", "seven eighths" behind a number."""
        at = end + 1 if end < len(forms) and forms[end] in {"and", "&"} else end
        if at < len(forms) and forms[at] in {"a", "one"} and at + 1 < len(forms) and forms[at + 1] in self.halves:
            return value + self.halves[forms[at + 1]], at + 2
        if at < len(forms) and forms[at] in self.halves and at > end:
            return value + self.halves[forms[at]], at + 1
        if at + 1 < len(forms) and forms[at] in self.ones and forms[at + 1] in self.parts:
            over, under = self.ones[forms[at]], self.parts[forms[at + 1]]
            if 0 < over < under:
                return value + over / under, at + 2
        return value, end

    def _part_alone(self, forms: list[str], place: int) -> tuple[float, int] | None:
        """Read "half a millimetre", "three quarters" and the like."""
        form = forms[place]
        led = form in self.halves and place + 2 < len(forms) and forms[place + 1] in {"a", "an"}
        return (self.halves[form], place + 2) if led and self.units.at(forms, place + 2) else None

    def _words(self, forms: list[str], place: int) -> tuple[float, int] | None:
        """Read a number in words: "five hundred and forty", "two fifty four", "three oh two", "eight point two"."""
        form = forms[place]
        value, end = 0.0, place
        after = forms[place + 1] if place + 1 < len(forms) else ""
        if form in {"a", "one"} and after in {"metre", "meter"}:
            return 1.0, place + 1
        if form in {"a", "one"} and place + 1 < len(forms) and forms[place + 1] in self.hundred:
            value, end = 100.0, place + 2
        else:
            small = self._below_hundred(forms, place)
            if small is None:
                return None
            value, end = small
            if end < len(forms) and forms[end] in self.hundred:
                value, end = value * 100, end + 1
            elif end < len(forms) and forms[end] in self.thousand:
                value, end = value * 1000, end + 1
            else:
                value, end = self._run_on(forms, place, value, end)
                return self._decimals(forms, value, end)
        at = end + 1 if end < len(forms) and forms[end] == "and" else end
        more = self._below_hundred(forms, at)
        if more is not None and more[0]:
            if more[1] < len(forms) and forms[more[1]] in self.hundred and value >= 1000:
                value, end = value + more[0] * 100, more[1] + 1
                rest = self._below_hundred(forms, end + 1 if end < len(forms) and forms[end] == "and" else end)
                return (value + rest[0], rest[1]) if rest else (value, end)
            return self._decimals(forms, value + more[0], more[1])
        return self._decimals(forms, value, end)

    def _below_hundred(self, forms: list[str], place: int) -> tuple[float, int] | None:
        form = forms[place] if place < len(forms) else ""
        if form in self.tens:
            at = place + 2 if place + 2 < len(forms) and forms[place + 1] == "-" else place + 1
            after = forms[at] if at < len(forms) else ""
            beyond = forms[at + 1] if at + 1 < len(forms) else ""
            if self.ones.get(after, 0) and beyond not in self.parts:
                return float(self.tens[form] + self.ones[after]), at + 1
            return float(self.tens[form]), place + 1
        if form in self.ones or form in self.teens:
            return float(self.ones.get(form, self.teens.get(form, 0))), place + 1
        return None

    def _run_on(self, forms: list[str], place: int, value: float, end: int) -> tuple[float, int]:
        """Read numbers said in pieces: "two fifty four" is 254, "three oh two" 302, "two six four" 264."""
        form = forms[place]
        at = end
        after = forms[at] if at < len(forms) else ""
        if form in self.ones and 0 < value < 10:
            if after in self.letters and at + 1 < len(forms) and forms[at + 1] in self.ones:
                return value * 100 + self.ones[forms[at + 1]], at + 2
            if after in self.tens or after in self.teens:
                more = self._below_hundred(forms, at)
                if more is not None and more[0] >= 10:
                    return value * 100 + more[0], more[1]
            three = after in self.ones and at + 1 < len(forms) and forms[at + 1] in self.ones
            if three and (at + 2 >= len(forms) or forms[at + 2] not in {*self.ones, *self.tens, *self.teens}):
                return value * 100 + self.ones[after] * 10 + self.ones[forms[at + 1]], at + 2
        if 10 <= value < 20 and after in self.tens and form in self.teens:
            more = self._below_hundred(forms, at)
            if more is not None and value >= 11:
                return value * 100 + more[0], more[1]
        return value, end

    def _decimals(self, forms: list[str], value: float, end: int) -> tuple[float, int]:
        if end >= len(forms) or forms[end] not in self.point:
            return value, end
        digits, at = "", end + 1
        while at < len(forms) and len(digits) < 4:
            if forms[at] in self.ones:
                digits += str(self.ones[forms[at]])
            elif forms[at].isdigit():
                digits += forms[at]
            elif not digits and forms[at] in self.tens:
                two = self._below_hundred(forms, at)
                assert two is not None
                return float(f"{value:g}.{two[0]:g}"), two[1]
            else:
                break
            at += 1
        return (float(f"{value:g}.{digits}"), at) if digits else (value, end)

    # ------------------------------------------------------------------ ranges

    def _ranged(self, tokens: Sequence[Token], forms: list[str], one: Number) -> Number:
        """Return the range that a number begins: "15 to 20", "between 15 and 20", "15-20", "15 or 16"."""
        end = one.end
        if one.signed or end + 1 >= len(forms):
            return one
        join = forms[end]
        after = end + 1
        between = one.start and forms[one.start - 1] == "between"
        if join == "maybe" or join not in {"to", "-", "or", "and"} or (join == "and" and not between):
            return one
        if join in {"to", "or"} and forms[after] in {"maybe", "even", "perhaps"} and after + 1 < len(forms):
            after += 1
        if join == "to" and one.start and forms[one.start - 1] == "from":
            return one
        sign, signed, at = self._sign(tokens, forms, after)
        if signed and join != "-":
            return one
        other = self._one(tokens, forms, at)
        del sign
        if other is None or other.start != at:
            return one
        same = not one.unit or not other.unit or one.unit == other.unit
        if not same or not one.value < other.value or other.value > one.value * _LONGEST_RANGE + 10:
            return one
        return Number(
            (one.value + other.value) / 2, one.value, other.value, False, True, other.unit or one.unit,
            one.start, other.end, other.bare_end,
        )  # fmt: skip


def _beside(hedges: Sequence[Any], one: Number, forms: list[str]) -> bool:
    """Return whether a hedge stands just before or behind a number."""
    return any(
        0 <= one.start - hedge.end <= 1
        or (0 <= hedge.start - one.end <= 1 and not any(form[0].isdigit() for form in forms[one.end : hedge.start]))
        for hedge in hedges
    )
