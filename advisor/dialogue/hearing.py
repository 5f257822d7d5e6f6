"""What a typed answer means: an option, a number with its unit, or that it can't be told."""

from __future__ import annotations

import re
from collections.abc import Collection

from advisor.dialogue.phrasebook import Phrasebook, tidy
from advisor.errors import SheetError, UnknownName
from advisor.graph.nodes import Fact
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import LeafValue

__all__ = [
    "change_told",
    "chosen_option",
    "field_named",
    "measure_told",
    "number_told",
    "option_spoken_of",
    "says_unsure",
]

_WORD = re.compile(r"[a-z0-9'_]+")
_SHORTEST_PHRASE = 4
_FEET = {"front", "back"}
_ENDINGS = ("ing", "ed", "es", "s")
_EXAMPLE = "expected a field and a value, for example 'try back slot 3'"


def says_unsure(book: Phrasebook, text: str) -> bool:
    """Return whether a text says that it can't be told."""
    plain = tidy(text)
    return plain in book.unsure or any(
        len(words) > _SHORTEST_PHRASE and f" {words} " in f" {plain} " for words in book.unsure
    )


def chosen_option(book: Phrasebook, fact: Fact, text: str) -> str | None:
    """Return the option of a fact that a text names: by id, by its number, by its words, or by yes and no.

    A denial turns an answer with two options round: "it isn't sharp" is "dull". Where a yes or no at the head and the
    words behind it disagree, nothing is chosen: better to ask again than to walk on wrongly.

    Returns
    -------
    str or None
        None where no option, or more than one, fits.

    """
    plain = tidy(text)
    options = list(fact.options)
    if plain in options:
        return plain
    if plain.isdecimal() and 1 <= int(plain) <= len(options):
        return options[int(plain) - 1]
    named = [
        option for option in options if plain in {tidy(fact.options[option]), *map(tidy, fact.also.get(option, ()))}
    ]
    if len(named) == 1:
        return named[0]
    for option, words in (("yes", book.yes), ("no", book.no)):
        if option in options and plain in words:
            return option
    return _option_in(book, fact, plain) or _option_by_its_words(book, fact, plain)


def _option_by_its_words(book: Phrasebook, fact: Fact, plain: str) -> str | None:
    """Return the option of which an answer uses words and no other option does: "when I open the toe strap".

    Every word that carries something has to be one of the option's or of the question's, in any form, and one at least
    the option's alone; a denial leaves it open.
    """
    heard = [word for word in _WORD.findall(plain) if word not in book.small_words]
    if not heard or any(word in book.denials for word in heard):
        return None
    asked = _stems(fact.question)
    said = {_stem(word) for word in heard}
    own = {option: _stems(" ".join(_names(fact, option))) for option in fact.options}
    fitting = [option for option, stems in own.items() if said <= stems] or [
        option for option, stems in own.items() if said <= stems | asked and said & (stems - asked)
    ]
    return fitting[0] if len(fitting) == 1 else None


def _stems(words: str) -> set[str]:
    return {_stem(word) for word in _WORD.findall(words)}


def _stem(word: str) -> str:
    """Return a word without its ending, near enough to tell `opening` and `opens` from `loosening`."""
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) > len(ending) + 2:
            return word.removesuffix(ending)
    return word


def option_spoken_of(book: Phrasebook, fact: Fact, text: str) -> str | None:
    """Return the one option of a fact whose own words stand in a text that answers something else; else None."""
    plain = tidy(text)
    heard = _WORD.findall(plain)
    if not any(_names_spoken(_names(fact, option), heard) for option in fact.options):
        return None
    return _option_in(book, fact, plain)


def _option_in(book: Phrasebook, fact: Fact, plain: str) -> str | None:
    """Return the option that a longer answer speaks of."""
    heard = _WORD.findall(plain)
    head = heard[0] if heard else ""
    opened = "yes" if head in book.leading_yes else "no" if head in book.leading_no else ""
    behind = heard[1:] if opened else heard
    spoken = _longest({option: _names_spoken(_names(fact, option), behind) for option in fact.options})
    fitting = [option for option, names in spoken.items() if names]
    chosen: str | None = None
    if len(fitting) == 1:
        chosen = fitting[0]
        used = {word for name in spoken[chosen] for word in _WORD.findall(name)}
        if any(word in book.denials and word not in used for word in behind):
            others = [option for option in fact.options if option != chosen]
            chosen = others[0] if len(others) == 1 else None
            fitting = [chosen] if chosen else ["?"]
    if opened and opened in fact.options:
        other = book.leading_no if opened == "yes" else book.leading_yes
        if not fitting and any(word in other for word in behind):
            return None
        return opened if not fitting or chosen == opened else None
    return chosen


def _longest(spoken: dict[str, list[str]]) -> dict[str, list[str]]:
    """Leave out words for one option that are part of longer words for another: "six" in "fewer than six"."""
    left = {}
    for option, names in spoken.items():
        others = [name for other, theirs in spoken.items() if other != option for name in theirs]
        left[option] = [
            name for name in names if not any(name != other and f" {name} " in f" {other} " for other in others)
        ]
    return left


def _names(fact: Fact, option: str) -> tuple[str, ...]:
    """Return the words for an option; its id is one, but for yes and no, which may be part of anything."""
    own = () if option in {"yes", "no"} else (option,)
    return (*own, tidy(fact.options[option]), *(tidy(words) for words in fact.also.get(option, ())))


def _names_spoken(names: Collection[str], heard: list[str]) -> list[str]:
    told = f" {' '.join(heard)} "
    return [name for name in names if f" {' '.join(_WORD.findall(name))} " in told]


def number_told(book: Phrasebook, fact: Fact, text: str) -> LeafValue:
    """Return the value that a text gives a field of the sheet; words around it that say nothing are left out.

    Raises
    ------
    SheetError
        When it does not fit the field; the message says what was expected.

    """
    plain = text.strip().rstrip(".!?").strip()
    try:
        return parse_value(fact.id, plain)
    except SheetError as error:
        shorter = _without_fillers(book, plain)
        if shorter in {plain, ""}:
            raise
        try:
            return parse_value(fact.id, shorter)
        except SheetError:
            raise error from None


def _without_fillers(book: Phrasebook, text: str) -> str:
    fillers = sorted(book.around_numbers, key=len, reverse=True)
    told = text.replace("’", "'")
    while True:
        for filler in fillers:
            if re.match(rf"{re.escape(filler)}[\s,]+\S", told, re.I):
                told = told[len(filler) :].lstrip(" ,")
                break
            if re.search(rf"\S[\s,]+{re.escape(filler)}$", told, re.I):
                told = told[: -len(filler)].rstrip(" ,")
                break
        else:
            return told


def field_named(words: str) -> str:
    """Return the sheet's field that a few words name, such as `back slot` or `mount.back.slot_mm`.

    Raises
    ------
    UnknownName
        When none or more than one fits; the message names the nearest.

    """
    plain = tidy(words).replace(" ", "_")
    rows = field_rows()
    if words.strip() in rows:
        return words.strip()
    wanted = {part for part in re.split(r"[._]+", plain) if part}
    fitting = [path for path in rows if wanted <= _parts(path)]
    least = min((len(_parts(path)) for path in fitting), default=0)
    shortest = [path for path in fitting if len(_parts(path)) == least]
    if len(shortest) == 1:
        return shortest[0]
    if shortest:
        raise UnknownName(f"'{words}' could be {', '.join(shortest[:6])}; say which")
    from difflib import get_close_matches

    near = get_close_matches(plain, rows, 3, 0.4)
    raise UnknownName(f"the sheet has no field '{words}'" + (f"; did you mean {', '.join(near)}?" if near else ""))


def _parts(path: str) -> set[str]:
    return set(re.split(r"[._]+", path))


def measure_told(text: str) -> tuple[str, tuple[str, ...]] | None:
    """Return the measure that a wish such as `stance width 600` names, and the fields of the mount that move it.

    None where it names a field, or neither.
    """
    from advisor.geometry.register import MEASURES, Place
    from advisor.sheet.paths import sheet_path

    words = [word for word in re.findall(r"[a-z]+", text.lower()) if word not in {"to", "mm", "cm", "in", "deg"}]
    name = "_".join(word for word in words if word not in _FEET)
    found = [one for one in MEASURES.values() if name and name in {one.id, one.id.rpartition("_")[0]}]
    if not found:
        return None
    try:
        field_named(" ".join(words))
    except UnknownName:
        side: FootSide = "back" if "back" in words else "front"
        paths = found[0].paths(Place(side if found[0].scope != "board" else None))
        fields = [field for field in map(sheet_path, paths) if field.startswith("mount.")]
        return name.replace("_", " "), tuple(" ".join(re.split(r"[._]", field)[1:3]) for field in fields)
    return None


def change_told(text: str) -> tuple[str, LeafValue]:
    """Return the field and the value that a wish such as `back slot 3` or `front angle = 18` names.

    The longest beginning that names a field is the field; what follows is the value.

    Raises
    ------
    UnknownName
        When the field is not found.
    SheetError
        When the value does not fit it.

    """
    words = [word for word in re.split(r"\s+|(?<![\d=:])[=:]\s*", text.strip()) if word and word not in {"=", ":"}]
    if len(words) < 2:
        raise SheetError([f"{_EXAMPLE}, found '{text.strip()}'"])
    trouble: UnknownName | None = None
    for end in range(len(words) - 1, 0, -1):
        rest = words[end:]
        if len(rest) > 1 and rest[0].lower() == "to":
            rest = rest[1:]
        try:
            path = field_named(" ".join(words[:end]))
        except UnknownName as error:
            if trouble is None or "could be" in str(error):
                trouble = error
            continue
        return path, parse_value(path, " ".join(rest))
    assert trouble is not None
    raise trouble
