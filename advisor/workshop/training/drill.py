"""One drill: a made-up customer, a trainee who asks, measures, names cause and change, and the mark.

A pure state machine: lines in, text out. It shares the rider and his truth with the rehearsal.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from difflib import get_close_matches
from random import Random

from advisor.dialogue.hearing import change_told
from advisor.errors import AdvisorError
from advisor.explain.text import Block, Points, Say, Text
from advisor.geometry.measuring import measure_all
from advisor.graph.knowledge import Knowledge
from advisor.graph.nodes import Ask, Cause, Fact
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import LeafValue, Sheet
from advisor.sheet.units import format_quantity
from advisor.solve.aims import spoken
from advisor.workshop.training.rider import TrueRider, draw_rider
from advisor.workshop.training.tables import training_table

_MOST_CAUSES = 14


@dataclass
class Drill:
    """A case to be solved.

    Parameters
    ----------
    knowledge
        The compiled knowledge; its causes are what can be named.
    rider, words
        Who it is, and what is said.
    facts
        What can be asked or looked at, in order.
    causes
        What can be named as the cause.
    sheets
        The set-up before the first and after each setting.

    """

    knowledge: Knowledge
    rider: TrueRider
    words: str
    facts: tuple[Fact, ...]
    causes: tuple[str, ...]
    sheets: list[Sheet] = field(default_factory=list)
    minutes: float = 0.0
    asked: list[str] = field(default_factory=list)
    cause: str = ""
    sent: str = ""
    over: bool = False
    counted: bool = False

    @classmethod
    def draw(cls, knowledge: Knowledge, fault: str, random: Random) -> Drill:
        """Return a case with a fault."""
        rider = draw_rider(random, only=fault)
        words = random.choice(training_table("voices")["voices"][rider.complaint])
        nodes = knowledge.entry(rider.complaint).nodes.values()
        names = dict.fromkeys(node.fact for node in nodes if isinstance(node, Ask))
        facts = tuple(knowledge.facts[name] for name in names if rider.sheet.leaves.get(name) is None)
        causes = list(dict.fromkeys(node.cause for node in nodes if isinstance(node, Cause)))
        true = [name for name in causes if name in rider.planted[0].fault.named_by]
        others = [name for name in causes if name not in true]
        random.shuffle(others)
        offered = [*true, *others[: max(0, _MOST_CAUSES - len(true))]]
        random.shuffle(offered)
        return cls(knowledge, rider, words, facts, tuple(offered), [rider.sheet])

    @property
    def sheet(self) -> Sheet:
        """Return the set-up as the trainee has left it."""
        return self.sheets[-1]

    @property
    def said(self) -> dict[str, str]:
        """Return the sentences of the drills."""
        return training_table("drills")["said"]  # type: ignore[no-any-return]

    def story(self) -> Text:
        """Return the customer as he comes in."""
        value = self.rider.sheet.value
        style = str(value("rider.style")).replace("_", " ")
        told = {
            "style": style, "speed": value("rider.speed_kmh"), "height": value("rider.height_cm"),
            "weight": value("rider.weight_kg"), "leading": value("rider.leading_foot"), "size": value("boots.size"),
            "length": value("board.length_cm"), "waist": f"{value('board.waist_width_mm'):g}",
            "front": f"{value('mount.front.angle_deg'):g}", "back": f"{value('mount.back.angle_deg'):g}",
        }  # fmt: skip
        lines = [self.said["story"].format(who=style, words=self.words)]
        lines += [self.said[name].format(**told) for name in ("rides", "gear")]
        return (*map(Say, lines), Say(self.said["how"]), self._help())

    def hear(self, line: str) -> Text:
        """Take one line of the trainee."""
        head, _, rest = line.strip().partition(" ")
        command, rest = head.lower(), rest.strip()
        handlers = {
            "ask": self._ask, "look": self._ask, "measure": self._measure, "cause": self._cause, "set": self._set,
            "send": self._send,
        }  # fmt: skip
        if command in handlers:
            return handlers[command](rest)
        if command in {"help", "?"}:
            return (self._help(),)
        if command == "undo":
            if len(self.sheets) == 1:
                return (Say(self.said["nothing_set"]),)
            self.sheets.pop()
            return (Say(self.said["undone"]),)
        if command == "stop":
            self.over = True
            return (Say(self.said["goodbye"]),)
        if command == "done":
            return self._done()
        return (Say(self.said["unknown"]),)

    def _help(self) -> Block:
        return Points(tuple(training_table("drills")["commands"].values()))

    # ------------------------------------------------------------------ finding out

    def _ask(self, rest: str) -> Text:
        if not rest:
            return (Points(tuple(f"{fact.question} ({fact.minutes:g} min)" for fact in self.facts), numbered=True),)
        fact = self._chosen(rest, [one.question for one in self.facts])
        if fact is None:
            return (Say(self.said["unknown"]),)
        one = self.facts[fact]
        if one.id not in self.asked:
            self.asked.append(one.id)
            self.minutes += one.minutes
        value = self.rider.honest(one)
        if value is None:
            answer = self.said["no_answer"]
        else:
            answer = one.options.get(str(value), f"{value:g} {one.unit}" if isinstance(value, float | int) else "")
        return (Say(self.said["answered"].format(question=one.question, answer=answer, minutes=f"{one.minutes:g}")),)

    def _measure(self, rest: str) -> Text:
        known = resolve(self.sheet)
        taken = measure_all(known)
        names = {spoken(key): key for key in taken}
        wanted = rest.lower().replace("_", " ")
        key = names.get(wanted)
        if key is None:
            fitting = [name for name in names if set(wanted.split()) <= set(name.split())] if wanted else []
            if len(fitting) != 1:
                near = fitting[:8] or get_close_matches(wanted, names, 5, 0.3) or list(names)[:5]
                return (Say(self.said["no_measure"].format(near="; ".join(near))),)
            key = names[fitting[0]]
        costs = training_table("drills")["measuring_minutes"]
        minutes = next((cost for word, cost in costs.items() if word in key), costs["other"])
        if key not in self.asked:
            self.asked.append(key)
            self.minutes += minutes
        value = format_quantity(taken[key].value, taken[key].measure.unit, "metric", decimals=2)
        return (Say(self.said["measured"].format(measure=spoken(key), value=value, minutes=f"{minutes:g}")),)

    # ------------------------------------------------------------------ naming

    def _cause(self, rest: str) -> Text:
        titles = [self.knowledge.cause(name).title for name in self.causes]
        if not rest:
            return (Points(tuple(titles), numbered=True),)
        chosen = self._chosen(rest, titles)
        if chosen is None:
            return (Say(self.said["unknown"]),)
        self.cause = self.causes[chosen]
        return (Say(self.said["cause_taken"].format(cause=titles[chosen])),)

    def _send(self, rest: str) -> Text:
        hands: dict[str, str] = training_table("drills")["hands"]
        if not rest:
            return (Points(tuple(hands.values()), numbered=True),)
        chosen = self._chosen(rest, list(hands.values()))
        if chosen is None and rest.lower() in hands:
            chosen = list(hands).index(rest.lower())
        if chosen is None:
            return (Say(self.said["unknown"]),)
        self.sent = list(hands)[chosen]
        return (Say(self.said["sent_taken"].format(whom=hands[self.sent])),)

    def _set(self, rest: str) -> Text:
        try:
            path, value = change_told(rest)
            after = self.sheet.with_value(path, value)
            resolve(after)
        except AdvisorError as error:
            return (Say(str(error)),)
        self.sheets.append(after)
        return (Say(self.said["set_taken"].format(what=f"{path.removeprefix('mount.')} = {_shown(value)}")),)

    def _done(self) -> Text:
        if not self.cause and self.sent != "clinician":
            return (Say(self.said["no_cause_yet"]),)
        if len(self.sheets) == 1 and not self.sent:
            return (Say(self.said["no_remedy_yet"]),)
        self.over = self.counted = True
        from advisor.workshop.training.marking import mark, mark_text

        return mark_text(self, mark(self))

    @staticmethod
    def _chosen(rest: str, names: list[str]) -> int | None:
        if rest.isdecimal():
            return int(rest) - 1 if 1 <= int(rest) <= len(names) else None
        words = rest.lower()
        fitting = [i for i, name in enumerate(names) if words in name.lower()]
        return fitting[0] if len(fitting) == 1 else None


def _shown(value: LeafValue) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)
