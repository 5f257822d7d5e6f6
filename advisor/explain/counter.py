"""An answer that fits one screen of 80 x 24: what is wrong, what to do today, why, what it costs, and what to mind."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.dialogue.answer import Answer
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.verdict import verdict_of
from advisor.explain.account import (
    aimed_value,
    aims_met,
    beside_words,
    cost_text,
    further_words,
    look_words,
    mount_text,
    odds_words,
    out_first_words,
    referral_head,
    to_read_off,
    unchecked_words,
    what_to_do,
)
from advisor.explain.doubt import doubt_words
from advisor.explain.filling import fill, window_words
from advisor.explain.text import Block, Heading, Points, Say, Text
from advisor.explain.wording import in_units, quantity, shown_unit
from advisor.geometry.measuring import measure
from advisor.geometry.one_number import measure_or_field
from advisor.sheet.units import UnitSystem
from advisor.solve.aims import place_of, spoken
from advisor.solve.windows import load_windows

if TYPE_CHECKING:
    from advisor.solve.choice import Choice

_SENTENCE_END = re.compile(r"(?<=[.!?])\s+")
_MIND_ALL = {"not_ridden", "clinician", "emergency"}


def one_screen(answer: Answer, units: UnitSystem = "metric") -> Text:
    """Return an answer as it is told at the counter; the rest is told on a word ('more', 'cautions', 'picture')."""
    return _OneScreen(answer, units).text()


def cautions_text(answer: Answer, units: UnitSystem = "metric") -> Text:
    """Return every caution of an answer."""
    said = load_phrasebook(answer.case.trees).said
    if not answer.cautions:
        return (Say(said["no_cautions"]),)
    return (Heading(said["mind"]), Points(tuple(in_units(words, units) for words in answer.cautions)))


class _OneScreen:
    """Puts one answer into few lines."""

    def __init__(self, answer: Answer, units: UnitSystem) -> None:
        self.answer = answer
        self.units = units
        self.known = answer.case.known
        self.said = load_phrasebook(answer.case.trees).said

    def text(self) -> Text:
        answer = self.answer
        head = answer.cause.title if answer.cause else answer.walk.entry.title
        blocks: list[Block] = [Heading(head)]
        first = [self._because(), self._says(), doubt_words(answer)]
        blocks += [Say(" ".join(words for words in first if words))] if any(first) else []
        blocks += self._body()
        if answer.mount:
            return (*blocks, *self._mind_all())
        points = [*self._beside(), *self._feel(), *self._mind()]
        blocks += [Points(tuple(points))] if points else []
        blocks.append(Say(self.said["rest_on_a_word" if answer.choice else "rest_without_change"]))
        return tuple(blocks)

    def _because(self) -> str:
        cause = self.answer.cause
        return _first(fill(cause.because, self.known, self.answer.feet, self.units), 2) if cause else ""

    def _says(self) -> str:
        says = fill(self.answer.says, self.known, self.answer.feet, self.units) if self.answer.says else ""
        return _first(says, 2) if self.answer.choice else says

    # ------------------------------------------------------------------ what to do

    def _body(self) -> list[Block]:
        answer = self.answer
        if answer.mount:
            return list(mount_text(answer.mount, self.units))
        if answer.verdict_as == "look_first":
            return [Heading(self.said["look_first"]), Points(look_words(answer, self.units))]
        if answer.lacking:
            return [*self._referral(), Points(to_read_off(answer))]
        if answer.choice:
            return self._change(answer.choice)
        if answer.referral:
            return self._referral()
        if answer.aims and not answer.cause:
            return [Heading(self.said["leave_it"]), Points(tuple(f"{one}." for one in aims_met(answer, self.units)))]
        return []

    def _change(self, choice: Choice) -> list[Block]:
        answer, do = self.answer, what_to_do(choice, self.units)
        blocks: list[Block] = [Points(out_first_words(answer, self.units))] if answer.out_first else []
        blocks += [Heading(self.said["do_this"]), Points(do, numbered=len(do) > 1)]
        blocks += further_words(answer, self.units)
        odds = " ".join(block.words for block in odds_words(answer, self.units) if isinstance(block, Say))
        why = self._deciding()
        cost = cost_text(choice, self.units, brief=True)
        return [*blocks, Points(tuple(words for words in (why, cost, odds) if words))]

    def _deciding(self) -> str:
        """Return the number that decides before and after, at its foot, with its ± where that matters."""
        answer = self.answer
        best: tuple[float, str] | None = None
        for aim in answer.aims:
            before, unit = aimed_value(self.known, aim.key)
            window = aim.interval(load_windows(self.known.trees).window(aim.key, self.known.setup))
            away = window.distance(before)
            if away == away and away > 0 and (best is None or away > best[0]):
                best = away, aim.key
        if best is None or answer.choice is None:
            return ""
        key = best[1]
        aim = next(one for one in answer.aims if one.key == key)
        before, unit = aimed_value(self.known, key)
        after, _ = aimed_value(answer.choice.what_if.known_after, key)
        unit = shown_unit(key, unit)
        window = aim.interval(load_windows(self.known.trees).window(key, self.known.setup))
        good = in_units(window_words(window, unit), self.units)
        kind, place = place_of(key, self.known.setup)
        rough = measure(self.known, measure_or_field(kind), place).plus_minus
        about = f" ± {quantity(rough, unit, self.units)}" if rough > abs(after - before) else ""
        told = self.said["deciding"].format(
            what=spoken(key), before=quantity(before, unit, self.units), after=quantity(after, unit, self.units),
            rough=about, good=good,
        )  # fmt: skip
        return f"{told} {self._guess(key)}".strip()

    def _guess(self, key: str) -> str:
        """Return that the tilt ridden is a guess, where the deciding number hangs on it and nobody has told it."""
        if "margin" not in key or self.answer.case.sheet.value("rider.tilt_deg") is not None:
            return ""
        tilt = measure(
            self.known, measure_or_field("needed_tilt_deg"), place_of("needed_tilt_deg", self.known.setup)[1]
        )
        return self.said["tilt_guessed"].format(tilt=quantity(tilt.value, "deg", self.units, decimals=0))

    def _referral(self) -> list[Block]:
        referral = self.answer.referral
        if referral is None:
            return []
        says = fill(referral.says, self.known, self.answer.feet, self.units)
        return [Heading(referral_head(referral, self.said)), Say(says), *further_words(self.answer, self.units)]

    # ------------------------------------------------------------------ beside it

    def _beside(self) -> list[str]:
        unchecked = unchecked_words(self.answer)
        out = beside_words(self.answer, self.units, brief=True) if verdict_of(self.answer) not in _MIND_ALL else ()
        points = [f"{self.said['unchecked']} {'; '.join(unchecked)}."] if unchecked else []
        points += [f"{self.said['beside']}: {'; '.join(one.rstrip('.') for one in out)}."] if out else []
        return points

    def _feel(self) -> list[str]:
        answer = self.answer
        if not answer.feel or answer.verdict_as == "look_first":
            return []
        only_told = answer.walk.entry.kind == "question" and answer.choice is None
        words = fill(answer.feel, self.known, answer.feet, self.units)
        return [f"{self.said['to_feel' if only_told else 'next_run']}: {_first(words)}"]

    def _mind(self) -> list[str]:
        """Return what must be minded: every caution of what is not ridden or belongs to a clinician, else the first."""
        answer = self.answer
        always = set(load_phrasebook(answer.case.trees).always_told.values())
        first = [words for words in answer.cautions if words in always]
        rest = [words for words in answer.cautions if words not in always]
        shown = [*first, *(rest if verdict_of(answer) in _MIND_ALL else rest[:1])]
        more = len(answer.cautions) - len(shown)
        words = [f"{self.said['mind']}: {in_units(one, self.units)}" for one in shown]
        if more and words:
            words[-1] += f" {self.said['more_cautions'].format(count=more)}"
        return words

    def _mind_all(self) -> list[Block]:
        return list(cautions_text(self.answer, self.units)) if self.answer.cautions else []


def _first(words: str, sentences: int = 1) -> str:
    return " ".join(_SENTENCE_END.split(words)[:sentences])
