"""Boot sizes: a labelled size to the range of foot lengths it stands for, and a foot length to sizes in every system.

A system may be read by several conventions that disagree (`trees/boot_sizes.yaml`, each with its source), so a size
is a range. Mondopoint is the foot length itself and passes exactly.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from advisor.knowledge.trees import Trees, authors, of_trees


class SizeError(ValueError):
    """A text is no boot size; the message says how to write one."""


class SizeSystem(NamedTuple):
    """One sizing system: size = slope x foot length [mm] + offset, for each of its conventions."""

    id: str
    label: str
    names: tuple[str, ...]
    step: float
    conventions: tuple[tuple[float, float], ...]
    decimals: int
    words: str
    boots: tuple[float, float] | None = None
    children: tuple[tuple[float, str, float], ...] = ()

    def label_for(self, foot_mm: float) -> str:
        """Return the size that a boot's label has for a foot, by the line that boot labels follow.

        Children's labels stand for small feet; empty where the system has none for them.
        """
        slope, plus = self.boots or self.conventions[0]
        size = slope * foot_mm + plus
        if not self.step:
            return f"{self.label} {size:.1f}"
        rounded = round(size / self.step) * self.step
        for below, label, more in self.children:
            if rounded < below:
                return "" if label == "none" else f"{label} {rounded + more:g}"
        return f"{self.label} {rounded:g}"


class FootRange(NamedTuple):
    """The foot lengths [mm] that a labelled size stands for."""

    low: float
    high: float

    @property
    def middle(self) -> float:
        """The middle of the range [mm]."""
        return (self.low + self.high) / 2

    @property
    def plus_minus(self) -> float:
        """Half the width of the range [mm]."""
        return (self.high - self.low) / 2


class BootSize(NamedTuple):
    """A size in a system."""

    system: str
    number: float

    @property
    def words(self) -> str:
        """The canonical text, such as `mondo 27.0`, `EU 42` or `US M 9.5`."""
        system = size_systems()[self.system]
        text = f"{round(self.number, 2):g}"
        if system.decimals and "." not in text:
            text += "." + "0" * system.decimals
        return f"{system.label} {text}"


@of_trees
def _data(trees: Trees) -> tuple[dict[str, SizeSystem], float, float]:
    table = trees.table("boot_sizes.yaml")
    systems = {}
    for key, entry in table["systems"].items():
        rules = tuple((float(rule["per_mm"]), float(rule["plus"])) for rule in entry["conventions"])
        systems[key] = SizeSystem(
            key,
            entry["label"],
            tuple(entry["names"]),
            float(entry["step"]),
            rules,
            int(entry.get("decimals", 0)),
            entry["words"],
            next(((float(r["per_mm"]), float(r["plus"])) for r in entry["conventions"] if r.get("boots")), None),
            tuple((float(c["below"]), str(c["label"]), float(c["plus"])) for c in entry.get("children", ())),
        )
    limits = table["foot_length_mm"]
    return systems, float(limits["least"]), float(limits["most"])


def size_systems(trees: Trees | None = None) -> dict[str, SizeSystem]:
    """Return every sizing system by its id."""
    return _data(trees)[0]


_TEXT = r"([a-z' .]*?)\s*(\d+(?:\.\d+)?)(?:\s+(\d)\s*/\s*(\d))?\s*([a-z' .]*)"
_EXAMPLES = "such as mondo 27.0, EU 42, US M 9, US W 8 or UK 8"


def parse_boot_size(text: str) -> BootSize:
    """Return the size that a text names.

    Raises
    ------
    SizeError
        When no system is named, the number fits no foot, or the text is no size.

    Examples
    --------
    >>> parse_boot_size("us women 8.5").words, parse_boot_size("Mondo 27").words
    ('US W 8.5', 'mondo 27.0')

    """
    match = re.fullmatch(_TEXT, text.strip().lower().replace("’", "'"), re.ASCII) if len(text) <= 40 else None
    if not match:
        raise SizeError(f"expected a size with its system, {_EXAMPLES}")
    number = float(match[2])
    if match[3]:
        if match[4] == "0":
            raise SizeError(f"expected a size with its system, {_EXAMPLES}")
        number += int(match[3]) / int(match[4])
    named = " ".join(f"{match[1]} {match[5]}".replace(".", " ").split())
    system = next((system for system in size_systems().values() if named in system.names), None)
    if system is None:
        raise SizeError(_which_system(named, number))
    if system.id == "mondo" and number > 100:
        number /= 10
    size = BootSize(system.id, number)
    if not _wearable(size):
        raise SizeError(f"expected a size that fits a foot, {_EXAMPLES}; {size.words} fits none")
    return size


def _wearable(size: BootSize) -> bool:
    _, least, most = _data(authors())
    feet = foot_range(size)
    return least <= feet.middle <= most


def _which_system(named: str, number: float) -> str:
    if named == "us":
        return f"expected US M or US W, for the two differ; did you mean US M {number:g} or US W {number:g}?"
    fitting = [BootSize(key, number).words for key in size_systems() if _wearable(BootSize(key, number))]
    asked = f"; did you mean {' or '.join(fitting[:4])}?" if fitting and not named else ""
    return f"expected a size with its system, {_EXAMPLES}{asked}"


def foot_range(size: BootSize) -> FootRange:
    """Return the foot lengths that a size stands for, over all conventions of its system and half a step of rounding.

    Examples
    --------
    >>> foot_range(parse_boot_size("mondo 27.0"))
    FootRange(low=270.0, high=270.0)

    """
    system = size_systems()[size.system]
    half = system.step / 2
    ends = [(size.number + part - plus) / slope for slope, plus in system.conventions for part in (-half, half)]
    return FootRange(round(min(ends), 3), round(max(ends), 3))


def sizes_for(
    low_mm: float, high_mm: float | None = None, trees: Trees | None = None
) -> dict[str, tuple[float, float]]:
    """Return, for each system, the lowest and the highest size that conventions give a foot of this length [mm].

    Examples
    --------
    >>> sizes_for(270)["mondo"]
    (27.0, 27.0)

    """
    ends = (low_mm, low_mm if high_mm is None else high_mm)
    found = {}
    for key, system in size_systems(trees).items():
        sizes = [slope * length + plus for slope, plus in system.conventions for length in ends]
        found[key] = (round(min(sizes), 2), round(max(sizes), 2))
    return found
