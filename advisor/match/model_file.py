"""The model file: one header in JSON, then the rows of the linear model as plain bytes.

Layout: `MAGIC`, length of the header [4 bytes, little endian], header, fingerprints (4 bytes a row, rising), rows.
A row is one feature: its weight for every class [1 byte each, 128 = nothing], a multiplier [1 byte] and its share in
the text's length [1 byte]. Fingerprints are CRC-32 of the feature's name, so no names are stored.
"""

from __future__ import annotations

import json
import os
import sys
from array import array
from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from os import PathLike
from typing import Any
from zlib import crc32

from advisor.errors import KnowledgeError

__all__ = ["FILE", "MAGIC", "Rows", "load", "write"]

MAGIC = b"ADVMATCH1"
_HOW_TO_BUILD = "python -m advisor.workshop.matcher.train"
FILE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "model.bin")  # noqa: PTH100, PTH118, PTH120 - pathlib costs start-up
_NEUTRAL = 128


def fingerprint(name: str) -> int:
    """Return the 32-bit fingerprint of a feature's name."""
    return crc32(name.encode("utf-8"))


class Rows:
    """The weights, looked up by feature and added up many classes at a time.

    A row's bytes are read as one large integer whose bytes are the classes' lanes; four masks spread the lanes to
    32 bits each, so that adding a row to a sum is four additions of integers, whatever the number of classes.
    """

    def __init__(self, classes: int, fingerprints: bytes, rows: bytes | memoryview) -> None:
        self.classes = classes
        self._size = classes + 2
        marks = array("I")
        marks.frombytes(fingerprints)
        if sys.byteorder == "big":
            marks.byteswap()
        self._marks: Sequence[int] = marks
        self._rows = rows
        self._lanes = (classes + 3) // 4
        self._mask = int.from_bytes(b"\xff\0\0\0" * self._lanes, "little")

    def find(self, name: str) -> int:
        """Return the row's number, or -1."""
        mark = crc32(name.encode("utf-8"))
        place = bisect_left(self._marks, mark)
        return place if place < len(self._marks) and self._marks[place] == mark else -1

    def share(self, row: int) -> int:
        """Return the row's share in the text's length, squared and scaled."""
        return self._rows[row * self._size + self.classes + 1]

    def weight(self, row: int, number: int) -> int:
        """Return the row's weight for one class, as a whole number of the model's steps."""
        start = row * self._size
        return (self._rows[start + number] - _NEUTRAL) * self._rows[start + self.classes]

    def total(self, rows: Iterable[int]) -> tuple[list[int], int]:
        """Add rows up; return the sum for each class and the sum of the shares."""
        size, classes, mask, data = self._size, self.classes, self._mask, self._rows
        one = two = three = four = taken = shares = 0
        for row in rows:
            start = row * size
            middle = start + classes
            times = data[middle]
            taken += times
            shares += data[middle + 1]
            lanes = int.from_bytes(data[start:middle], "little")
            one += (lanes & mask) * times
            two += ((lanes >> 8) & mask) * times
            three += ((lanes >> 16) & mask) * times
            four += ((lanes >> 24) & mask) * times
        width = self._lanes * 4
        spread = []
        for part in (one, two, three, four):
            numbers = array("I")
            numbers.frombytes(part.to_bytes(width, "little"))
            if sys.byteorder == "big":
                numbers.byteswap()
            spread.append(numbers)
        off = taken * _NEUTRAL
        return [spread[number % 4][number // 4] - off for number in range(classes)], shares


def load(file: str | PathLike[str] = FILE, how_to_build: str = _HOW_TO_BUILD) -> tuple[dict[str, Any], Rows]:
    """Read a model file.

    Raises
    ------
    KnowledgeError
        When the file is missing or is no model file.

    """
    try:
        with open(file, "rb") as opened:  # noqa: PTH123
            raw = opened.read()
    except OSError as error:
        raise KnowledgeError(f"{file}: the model cannot be read ({error.strerror}). Build it: {how_to_build}") from None
    start = len(MAGIC)
    if raw[:start] != MAGIC:
        raise KnowledgeError(f"{file}: this is no model. Build it: {how_to_build}")
    size = int.from_bytes(raw[start : start + 4], "little")
    header: dict[str, Any] = json.loads(raw[start + 4 : start + 4 + size])
    begin = start + 4 + size
    middle = begin + 4 * header["rows"]
    return header, Rows(len(header["classes"]), raw[begin:middle], memoryview(raw)[middle:])


def write(header: Mapping[str, Any], rows: Mapping[str, Sequence[int]], file: str | PathLike[str] = FILE) -> int:
    """Write a model file and return its size [bytes].

    Parameters
    ----------
    header
        All but the rows; must have `classes`.
    rows
        Feature to its bytes: a weight for each class, multiplier, share.
    file
        Where to.

    """
    by_mark: dict[int, Sequence[int]] = {}
    for name in sorted(rows):
        by_mark.setdefault(fingerprint(name), rows[name])
    marks = array("I", sorted(by_mark))
    if sys.byteorder == "big":
        marks.byteswap()
    text = json.dumps(
        {**header, "rows": len(by_mark)}, ensure_ascii=True, sort_keys=True, separators=(",", ":")
    ).encode()
    body = b"".join(bytes(by_mark[mark]) for mark in sorted(by_mark))
    whole = MAGIC + len(text).to_bytes(4, "little") + text + marks.tobytes() + body
    with open(file, "wb") as opened:  # noqa: PTH123
        opened.write(whole)
    return len(whole)
