"""Which nodes recorded conversations and random walks come to: what `advisor trees --coverage` counts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from advisor.graph.knowledge import Knowledge

_RIDERS_PART = 10


@dataclass
class Coverage:
    """The nodes of one entry and who came to them.

    Parameters
    ----------
    nodes
        All that a walk can come to.
    replayed, ridden, walked
        Those that a recorded conversation, a made-up rider, and a random walk of the graph came to.
    questions
        Questions that the made-up riders were asked, walk by walk.
    failed
        What went wrong in the code on the riders' walks.

    """

    nodes: tuple[str, ...]
    replayed: set[str] = field(default_factory=set)
    ridden: set[str] = field(default_factory=set)
    walked: set[str] = field(default_factory=set)
    questions: list[int] = field(default_factory=list)
    failed: list[str] = field(default_factory=list)

    @property
    def missed(self) -> tuple[str, ...]:
        """Return the nodes that nobody came to, in the order of the file."""
        seen = self.replayed | self.ridden | self.walked
        return tuple(name for name in self.nodes if name not in seen)


def cover(knowledge: Knowledge, recordings: Sequence[Path], walks: int, seed: int) -> dict[str, Coverage]:
    """Play the recordings and walk every entry at random.

    Parameters
    ----------
    knowledge
        Proven.
    recordings
        Recorded conversations.
    walks
        Random walks of each entry's graph; a tenth as many made-up riders walk it on whole sheets.
    seed
        For both.

    """
    from advisor.workshop.random_riders import wander
    from advisor.workshop.random_walks import can_come_to, walk_at_random

    replayed = _replayed(knowledge, recordings)
    found = {}
    for name in knowledge.entry_ids:
        entry = knowledge.entry(name)
        walked = walk_at_random(entry, knowledge.facts, walks, Random(f"{seed} {name}"))
        riders = wander(knowledge, name, max(1, walks // _RIDERS_PART), Random(f"{seed} {name}"))
        nodes = can_come_to(entry)
        found[name] = Coverage(
            nodes,
            replayed[name] & set(nodes),
            set(riders.seen) & set(nodes),
            set(walked.visits) & set(nodes),
            riders.questions,
            list(riders.failed),
        )
    return found


def _replayed(knowledge: Knowledge, recordings: Sequence[Path]) -> dict[str, set[str]]:
    from advisor.cli.chat import start
    from advisor.workshop.random_riders import nodes_seen
    from advisor.workshop.transcripts import read_recording

    found: dict[str, set[str]] = defaultdict(set)
    conversation = start(knowledge, with_shop=False) if recordings else None
    for path in recordings:
        assert conversation is not None
        recording = read_recording(path)
        state, _ = conversation.begin(recording.sheet())
        for turn in recording.turns:
            state, _ = conversation.hear(state, turn.say)
            if state.walk:
                found[state.walk.entry.id] |= nodes_seen(state.walk, state.answer)
    return found
