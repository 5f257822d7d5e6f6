"""The shop's own outcomes in the order of causes: one Beta-Bernoulli count for each suspect of an entry.

A suspect's odds p from the entry are its prior: Beta(k p, k (1 - p)), where k is how many cases they weigh
(`trees/returns.yaml`). Each case of the log that was done as advised and came back adds one: better, or not. The mean
of the posterior, (k p + better) / (k + tried), takes the place of p. Simplification: suspects are counted one by one,
and only those whose change was tried, so a suspect that is never tried keeps its prior.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Entry
from advisor.knowledge.tables import entry_fault, number_of
from advisor.knowledge.trees import Trees, of_trees

Tallies = Mapping[str, Mapping[str, tuple[int, int]]]
"""Entry to suspect to (better, tried)."""

_FILE = "returns.yaml"


def shop_odds(odds: float, better: int, tried: int, prior_cases: float) -> float:
    """Return a suspect's odds after the shop's outcomes.

    Parameters
    ----------
    odds
        From the entry [0..1].
    better, tried
        Cases that came back better, and cases that came back.
    prior_cases
        How many cases the entry's odds weigh.

    Returns
    -------
    float
        Mean of the Beta posterior.

    Examples
    --------
    >>> round(shop_odds(0.25, 9, 12, 12), 3)
    0.5
    >>> shop_odds(0.25, 0, 0, 12)
    0.25

    """
    return (prior_cases * odds + better) / (prior_cases + tried)


@of_trees
def load_prior_cases(trees: Trees) -> float:
    """Return how many cases the odds of an entry weigh.

    Raises
    ------
    KnowledgeError
        When `trees/returns.yaml` does not say.

    """
    entry: Any = trees.table(_FILE).get("prior_cases")
    value = number_of(_FILE, "prior_cases", "value", entry.get("value") if isinstance(entry, dict) else entry)
    if value <= 0:
        raise entry_fault(_FILE, "prior_cases", "expected more than 0 cases; with 0 a single outcome would decide")
    return value


class ShopKnowledge(Knowledge):
    """The knowledge with the shop's own outcomes in the order of its causes.

    Parameters
    ----------
    knowledge
        The knowledge as written.
    tallies
        What the log counts; entries and suspects that the knowledge does not have are left alone.

    """

    def __init__(self, knowledge: Knowledge, tallies: Tallies) -> None:
        super().__init__(knowledge.compiled, knowledge.trees)
        self._plain = knowledge
        self._tallies = tallies
        self._changed: dict[str, Entry] = {}

    def entry(self, name: str) -> Entry:
        """Return an entry with its suspects' odds after the shop's outcomes."""
        told = self._plain.entry(name)
        counts = self._tallies.get(name)
        if not counts:
            return told
        if name not in self._changed:
            suspects = []
            for suspect in told.suspects:
                better, tried = counts.get(suspect.name, (0, 0))
                if not tried:
                    suspects.append(suspect)
                    continue
                odds = shop_odds(suspect.odds, better, tried, load_prior_cases(self.trees))
                suspects.append(suspect._replace(odds=odds, better=better, tried=tried))
            self._changed[name] = told._replace(suspects=tuple(suspects))
        return self._changed[name]

    def counts(self, name: str) -> dict[str, tuple[int, int]]:
        """Return the counts behind an entry's odds, for those who keep the answer."""
        return dict(self._tallies.get(name, {}))
