"""What a typed answer means: an option, a number with its unit, or that it can't be told."""

from __future__ import annotations

import re

from advisor.dialogue.phrasebook import Phrasebook, tidy
from advisor.errors import SheetError, UnknownName
from advisor.graph.nodes import Fact
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.sheet import LeafValue

__all__ = ["chosen_option", "field_named", "number_told", "says_unsure"]

_WORD = re.compile(r"[a-z0-9']+")


def says_unsure(book: Phrasebook, text: str) -> bool:
    """Return whether a text says that it can't be told."""
    plain = tidy(text)
    return plain in book.unsure or any(len(words) > 4 and words in plain for words in book.unsure)


def chosen_option(book: Phrasebook, fact: Fact, text: str) -> str | None:
    """Return the option of a fact that a text names: by id, by its number, by its words, or by yes and no.

    Returns
    -------
    str or None
        None where no option, or more than one, fits.

    """
    plain = tidy(text)
    options = list(fact.options)
    if plain in options:
        return plain
    if plain.isdigit() and 1 <= int(plain) <= len(options):
        return options[int(plain) - 1]
    named = [option for option in options if plain == tidy(fact.options[option])]
    if len(named) == 1:
        return named[0]
    for option, words in (("yes", book.yes), ("no", book.no)):
        if option in options and (plain in words or plain.split(" ")[0].rstrip(",") in words):
            return option
    heard = set(_WORD.findall(plain))
    scored = {
        option: sum(_spoken(words, plain, heard) for words in (option, *fact.also.get(option, ())))
        for option in options
    }
    fitting = [option for option, score in scored.items() if score]
    return fitting[0] if len(fitting) == 1 else None


def _spoken(words: str, plain: str, heard: set[str]) -> bool:
    return words in heard if " " not in words else words in plain


def number_told(fact: Fact, text: str) -> LeafValue:
    """Return the value that a text gives a field of the sheet.

    Raises
    ------
    SheetError
        When it does not fit the field; the message says what was expected.

    """
    cleaned = re.sub(r"^(about|around|roughly|maybe|ca\.?|approx\.?|it's|its|it is)\s+", "", text.strip(), flags=re.I)
    return parse_value(fact.id, cleaned)


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
    fitting = [path for path in rows if wanted <= set(re.split(r"[._]+", path))]
    shortest = [
        path for path in fitting if len(re.split(r"[._]+", path)) == min(len(re.split(r"[._]+", p)) for p in fitting)
    ]
    if len(shortest) == 1:
        return shortest[0]
    if shortest:
        raise UnknownName(f"'{words}' could be {', '.join(shortest[:6])}; say which")
    from difflib import get_close_matches

    near = get_close_matches(plain, rows, 3, 0.4)
    raise UnknownName(f"the sheet has no field '{words}'" + (f"; did you mean {', '.join(near)}?" if near else ""))


def change_told(text: str) -> tuple[str, LeafValue]:
    """Return the field and the value that a wish such as `back slot 3` or `front angle = 18` names.

    Raises
    ------
    UnknownName
        When the field is not found.
    SheetError
        When the value does not fit it.

    """
    found = re.match(r"^(?P<name>[^\d=+\-]+?[a-z_])[\s=:]+(?:to\s+)?(?P<value>[-+]?\S.*)$", text.strip(), re.I)
    if not found:
        raise SheetError([f"expected a field and a value, for example 'try back slot 3', found '{text}'"])
    name, value = found["name"].strip(), found["value"]
    words = name.split()
    while words:
        try:
            path = field_named(" ".join(words))
            return path, parse_value(path, value)
        except UnknownName:
            if len(words) == 1 or not value:
                raise
            value = f"{words.pop()} {value}"
    raise SheetError([f"expected a field and a value, for example 'try back slot 3', found '{text}'"])
