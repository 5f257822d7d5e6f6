"""Is the judge of signs built from words, signs and phrases as they stand? Asked by `advisor trees` and the tests."""

from __future__ import annotations

from advisor.match.model_file import load
from advisor.signs.judge import FILE
from advisor.workshop.signs.corpus import corpus_hash

__all__ = ["judge_is_stale"]


def judge_is_stale(file: str = FILE) -> bool:
    """Tell whether what the judge was built from has changed since."""
    return bool(load(file)[0]["hash"] != corpus_hash())
