"""`python -m advisor.workshop.matcher.train`: build the matcher's model from `trees/phrases/` and `trees/match/`.

Needs the `train` extra (numpy, scipy). The same phrases give the same model on the same versions of both.
"""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

from advisor.errors import AdvisorError
from advisor.match.model_file import FILE
from advisor.match.shop import read_file, shop_file


def main(arguments: list[str] | None = None) -> int:
    """Run the command; return its exit code."""
    parser = argparse.ArgumentParser(prog="python -m advisor.workshop.matcher.train", description=__doc__)
    parser.add_argument("--to", type=Path, default=FILE, help="model file to write (default: the shipped one)")
    parser.add_argument("--shop", action="store_true", help="learn from this shop's confirmed phrases too")
    parser.add_argument("--check", action="store_true", help="only tell whether the model is stale")
    chosen = parser.parse_args(arguments)
    began = time.perf_counter()

    def say(line: str) -> None:
        sys.stderr.write(f"{time.perf_counter() - began:6.1f} s  {line}\n")

    try:
        if chosen.check:
            from advisor.workshop.matcher.model_check import model_is_stale

            stale = model_is_stale(chosen.to)
            say("stale: build it again" if stale else "the model is of these phrases")
            return int(stale)
        from advisor.workshop.matcher.build import build
        from advisor.workshop.matcher.corpus import Phrase

        own = shop_file()
        extra = [
            Phrase(phrase.text, phrase.entry, "plain")
            for phrase in (read_file(own)[0] if chosen.shop and own.is_file() else ())
            if phrase.confirmed
        ]
        figures = build(chosen.to, extra, say)
    except AdvisorError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    for name, value in figures.items():
        say(f"{name}: {value}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
