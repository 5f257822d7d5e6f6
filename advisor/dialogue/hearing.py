"""What a wish names: a field of the sheet and a value, or a measure that follows from fields."""

from __future__ import annotations

import re

from advisor.dialogue.phrasebook import tidy
from advisor.errors import SheetError, UnknownName
from advisor.sheet.fields import field_rows
from advisor.sheet.reading import parse_value
from advisor.sheet.setup import FootSide
from advisor.sheet.sheet import LeafValue

_FEET = {"front", "back"}
_MEASURED = "measured."
_EXAMPLE = "expected a field and a value, for example 'try back slot 3'"


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
        named = field_named(" ".join(words))
    except UnknownName:
        named = _MEASURED
    if named.startswith(_MEASURED):
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
