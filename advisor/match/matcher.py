"""The matcher: one text in, ranked entries out, with words that say why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import exp, sqrt
from os import PathLike
from typing import Any

from advisor.match.api import Match, Matching, Told
from advisor.match.facts import facts_told
from advisor.match.features import Spoken, clause_features, common_word, telling_words, text_features
from advisor.match.fields_told import FieldsTold
from advisor.match.heard import Heard
from advisor.match.lexicon import Lexicon
from advisor.match.model_file import FILE, Rows, load
from advisor.match.reading import Clause, Reading, Word, read
from advisor.match.second import second_complaint
from advisor.match.shop import ShopPhrases
from advisor.match.spelling import Speller

OUT_OF_SCOPE = "out_of_scope"
"""The class of phrases that are none of ours; never shown as an entry."""

_QUESTIONS = "ask_"
_SHOWN = 5
_WORDS_SHOWN = 6


def softmax(values: Sequence[float]) -> list[float]:
    """Return shares that sum to 1."""
    top = max(values)
    powers = [exp(value - top) for value in values]
    total = sum(powers)
    return [power / total for power in powers]


class Matcher:
    """Matches texts against the entries; build one with `load_matcher`.

    Parameters
    ----------
    header
        The model's header: classes, scales, decisions, language data.
    rows
        The model's weights.
    shop
        The shop's own confirmed phrases, if any.

    """

    def __init__(self, header: Mapping[str, Any], rows: Rows, shop: ShopPhrases | None = None) -> None:
        self.header = header
        self.classes: list[str] = header["classes"]
        self.lexicon = Lexicon(header["language"])
        self.decision: Mapping[str, float] = header["decision"]
        self.meanings: Mapping[str, Any] = header["meanings"]
        self._rows = rows
        self._step: float = header["step"]
        self._share_step: float = header["share_step"]
        self._meaning_step: float = header["meaning_step"]
        self._meaning_share_step: float = header["meaning_share_step"]
        self._bias: list[float] = header["bias"]
        self._out = self.classes.index(OUT_OF_SCOPE)
        self._shop = shop
        self._found: dict[str, int] = {}
        ranks = {word: rank for rank, word in enumerate(header["vocabulary"].split(" "))}
        self._is_new = lambda word: word not in ranks
        self._speller = Speller(ranks, lambda word: rows.find(common_word(word)) >= 0)

    @property
    def shop_faults(self) -> tuple[str, ...]:
        """What is wrong with the shop's own phrases, a sentence a line that can't be read."""
        return self._shop.faults if self._shop else ()

    def read(self, text: str) -> Reading:
        """Read a text the way `match` does."""
        return read(text, self.lexicon, self._speller)

    def _find(self, name: str) -> int:
        """Return a feature's row or -1, remembering what was asked for the current text."""
        row = self._found.get(name)
        if row is None:
            row = self._found[name] = self._rows.find(name)
        return row

    def _logits(self, features: Spoken, words: set[str]) -> list[float]:
        """Return a score for each class, from the features and from the meaning of the words."""
        find = self._find
        sums, shares = self._rows.total([row for row in map(find, features) if row >= 0])
        scale = self._step / (sqrt(shares * self._share_step) or 1.0)
        meant, parts = self._rows.total([row for row in map(find, map(common_word, words)) if row >= 0])
        meant_scale = self._meaning_step / (sqrt(parts * self._meaning_share_step) or 1.0)
        return [a * scale + b * meant_scale + c for a, b, c in zip(sums, meant, self._bias, strict=True)]

    def scores(self, reading: Reading) -> tuple[list[float], list[list[float]], Spoken]:
        """Return calibrated probabilities of the text, those of each clause, and the text's features."""
        spoken = [clause_features(clause, self.lexicon) for clause in reading.clauses]
        whole = text_features(reading, spoken, self._is_new)
        heat = self.decision["sharpness"]
        told = set().union(*map(telling_words, reading.clauses))
        logits = self._logits(whole, told)
        text_shares = softmax([value * heat for value in logits])
        telling = [
            (one, telling_words(clause))
            for clause, one in zip(reading.clauses, spoken, strict=True)
            if not clause.reassured
        ]
        if len(telling) < 2:
            return text_shares, [text_shares], whole
        heat = self.decision["clause_sharpness"]
        clause_shares = [softmax([value * heat for value in self._logits(*one)]) for one in telling]
        part = self.decision["clause_part"]
        best = [max(column) for column in zip(*clause_shares, strict=True)]
        best[self._out] = min(shares[self._out] for shares in clause_shares)
        whole_of_best = sum(best)
        mixed = [(1 - part) * a + part * b / whole_of_best for a, b in zip(text_shares, best, strict=True)]
        return mixed, clause_shares, whole

    def match(self, text: str) -> Matching:
        """Return the entries that a text may mean, best first.

        Parameters
        ----------
        text
            What the rider or the tech said, in their own words.

        """
        self._found = {}
        reading = self.read(text)
        facts = self._facts(reading)
        if not reading.clauses:
            return self._nothing(facts)
        shares, clause_shares, features = self.scores(reading)
        if self._shop is not None:
            shares = self._shop.weigh(reading, shares, self.classes)
        outside = shares[self._out]
        inside = 1.0 - outside
        ranked = sorted((n for n in range(len(self.classes)) if n != self._out), key=lambda n: (-shares[n], n))
        known = sum(1 for name in features if name[0] in "wrn" and self._find(name) >= 0)
        against = outside / max(outside + shares[ranked[0]], 1e-9)
        understood = bool(known) and against <= self.decision["most_outside"]
        if understood:
            shares = [share / inside for share in shares]
        matches = tuple(
            Match(self.classes[n], round(shares[n], 4), self._carrying(reading, features, n) if place < 3 else ())
            for place, n in enumerate(ranked[:_SHOWN])
        )
        top, next_best = shares[ranked[0]], shares[ranked[1]]
        sure = understood and top >= self.decision["sure_share"] and top - next_best >= self.decision["sure_lead"]
        second = self._second(reading, ranked, shares, clause_shares, matches) if understood else None
        return Matching(matches, understood, sure, second, facts)

    def _nothing(self, facts: tuple[Told, ...]) -> Matching:
        others = [name for name in self.classes if name != OUT_OF_SCOPE][:_SHOWN]
        return Matching(tuple(Match(name, 0.0) for name in others), False, False, None, facts)

    def facts(self, heard: Heard, leading: str | None = None) -> FieldsTold:
        """Return the facts that a line tells, and the words of numbers that have no place on the sheet.

        Parameters
        ----------
        heard
            The line.
        leading
            The foot in front, where it is known.

        """
        return facts_told(self.read(heard.text), self.header["facts"], heard, leading)

    def _facts(self, reading: Reading) -> tuple[Told, ...]:
        return facts_told(reading, self.header["facts"]).facts

    def _second(
        self,
        reading: Reading,
        ranked: list[int],
        shares: list[float],
        clause_shares: list[list[float]],
        matches: tuple[Match, ...],
    ) -> Match | None:
        """Return the second complaint of the text, if one is told clearly."""
        telling = [clause for clause in reading.clauses if not clause.reassured]
        if not reading.question_cues and len(telling) > 1:
            clause_shares = [self._told(*one) for one in zip(telling, clause_shares, strict=True)]
        other, clearness = second_complaint(shares, clause_shares, ranked[0], self._out)
        if clearness < self.decision["second_clearness"]:
            return None
        name = self.classes[other]
        for match in matches:
            if match.id == name:
                return match
        return Match(name, round(shares[other], 4))

    def _told(self, clause: Clause, shares: list[float]) -> list[float]:
        """Return a clause's shares without the rider questions where it tells a number: "angles 15 and 0" asks none."""
        if not any(word.form[:1].isdigit() for word in clause.words):
            return shares
        return [0.0 if self.classes[n].startswith(_QUESTIONS) else share for n, share in enumerate(shares)]

    def _carrying(self, reading: Reading, features: Spoken, number: int) -> tuple[str, ...]:
        """Return the words that spoke for a class, as typed, in order."""
        gains: dict[int, float] = {}
        by_start: dict[int, Word] = {}
        rows = self._rows
        for name, words in features.items():
            row = self._find(name) if words else -1
            if row < 0:
                continue
            each = rows.weight(row, number) / len(words)
            for word in words:
                gains[word.start] = gains.get(word.start, 0.0) + each
                by_start[word.start] = word
        best = sorted((start for start, gain in gains.items() if gain > 0), key=lambda start: -gains[start])
        if not best:
            return ()
        least = gains[best[0]] * 0.25
        kept = sorted(start for start in best[:_WORDS_SHOWN] if gains[start] >= least)
        return tuple(reading.text[start : by_start[start].end] for start in kept)


@lru_cache(maxsize=2)
def load_matcher(file: str | PathLike[str] = FILE, with_shop: bool = True) -> Matcher:
    """Load the shipped model, with the shop's own confirmed phrases beside it unless told otherwise.

    Raises
    ------
    KnowledgeError
        When the model file is missing or broken.

    """
    header, rows = load(file)
    return Matcher(header, rows, ShopPhrases.of_this_user() if with_shop else None)
