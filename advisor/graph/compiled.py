"""The compiled knowledge, built into plain nodes when asked for."""

from __future__ import annotations

from functools import cached_property
from math import inf
from typing import Any

from advisor.errors import UnknownName
from advisor.graph.expanding import put_first, with_parts
from advisor.graph.nodes import (
    Aim,
    AimTarget,
    Ask,
    Branch,
    Cause,
    CauseText,
    Check,
    Choice,
    Do,
    Entry,
    Fact,
    Jump,
    Mount,
    Node,
    Refer,
    Referral,
    Suspect,
    Tell,
)
from advisor.graph.window_branches import spans_of
from advisor.knowledge.trees import Trees, authors


class Knowledge:
    """Everything in `trees/`, as plain nodes.

    Parameters
    ----------
    compiled
        What `compile_knowledge` returns.
    trees
        The files that it was made from, for what other rooms read in them; the authors' where they are not given.

    """

    def __init__(self, compiled: dict[str, Any], trees: Trees | None = None) -> None:
        self._compiled = compiled
        self.trees = trees or authors()
        self._entries: dict[str, Entry] = {}

    @property
    def entry_ids(self) -> tuple[str, ...]:
        """Return the names of all entries."""
        return tuple(self._compiled["entries"])

    def entry(self, name: str) -> Entry:
        """Return an entry.

        Raises
        ------
        UnknownName
            With the nearest names that exist.

        """
        if name not in self._entries:
            raw = self._compiled["entries"].get(name)
            if raw is None:
                from difflib import get_close_matches

                near = get_close_matches(name, self.entry_ids, 3) or self.entry_ids
                raise UnknownName(f"there is no entry '{name}'; did you mean {', '.join(near)}?")
            self._entries[name] = _entry(name, raw, self._compiled["parts"], self.trees)
        return self._entries[name]

    def cause(self, name: str) -> CauseText:
        """Return a cause."""
        raw = self._compiled["causes"][name]
        return CauseText(
            name, raw["title"], raw["because"], raw["how_so"], raw["feel"], tuple(raw["cautions"]), raw["source"]
        )

    @cached_property
    def facts(self) -> dict[str, Fact]:
        """Return every fact by id; a fact taken at a foot stands under both feet's keys."""
        found: dict[str, Fact] = {}
        for name, raw in self._compiled["facts"].items():
            for foot in ("front", "back") if "{foot}" in name else ("",):
                found[name.replace("{foot}", foot)] = Fact(
                    name.replace("{foot}", foot),
                    raw["kind"],
                    raw["question"].replace("{foot}", foot),
                    raw["how"],
                    raw["minutes"],
                    raw["unit"],
                    raw["plus_minus"],
                    raw["options"],
                    {option: tuple(words) for option, words in raw["also"].items()},
                    raw.get("taken_as", {}),
                )
        return found

    def referral(self, name: str) -> Referral:
        """Return a referral."""
        raw = self._compiled["referrals"][name]
        claims = tuple(raw.get("claims", ()))
        return Referral(
            name, raw["to"], raw["says"], tuple(raw["cautions"]), raw["verdict"], claims, raw.get("head", "")
        )

    def caution(self, name: str) -> str:
        """Return a caution's words."""
        words: str = self._compiled["cautions"][name]
        return words

    def source(self, name: str) -> str:
        """Return a source's words."""
        words: str = self._compiled["sources"][name]["words"]
        return words

    @property
    def compiled(self) -> dict[str, Any]:
        """Return the compiled structure itself, for the proof."""
        return self._compiled


def _branch(raw: dict[str, Any]) -> Branch:
    low, high, states = raw.get("from"), raw.get("below"), raw.get("is") or ()
    states = (states,) if isinstance(states, str) else tuple(states)
    return Branch(states, -inf if low is None else low, inf if high is None else high, raw["go"])


def _check(name: str, raw: dict[str, Any], trees: Trees) -> Check:
    branches = tuple(_branch(branch) for branch in raw["branches"])
    style = raw.get("style") or ""
    window = None
    if any(branch.states for branch in branches):
        from advisor.solve.windows import load_windows, ordinary_rider

        window = load_windows(trees).window(raw["check"], ordinary_rider(trees), style)
    return Check(
        name, raw["check"], raw["foot"], spans_of(branches, window), raw["says"], raw["how_so"], raw["source"],
        tuple(raw["settle_with"]), raw.get("unknown") or "", branches, style,
    )  # fmt: skip


def _node(name: str, raw: dict[str, Any], trees: Trees) -> Node:
    if "check" in raw:
        return _check(name, raw, trees)
    if "ask" in raw or "look" in raw:
        branches = raw["branches"]
        choices = tuple(Choice(tuple(b["is"]), b["go"]) for b in branches)
        fact = raw["look"] if "look" in raw else raw["ask"]
        feet = {answer: side for side, answers in raw.get("foot", {}).items() for answer in answers}
        return Ask(name, fact, "look" in raw, choices, raw["unsure"], raw["says"], raw["how_so"], feet)
    if "cause" in raw:
        return Cause(name, raw["cause"], raw["go"])
    if "aim" in raw:
        targets = tuple(
            AimTarget(t["measure"], t["foot"], t["from"], t["below"], t.get("style") or "") for t in raw["aim"]
        )
        allowed = tuple(raw.get("with", ()))
        return Aim(name, targets, raw["otherwise"], raw["says"], raw.get("feel", ""), allowed)
    if "do" in raw:
        return Do(name, raw["do"], raw["foot"], raw["steps"], raw["otherwise"], raw["says"], raw.get("feel", ""))
    if "mount" in raw:
        return Mount(name, raw["otherwise"], raw["says"], raw["feel"], raw.get("leads"), raw.get("stance"))
    if "tell" in raw:
        return Tell(name, raw["tell"], raw["feel"])
    if "refer" in raw:
        return Refer(name, raw["refer"])
    return Jump(name, raw["jump"])


def _entry(name: str, raw: dict[str, Any], parts: dict[str, Any], trees: Trees) -> Entry:
    nodes = {key: dict(node) for key, node in raw["nodes"].items()}
    suspects = [dict(suspect) for suspect in raw["suspects"]]
    if raw.get("first"):
        put_first(raw["first"], nodes, suspects)
    nodes = with_parts(nodes, parts)
    return Entry(
        name,
        raw["kind"],
        raw["title"],
        raw["means"],
        raw["opening"],
        tuple(raw["cautions"]),
        tuple(Suspect(s["start"], s["odds"], s["words"]) for s in suspects),
        raw["nothing_left"],
        {key: _node(key, node, trees) for key, node in nodes.items()},
    )
