"""Other languages: which one a line is in, that this is spoken in English, and the words understood all the same."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from advisor.knowledge.trees import Trees, authors, of_trees

_WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)?|\d+(?:[.,]\d+)?|[^\w\s]", re.UNICODE)
_JAPANESE = re.compile(r"[\u3040-\u30ff\u4e00-\u9fff\uff66-\uff9f]")
_FEWEST = 2


class _Languages:
    def __init__(self, data: Mapping[str, Any]) -> None:
        self.says: dict[str, str] = data["says"]
        self.common: dict[str, frozenset[str]] = {
            name: frozenset(map(_folded, words)) for name, words in data["common"].items()
        }
        self.alone: dict[str, frozenset[str]] = {
            name: frozenset(map(_folded, words)) for name, words in data["alone"].items()
        }
        self.english = frozenset(data["english"])
        self.words = {
            name: sorted(((_folded(a), str(b)) for a, b in table.items()), key=lambda one: -len(one[0]))
            for name, table in data["words"].items()
        }
        self.numbers: dict[str, Any] = data["numbers"]


def _languages() -> _Languages:
    return _read(authors())


@of_trees
def _read(trees: Trees) -> _Languages:
    return _Languages(trees.table("languages.yaml"))


def _folded(text: object) -> str:
    """Return a text in small letters without accents; Japanese keeps its own marks."""
    plain = str(text).lower().replace("’", "'").replace("ß", "ss").replace("œ", "oe").replace("æ", "ae")
    if _JAPANESE.search(plain):
        return unicodedata.normalize("NFKC", plain)
    return "".join(c for c in unicodedata.normalize("NFKD", plain) if not unicodedata.combining(c))


def spoken_language(line: str) -> str:
    """Return the language of a line where it is one of those known and not English; else an empty text.

    >>> spoken_language("Mein Knie tut nach zwei Stunden weh"), spoken_language("my knee hurts"), spoken_language("左")
    ('de', '', 'ja')
    """
    if _JAPANESE.search(line):
        return "ja"
    if line.isascii() and not _may_be_foreign(line):
        return ""
    known = _languages()
    words = _WORD.findall(_folded(line))
    forms = [word for word in words if word[0].isalpha()]
    if not any(len(word) > 1 for word in forms):
        return ""
    plain = " ".join(forms)
    for name, alone in known.alone.items():
        if plain in alone:
            return str(name)
    counts = {name: sum(word in common for word in forms) for name, common in known.common.items()}
    best = max(counts, key=lambda name: counts[name])
    english = sum(word in known.english for word in forms)
    marked = not line.isascii()
    if counts[best] > english and (counts[best] >= _FEWEST or (marked and counts[best])):
        return best
    if english == 0 and (counter := _counting(forms)):
        return counter
    if english == 0 and counts[best] and len(forms) <= 3 and counts[best] == len(forms):
        return best
    return ""


def _counting(forms: Sequence[str]) -> str:
    """Return the language in which every word of a line is a number."""
    for name, numbers in _languages().numbers.items():
        if name != "ja" and all(_worth(form, numbers) is not None for form in forms):
            return name
    return ""


def _may_be_foreign(line: str) -> bool:
    """Tell by a look whether it is worth while to count words."""
    words = _WORD.findall(line.lower())
    return not _every_word().isdisjoint(words) or (
        len(words) <= 3 and bool(_counting([w for w in words if w.isalpha()]))
    )


@cache
def _every_word() -> frozenset[str]:
    known = _languages()
    words = {word for common in known.common.values() for word in common}
    return frozenset(words | {part for alone in known.alone.values() for words in alone for part in words.split()})


def about_language(language: str) -> str:
    """Return the sentence that says, in a language, that this is spoken in English."""
    return str(_languages().says[language])


def in_english(line: str, language: str) -> str:
    """Return a line with the few words that are understood in another language put into English.

    Parameters
    ----------
    line
        What was typed.
    language
        As `spoken_language` gave it.

    """
    known = _languages()
    plain = _folded(line)
    if language == "ja":
        for word, english in known.words["ja"]:
            plain = plain.replace(word, f" {english} ")
        return _japanese_numbers(plain, known.numbers["ja"])
    table = known.words.get(language, [])
    padded = f" {' '.join(_WORD.findall(plain))} "
    for word, english in table:
        padded = padded.replace(f" {word} ", f" {english} ")
    return _in_figures(padded.split(), known.numbers.get(language, {}))


def _in_figures(words: Sequence[str], numbers: Mapping[str, Any]) -> str:
    """Return words with the numbers among them in figures: "achtundsiebzig", "dix-huit", "treinta y cinco"."""
    made: list[str] = []
    run: list[int] = []
    for word in [*words, ""]:
        value = _worth(word, numbers) if word else None
        joint = bool(run) and word in {"-", "and", "y", "et"}
        if (
            value is not None
            and run
            and not (value < 10 <= run[-1] or value < 20 <= run[-1] or run[-1] % 100 == 0 or value == 100)
        ):
            made.append(_sum(run))
            run = []
        if value is not None:
            run.append(value)
        elif not joint:
            made += [_sum(run)] * bool(run) + [word] * bool(word)
            run = []
    text = " ".join(made)
    return re.sub(r"^1 (\d\d)$", r"1.\1", text)


def _sum(run: Sequence[int]) -> str:
    total = 0
    for value in run:
        total = total * 100 if value == 100 and 0 < total < 10 else total + value
    return str(total)


def _worth(word: str, numbers: Mapping[str, Any]) -> int | None:
    told: Mapping[str, int] = numbers.get("words", {})
    if word.isdecimal() and word.isascii():
        return None
    if word in told:
        return told[word]
    for hundred in numbers.get("hundred", ()):
        head, found, rest = word.partition(hundred)
        if found and (head == "" or head in told):
            more = _worth(rest, numbers) if rest else 0
            if more is not None and more < 100:
                return (told[head] if head else 1) * 100 + more
    joint = numbers.get("and", "")
    if joint and joint in word:
        ones, _, tens = word.partition(joint)
        if ones in told and tens in told and told[ones] < 10:
            return told[ones] + told[tens]
    for tens, value in told.items():
        stem = tens[:-1] if numbers.get("elides") else tens
        if value >= 20 and value % 10 == 0 and word.startswith(stem):
            rest = word.removeprefix(tens) if word.startswith(tens) else word.removeprefix(stem)
            if rest in told and 0 < told[rest] < 10:
                return value + told[rest]
    return None


def _japanese_numbers(text: str, digits: Mapping[str, int]) -> str:
    """Return a text with numbers in Japanese figures written in digits."""

    def value(run: str) -> str:
        total, current = 0, 0
        for sign in run:
            worth = digits[sign]
            if worth in (10, 100, 1000):
                total += (current or 1) * worth
                current = 0
            else:
                current = current * 10 + worth if current else worth
        return str(total + current)

    signs = "".join(digits)
    return re.sub(f"[{re.escape(signs)}]+", lambda run: f" {value(run.group())} ", text)
