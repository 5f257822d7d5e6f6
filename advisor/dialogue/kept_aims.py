"""Whether a new change leaves right what the last one brought right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.geometry.register import MEASURES
from advisor.sheet.units import format_quantity
from advisor.solve.aims import Aim, place_of, spoken
from advisor.solve.choice import Choice
from advisor.solve.windows import load_windows


def kept_words(aims: Iterable[Aim], choice: Choice, said: Mapping[str, str]) -> list[str]:
    """Return a sentence for each earlier aim that a choice touches: it still holds, or it is given up, with its value.

    Parameters
    ----------
    aims
        What the last change brought right.
    choice
        The new change.
    said
        The sentences `holds` and `gives_up`.

    """
    moved = {effect.key: effect for effect in choice.effects}
    told = []
    for aim in aims:
        if aim.key not in moved:
            continue
        known = choice.what_if.known_after
        kind, _ = place_of(aim.key, known.setup)
        good = aim.interval(load_windows(known.trees).window(aim.key, known.setup))
        value = moved[aim.key].after
        words = said["holds"] if good.has(value) else said["gives_up"]
        name = spoken(aim.key)
        told.append(words.format(measure=name, value=format_quantity(value, MEASURES[kind].unit, "metric", decimals=1)))
    return told
