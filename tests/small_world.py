"""A small invented knowledge and a fake matcher, so that tests of the talk don't hang on the authors' wording."""

from __future__ import annotations

from typing import Any

from advisor.dialogue.case import Case
from advisor.dialogue.talk import Conversation
from advisor.graph.knowledge import Knowledge
from advisor.knowledge.tables import load_table
from advisor.match import Match, Matching, Told
from advisor.match.fields_told import FieldsTold
from advisor.match.heard import Heard
from advisor.sheet.sheet import Leaf, Sheet


def ask(fact: str, branches: dict[str, str], unsure: str = "cleared") -> dict[str, Any]:
    """Return a question node; branches: answers (joined by |) to the node they lead to."""
    made = [{"is": answers.split("|"), "go": go} for answers, go in branches.items()]
    return {"ask": fact, "says": f"{fact} matters.", "how_so": f"How {fact} works.", "branches": made, "unsure": unsure}


def check(
    measure: str,
    foot: str,
    *spans: tuple[float | None, float | None, str],
    settle: tuple[str, ...] = (),
    unknown: str | None = None,
) -> dict[str, Any]:
    """Return a check node; spans: (from, below, go)."""
    branches = [{"from": low, "below": high, "go": go} for low, high, go in spans]
    return {
        "check": measure,
        "foot": foot,
        "says": f"{measure} matters.",
        "how_so": f"How {measure} works.",
        "source": "practice",
        "settle_with": list(settle),
        "unknown": unknown,
        "branches": branches,
    }


def cause(name: str, go: str) -> dict[str, Any]:
    """Return a cause node."""
    return {"cause": name, "go": go}


def aim(
    measure: str, foot: str, otherwise: str, low: float | None = None, high: float | None = None, says: str = ""
) -> dict[str, Any]:
    """Return an aim node with one target."""
    return {
        "aim": [{"measure": measure, "foot": foot, "from": low, "below": high}],
        "otherwise": otherwise,
        "says": says,
    }


def do(adjustment: str, foot: str, steps: int, otherwise: str) -> dict[str, Any]:
    """Return a node that makes an adjustment by steps."""
    return {"do": adjustment, "foot": foot, "steps": steps, "otherwise": otherwise, "says": ""}


def entry(
    nodes: dict[str, Any], *suspects: tuple[str, float], nothing_left: str = "nothing", cautions: tuple[str, ...] = ()
) -> dict[str, Any]:
    """Return an entry; `nothing` refers on."""
    return {
        "kind": "symptom",
        "title": "It slides",
        "means": "the edge slides",
        "opening": "It slides, then.",
        "cautions": list(cautions),
        "suspects": [{"start": start, "odds": odds, "words": f"suspect {start}"} for start, odds in suspects],
        "nothing_left": nothing_left,
        "nodes": {"nothing": {"refer": "nobody_knows"}, **nodes},
    }


def choice(
    question: str, minutes: float = 1.0, also: dict[str, list[str]] | None = None, **options: str
) -> dict[str, Any]:
    """Return a fact that is chosen."""
    return {
        "kind": "choice",
        "question": question,
        "how": "Look.",
        "minutes": minutes,
        "unit": "",
        "plus_minus": 0,
        "options": options,
        "also": also or {},
    }


def number(question: str, unit: str, minutes: float = 1.0, plus_minus: float = 0.0) -> dict[str, Any]:
    """Return a fact that is measured."""
    return {
        "kind": "number",
        "question": question,
        "how": "Ruler.",
        "minutes": minutes,
        "unit": unit,
        "plus_minus": plus_minus,
        "options": {},
        "also": {},
    }


FACTS: dict[str, dict[str, Any]] = {
    "snow": choice(
        "What snow?", 0.2, {"hard": ["icy", "firm"]}, hard="hard or icy", soft="soft or slushy", powder="deep"
    ),
    "dull": choice(
        "Is the edge dull?",
        1.0,
        {"yes": ["dull", "blunt"], "no": ["sharp"]},
        yes="dull somewhere",
        no="sharp all along",
    ),
    "lifts": choice(
        "Does the heel lift?", 2.0, {"yes": ["lifts", "lift"], "no": ["stays"]}, yes="it lifts", no="it stays down"
    ),
    "board.base_bevel_deg": number("What base bevel?", "deg", 2.0, 0.1),
    "board.side_bevel_deg": number("What side bevel?", "deg", 2.0, 0.1),
    "boots.outsole_length_mm": number("How long is the sole?", "mm", 0.5, 1.0),
    "bindings.toe_ramp_mm": number("Where does the ramp end?", "mm", 0.5, 1.0),
    "rider.tilt_deg": number("What tilt?", "deg", 2.0, 5.0),
    "mount.{foot}.strap_left_mm": number("How far left is the {foot} strap?", "mm", 0.5, 1.0),
    "mount.{foot}.strap_right_mm": number("How far right is the {foot} strap?", "mm", 0.5, 1.0),
    "rider.height_cm": number("How tall?", "cm", 0.2, 1.0),
    "rider.style": choice("What style?", 0.2, None, all_mountain="a bit of everything", carving="carved turns"),
}


def told(title: str, cautions: tuple[str, ...] = ()) -> dict[str, Any]:
    """Return a cause's text."""
    return {
        "title": title,
        "because": f"{title} on the {{foot}} foot.",
        "how_so": "Mechanics, told\nat length.",
        "feel": "Feel for it.",
        "cautions": list(cautions),
        "source": "practice",
    }


CAUSES = {
    name: told(name.replace("_", " ")) for name in ("dull_edge", "loose_heel", "steep_bevel", "strap_off", "soft_snow")
}


def knowledge(entries: dict[str, Any], parts: dict[str, Any] | None = None) -> Knowledge:
    """Return a knowledge of these entries, with the facts and causes of this file."""
    return Knowledge(
        {
            "entries": entries,
            "parts": parts or {},
            "causes": CAUSES,
            "facts": FACTS,
            "referrals": {
                "nobody_knows": {
                    "to": "another look",
                    "verdict": "leave",
                    "says": "Nothing was found.",
                    "cautions": ["edges"],
                },
                "tuner": {
                    "to": "the tuning bench",
                    "verdict": "tuning",
                    "says": "Have the edge sharpened.",
                    "cautions": [],
                },
                "not_enough_known": {
                    "to": "the bench",
                    "verdict": "measure_first",
                    "says": "Too little is known.",
                    "cautions": [],
                },
            },
            "sources": {
                **load_table("sources.yaml"),
                "practice": {"kind": "practice", "words": "common practice, no source"},
            },
            "cautions": {"edges": "Edges cut.", "easy": "Easy ground first.", "screws": "All four screws."},
        }
    )


def sheet(**leaves: float | str | tuple[float, float]) -> Sheet:
    """Return a sheet; `__` in a name stands for a dot, a pair is a value with its ±."""
    made = {}
    for name, value in leaves.items():
        path = name.replace("__", ".")
        made[path] = Leaf(value[0], "told", value[1]) if isinstance(value, tuple) else Leaf(value, "told", None)
    return Sheet("", made)


def case(leaves: Sheet | None = None, entry_name: str = "slides", **answers: str) -> Case:
    """Return a case of an entry."""
    return Case(entry_name, leaves or Sheet("", {}), answers)


class FakeMatcher:
    """Understands the texts it was given, and nothing else; counts how often it was asked."""

    def __init__(self, **texts: Matching) -> None:
        self.texts = {name.replace("_", " "): matching for name, matching in texts.items()}
        self.asked: list[str] = []

    def match(self, text: str) -> Matching:
        """Return what was prepared for a text."""
        self.asked.append(text)
        return self._found(text)

    def facts(self, heard: Heard, leading: str | None = None) -> FieldsTold:
        """Return the facts of what was prepared for a line."""
        return FieldsTold(self._found(heard.text).facts, ())

    def _found(self, text: str) -> Matching:
        return self.texts.get(text.lower(), Matching((Match("slides", 0.01),), understood=False, sure=False))


def sure(name: str, second: str | None = None, **facts: object) -> Matching:
    """Return a matching that is sure of an entry."""
    return Matching((Match(name, 0.9, ("slides",)),), True, True, Match(second, 0.4) if second else None, _told(facts))


def unsure_between(*names: str) -> Matching:
    """Return a matching that could be one of several entries."""
    return Matching(tuple(Match(name, 0.4) for name in names), understood=True, sure=False)


def only_facts(**facts: object) -> Matching:
    """Return a matching with facts and no complaint."""
    return Matching((Match("slides", 0.01),), understood=False, sure=False, facts=_told(facts))


def _told(facts: dict[str, object]) -> tuple[Told, ...]:
    return tuple(Told(key.replace("__", "."), value, str(value)) for key, value in facts.items())


def conversation(known: Knowledge, matcher: FakeMatcher) -> Conversation:
    """Return a conversation over a knowledge."""
    return Conversation(known, lambda: matcher)  # type: ignore[arg-type, return-value]
