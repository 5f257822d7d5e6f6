"""From phrases to the model file: read, fit, calibrate on held-out parts, pack."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from os import PathLike
from typing import Any

import numpy as np
import scipy.sparse as sparse  # type: ignore[import-untyped]

from advisor.match.features import Spoken, clause_features, telling_words, text_features
from advisor.match.lexicon import Lexicon, pack_facts, pack_language
from advisor.match.model_file import FILE, write
from advisor.match.reading import read
from advisor.match.spelling import Speller
from advisor.match.text import clean, tokens
from advisor.workshop.matcher.calibrate import Held, decide
from advisor.workshop.matcher.corpus import Phrase, language_data, load_phrases, load_vague, phrases_hash
from advisor.workshop.matcher.fit import Linear, Space, fit_linear
from advisor.workshop.matcher.meanings_of_words import WordVectors
from advisor.workshop.matcher.pack import packed_rows

MEANING_WEIGHT = 0.3


@dataclass(slots=True)
class Heard:
    """A phrase with its features: of the whole, of each clause that tells something, and its words."""

    phrase: Phrase
    whole: Spoken
    clauses: list[Spoken]
    words: list[str]
    clause_words: list[list[str]]


def own_vocabulary(phrases: Sequence[Phrase] | None = None) -> list[str]:
    """Return the words that riders use here, most used first, slips of the thumb left out."""
    packed = pack_language(language_data()["language"], {})
    counts: Counter[str] = Counter()
    for phrase in phrases if phrases is not None else load_phrases():
        if phrase.kind != "typos":
            counts.update({token.form for token in tokens(clean(phrase.text)) if token.form.isalpha()})
    for expression in packed["joined"]:
        counts.update(expression.split(" "))
    counts.update(packed["joined"].values())
    return [word for word, count in sorted(counts.items(), key=lambda item: (-item[1], item[0]))]


class Trainer:
    """Holds the language data and turns phrases into features and models."""

    def __init__(self, phrases: Sequence[Phrase]) -> None:
        data = language_data()
        self.language = pack_language(data["language"], data["concepts"]["concepts"])
        self.facts = pack_facts(data["facts"])
        self.meanings = data["meanings"]
        self.aims: dict[str, float] = data["decisions"]
        self.lexicon = Lexicon(self.language)
        self.vectors = WordVectors.load()
        self.counts = counts = Counter(
            w for p in phrases if p.kind != "typos" for w in {t.form for t in tokens(clean(p.text))}
        )
        self.joined = set(self.language["joined"].values())
        self.vocabulary = [
            word
            for word in own_vocabulary(phrases)
            if counts[word] > 1 or word in self.vectors.places or word in self.joined
        ]
        ranks = {word: rank for rank, word in enumerate(self.vocabulary)}
        self.speller = Speller(ranks, self.vectors.places.__contains__)
        self.classes = sorted({phrase.entry for phrase in phrases})
        self.vague = [(self.hear(phrase), means) for phrase, means in load_vague()]

    def is_new(self, word: str) -> bool:
        """Tell whether a word stands in no other phrase than the one at hand."""
        return self.counts[word] < 2 and word not in self.joined

    def hear(self, phrase: Phrase) -> Heard:
        """Turn a phrase into features, as the run time would."""
        reading = read(phrase.text, self.lexicon, self.speller)
        spoken = [clause_features(clause, self.lexicon) for clause in reading.clauses]
        telling = [(c, s) for c, s in zip(reading.clauses, spoken, strict=True) if not c.reassured]
        return Heard(
            phrase,
            text_features(reading, spoken, self.is_new),
            [s for _, s in telling],
            sorted(set().union(*map(telling_words, reading.clauses))),
            [sorted(telling_words(c)) for c, _ in telling],
        )

    def fit(self, heard: Sequence[Heard]) -> Model:
        """Fit one model on phrases, and on the vague sayings, each shared out over the entries it fits."""
        space = Space.of([one.whole for one in heard])
        every = [*heard, *(one for one, _ in self.vague)]
        targets = np.zeros((len(every), len(self.classes)))
        targets[range(len(heard)), [self.classes.index(one.phrase.entry) for one in heard]] = 1
        for row, (_, means) in enumerate(self.vague, len(heard)):
            targets[row, [self.classes.index(entry) for entry in means]] = 1 / len(means)
        model = Model(space, self.vectors, Linear(np.zeros(0), np.zeros(0)))
        model.linear = fit_linear(model.matrix([h.whole for h in every], [h.words for h in every]), targets)
        return model


@dataclass(slots=True)
class Model:
    """Features, word vectors and the fitted weights for both."""

    space: Space
    vectors: WordVectors
    linear: Linear

    def matrix(self, spoken: Sequence[Spoken], words: Sequence[Sequence[str]]) -> Any:
        """Return one row a text: its features, then its meaning."""
        meaning = sparse.csr_matrix(self.vectors.matrix(words) * MEANING_WEIGHT)
        return sparse.hstack([self.space.matrix(spoken), meaning]).tocsr()

    def logits(self, spoken: Sequence[Spoken], words: Sequence[Sequence[str]]) -> Any:
        """Return the logits of texts."""
        return self.linear.logits(self.matrix(spoken, words))


def _held_out(trainer: Trainer, heard: list[Heard], say: Callable[[str], None]) -> Held:
    """Score every phrase by a model that has not seen it."""
    folds = int(trainer.aims["spread_of_folds"])
    groups: dict[tuple[str, str], int] = {}
    parts = []
    order = list(range(len(heard)))
    random.Random(7).shuffle(order)
    place = [0] * len(heard)
    for number in order:
        key = (heard[number].phrase.entry, heard[number].phrase.kind)
        place[number] = groups.get(key, 0) % folds
        groups[key] = groups.get(key, 0) + 1
    parts = [[n for n in range(len(heard)) if place[n] == fold] for fold in range(folds)]
    whole = np.zeros((len(heard), len(trainer.classes)))
    clauses: list[Any] = [None] * len(heard)
    for fold, part in enumerate(parts):
        rest = [heard[n] for n in range(len(heard)) if place[n] != fold]
        model = trainer.fit(rest)
        whole[part] = model.logits([heard[n].whole for n in part], [heard[n].words for n in part])
        for n in part:
            if len(heard[n].clauses) > 1:
                clauses[n] = model.logits(heard[n].clauses, heard[n].clause_words)
        say(f"held-out part {fold + 1} of {folds} scored")
    truth = np.array([trainer.classes.index(h.phrase.entry) for h in heard])
    return Held(whole, clauses, truth, [h.phrase.kind for h in heard])


def build(
    file: str | PathLike[str] = FILE, extra: Sequence[Phrase] = (), say: Callable[[str], None] = lambda _: None
) -> dict[str, Any]:
    """Build the model and write it.

    Parameters
    ----------
    file
        Where to.
    extra
        More phrases, such as the shop's own confirmed ones.
    say
        Called with one line for each step.

    Returns
    -------
    dict
        Figures of the held-out parts, and the file's size.

    """
    phrases = [*load_phrases(), *extra]
    trainer = Trainer(phrases)
    heard = [trainer.hear(phrase) for phrase in phrases]
    say(f"{len(phrases)} phrases read, {len(trainer.classes)} classes")
    held = _held_out(trainer, heard, say)
    decision, figures = decide(held, trainer.classes, trainer.aims)
    model = trainer.fit(heard)
    rows, steps = packed_rows(model.space, model.vectors, model.linear, MEANING_WEIGHT)
    header = {
        "classes": trainer.classes,
        "bias": [round(float(b), 5) for b in model.linear.bias],
        **steps,
        "decision": decision,
        "figures": figures,
        "language": trainer.language,
        "facts": trainer.facts,
        "meanings": trainer.meanings,
        "vocabulary": " ".join(trainer.vocabulary),
        "hash": phrases_hash(),
        "phrases": len(phrases),
    }
    figures["bytes"] = write(header, rows, file)
    return figures
