"""Which option of a question an answer names, and how far it can be leant on.

By label, number or ordinal; by yes and no, plain or hedged; by the options' own words, clause by clause, with what is
denied; by "both" and "neither" where an option says so. Where an answer says two things, nothing is chosen: better to
ask again than to walk on wrongly.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from advisor.graph.nodes import Fact
from advisor.knowledge.trees import Trees, authors, of_trees
from advisor.match.expressions import Expressions, Found, forms_of
from advisor.match.heard import Heard, hear, hearing
from advisor.match.spelling import distance
from advisor.match.text import stem

_REACH = 4
_LONGEST_ORDINAL_LINE = 10
_SHORTEST_TYPO = 5
_BOTH_OPTIONS = ("both", "mixed")
_NONE_OPTIONS = ("none", "nothing", "never", "no")
_PARTS_OF_CONTRAST = {"but", "though", "although", "except", "however"}


class Chosen(NamedTuple):
    """An option, how far the answer can be leant on (1 is plain), and the tokens of the line that say it."""

    option: str
    strength: float = 1.0
    places: frozenset[int] = frozenset()


class AnswerWords:
    """The words of answers, from `trees/hearing.yaml` and `trees/talk.yaml`."""

    def __init__(self, data: Mapping[str, Any], talk: Mapping[str, Any]) -> None:
        plain = dict.fromkeys([*data["plain_yes"], *talk["yes"]], ("yes", 1.0))
        plain |= dict.fromkeys([*data["plain_no"], *talk["no"]], ("no", 1.0))
        hedged = {words: ("yes", strength) for words, strength in data["hedged_yes"].items()}
        hedged |= {words: ("no", strength) for words, strength in data["hedged_no"].items()}
        self.says: Expressions[tuple[str, float]] = Expressions({**plain, **hedged})
        self.hedges: Expressions[tuple[str, float]] = Expressions(hedged)
        self.unsure = Expressions.of([*talk["unsure"], *data["unsure"]])
        self.both = Expressions.of(data["both"])
        self.neither = Expressions.of(data["neither"])
        self.other_one = Expressions.of(data["other_one"])
        self.ordinals: Expressions[int] = Expressions(data["ordinals"])
        self.ordinal_words = Expressions.of(data["ordinal_words"])
        self.take_back = Expressions.of(data["take_back"])
        self.small_talk = Expressions.of(data["small_talk"])
        self.leading = dict.fromkeys(talk["leading_yes"], "yes") | dict.fromkeys(talk["leading_no"], "no")
        self.denials = frozenset(data["denials"])
        self.small = frozenset([*talk["small_words"], *data["small_words"]])
        self.mostly = frozenset(data["mostly"])
        self.sometimes = frozenset(data["sometimes"])


def answer_words() -> AnswerWords:
    """Return the words of answers."""
    return _read(authors())


@of_trees
def _read(trees: Trees) -> AnswerWords:
    return AnswerWords(hearing(authors()).data, trees.table("talk.yaml"))


class _Options:
    """One question's options as they are said."""

    def __init__(self, fact: Fact, said: Mapping[str, Any]) -> None:
        self.ids = tuple(fact.options)
        more: dict[str, list[str]] = {
            option: list(map(str, ways)) for option, ways in (said["said"].get(fact.id) or {}).items()
        }
        self.fine_option: str = said["fine"].get(fact.id, "")
        self.fine = Expressions.of(map(str, said["fine_words"]))
        names: dict[str, set[str]] = {}
        whole: dict[str, set[str]] = {}
        for option, label in fact.options.items():
            own = [] if option in {"yes", "no"} else [option.replace("_", " ")]
            for words in (label, *own, *fact.also.get(option, ()), *more.get(option, ())):
                whole.setdefault(" ".join(_plain(forms_of(words))), set()).add(option)
                names.setdefault(" ".join(_plain(forms_of(words))), set()).add(option)
        for option, label in fact.options.items():
            names[" ".join(_plain(forms_of(label)))] = {option}
        self.whole = {words: next(iter(options)) for words, options in whole.items() if len(options) == 1}
        pairs = [(words, min(options)) for words, options in names.items() if len(options) == 1]
        self.spoken: Expressions[str] = Expressions(pairs)
        self.stems: dict[str, set[str]] = {}
        denials = answer_words().denials
        for words, options in names.items():
            for option in options if denials.isdisjoint(words.split(" ")) else ():
                self.stems.setdefault(option, set()).update(stem(form) for form in _plain(forms_of(words)))
        shared = {
            one
            for option in self.ids
            for one in self.stems.get(option, ())
            if sum(one in s for s in self.stems.values()) > 1
        }
        small = {stem(word) for word in answer_words().small}
        self.telling = {option: stems - shared - small for option, stems in self.stems.items()}
        self.asked = {stem(form) for form in _plain(forms_of(fact.question))}
        self.vocabulary = sorted(
            {form for words in names for form in _plain(forms_of(words)) if len(form) >= _SHORTEST_TYPO}
        )


_SEEN: dict[int, tuple[Fact, _Options]] = {}


def _options_of(fact: Fact) -> _Options:
    """Return a question's options as they are said; kept, for working them out takes longer than hearing an answer."""
    kept = _SEEN.get(id(fact))
    if kept is None or kept[0] is not fact:
        kept = _SEEN[id(fact)] = (fact, _Options(fact, authors().table("answers.yaml")))
    return kept[1]


def _plain(forms: Iterable[str]) -> list[str]:
    return [form.removesuffix("'s") for form in forms if form[0].isalnum()]


def says_unsure(heard: Heard) -> bool:
    """Return whether a line says that it can't be told."""
    return bool(answer_words().unsure.find(heard.forms))


def choose(fact: Fact, heard: Heard) -> Chosen | None:
    """Return the option that an answer names; None where none, or more than one, fits.

    Parameters
    ----------
    fact
        What is asked; with options.
    heard
        The answer.

    """
    return _Answer(fact, _options_of(fact), heard).chosen()


def exact(fact: Fact, heard: Heard) -> Chosen | None:
    """Return the option whose printed label, name or number a line is."""
    spoken = _plain(heard.bare)
    text = " ".join(spoken)
    labels = {" ".join(_plain(forms_of(label))): option for option, label in fact.options.items()}
    option = labels.get(text) or (text.replace(" ", "_") if text.replace(" ", "_") in fact.options else None)
    if option is None and len(spoken) == 1 and text.isdecimal() and text.isascii():
        option = tuple(fact.options)[int(text) - 1] if 1 <= int(text) <= len(fact.options) else None
    return Chosen(option) if option else None


def chosen_option(fact: Fact, text: str) -> str | None:
    """Return the option that a text names; None where none, or more than one, fits."""
    chosen = choose(fact, hear(text))
    return chosen.option if chosen else None


class _Answer:
    """One answer to one question."""

    def __init__(self, fact: Fact, options: _Options, heard: Heard) -> None:
        self.fact, self.options, self.heard = fact, options, heard
        self.words = answer_words()
        self.forms = heard.bare
        self.two = len(options.ids) == 2
        self.yes_no = {"yes", "no"} <= set(options.ids)
        self.at_odds = False

    def chosen(self) -> Chosen | None:
        forms = self.forms
        spoken = _plain(forms)
        if not spoken:
            return None
        whole = self._whole(spoken)
        if whole:
            return Chosen(whole, 1.0, frozenset(range(len(forms))))
        start = self._behind_what_was_taken_back()
        if start:
            after = self._between(start, len(forms))
            return after or (self._between(0, start) if self._only_doubt(start) else None)
        return self._between(0, len(forms))

    def _whole(self, spoken: Sequence[str]) -> str | None:
        text = " ".join(spoken)
        if text in self.options.whole:
            return self.options.whole[text]
        if text in self.options.ids:
            return text
        if len(spoken) == 1 and text.isdecimal() and text.isascii() and 1 <= int(text) <= len(self.options.ids):
            return self.options.ids[int(text) - 1]
        return None

    def _behind_what_was_taken_back(self) -> int:
        """Return where a line begins anew: "yes, no wait, it doesn't"."""
        found = [one for one in self.words.take_back.find(self.forms) if one.end < len(self.forms)]
        return found[-1].end if found else 0

    def _only_doubt(self, start: int) -> bool:
        return not any(form[0].isalnum() for form in self.forms[start:])

    # ------------------------------------------------------------------ a stretch of the line

    def _between(self, start: int, end: int) -> Chosen | None:
        start, end = self._without_small_talk(start, end)
        if start >= end:
            start, end = 0, len(self.forms)
        places = frozenset(range(start, end))
        spoken = _plain(self.forms[start:end])
        whole = self._whole(spoken)
        if whole:
            return Chosen(whole, 1.0, places)
        unsure = self.words.unsure.find(self.forms, start, end)
        named = self._by_its_words(start, end, unsure)
        if named is not None:
            return named if not unsure else named._replace(strength=min(named.strength, 0.5))
        if self.at_odds:
            return None
        if unsure and not self._says(start, end, unsure):
            return None
        return (
            self._by_order(start, end)
            or self._by_number_of_things(start, end)
            or self._by_yes_or_no(start, end, unsure)
        )

    def _without_small_talk(self, start: int, end: int) -> tuple[int, int]:
        moved = True
        while moved and start < end:
            moved = False
            if not self.forms[start][0].isalnum():
                start, moved = start + 1, True
                continue
            one = self.words.small_talk.at(self.forms, start)
            if (
                one
                and one.end < end
                and one.means not in self.words.leading
                and not self.words.says.at(self.forms, start)
            ):
                start, moved = one.end, True
        while end > start and not self.forms[end - 1][0].isalnum():
            end -= 1
        return start, end

    # ------------------------------------------------------------------ order

    def _by_order(self, start: int, end: int) -> Chosen | None:
        """Read "the second one", "option 2", "number two", "the last", "last but one"."""
        forms = self.forms
        if end - start > _LONGEST_ORDINAL_LINE:
            return None
        count = len(self.options.ids)
        place, number, hedged = start, 0, 1.0
        if " ".join(forms[start:end]).endswith("last but one") and count > 1:
            return Chosen(self.options.ids[-2], 1.0, frozenset(range(start, end)))
        while place < end:
            if not forms[place][0].isalnum() and forms[place] != "#":
                place += 1
                continue
            ordinal = self.words.ordinals.at(forms, place)
            figure = next((one for one in self.heard.numbers if one.start == place and not one.unit), None)
            word = self.words.ordinal_words.at(forms, place)
            hedge = self.words.hedges.at(forms, place)
            if ordinal and not number:
                number, place = ordinal.means, ordinal.end
            elif figure and not number and figure.value == int(figure.value) and figure.value > 0:
                number, place = int(figure.value), figure.end
            elif forms[place] in {"one", "two", "three", "four", "five"} and not number:
                number, place = ("one", "two", "three", "four", "five").index(forms[place]) + 1, place + 1
            elif hedge:
                hedged, place = min(hedged, hedge.means[1]), hedge.end
            elif word:
                place = word.end
            elif number and not forms[place - 1][0].isalnum() and place > start:
                break
            else:
                return None
        if number == -1:
            number = count
        if not 1 <= number <= count:
            return None
        return Chosen(self.options.ids[number - 1], hedged, frozenset(range(start, end)))

    def _by_number_of_things(self, start: int, end: int) -> Chosen | None:
        """Read "both", "neither" and "half and half" where an option is that."""
        forms = [form for form in self.forms[start:end] if form[0].isalnum()]
        places = frozenset(range(start, end))
        both, neither = (
            self.words.both.at(forms, 0) if forms else None,
            self.words.neither.at(forms, 0) if forms else None,
        )
        if both and both.end >= len(forms) - 2 and not self.words.denials.intersection(forms):
            for option in _BOTH_OPTIONS:
                if option in self.options.ids:
                    return Chosen(option, 1.0, places)
            if self.yes_no and (both.means != "bit of both" and both.means != "a bit of both"):
                return Chosen("yes", 0.9, places)
            if self.yes_no and self.fact.id.endswith("_signs"):
                return Chosen("yes", 0.9, places)
            return None
        if neither and neither.end >= len(forms) - 2:
            for option in _NONE_OPTIONS:
                if option in self.options.ids:
                    return Chosen(option, 1.0, places)
        return None

    # ------------------------------------------------------------------ yes and no

    def _says(self, start: int, end: int, unsure: Sequence[Found[str]]) -> Found[tuple[str, float]] | None:
        """Return the first yes or no of a stretch, hedged or not."""
        blocked = {place for one in unsure for place in range(one.start, one.end)}
        for one in self.words.says.find(self.forms, start, end):
            if not blocked.intersection(range(one.start, one.end)):
                return one
        return None

    def _by_yes_or_no(self, start: int, end: int, unsure: Sequence[Found[str]]) -> Chosen | None:
        if not self.yes_no:
            return None
        found = self.words.says.find(self.forms, start, end)
        blocked = {place for one in unsure for place in range(one.start, one.end)}
        found = [one for one in found if not blocked.intersection(range(one.start, one.end))]
        if not found:
            return None
        first = found[0]
        if first.start > start + 1 and not self._small(start, first.start):
            return None
        said = {one.means[0] for one in found}
        rest = [place for place in range(start, end) if not any(one.start <= place < one.end for one in found)]
        content = [
            place for place in rest if self.forms[place][0].isalnum() and self.forms[place] not in self.words.small
        ]
        if len(said) > 1:
            last = found[-1]
            softened = first.means == ("no", 1.0) and last.means[1] < 1 and last.means[0] == "yes"
            if not softened or content:
                return self._head_alone(first, found, start)
            return Chosen("yes", last.means[1], frozenset(range(start, end)))
        if len(content) > 4 and first.means[1] < 1 and first.end - first.start < 2:
            return None
        if any(self.forms[place] in self.words.denials for place in rest) and first.means[0] == "yes":
            return None
        leading = self.forms[first.start] in self.words.leading
        single = first.end - first.start == 1 or first.means[1] == 1.0
        if single and content and not leading and len(found) == 1:
            return None
        strength = min(one.means[1] for one in found)
        return Chosen(first.means[0], strength, frozenset(range(start, end)))

    def _head_alone(
        self, first: Found[tuple[str, float]], found: Sequence[Found[tuple[str, float]]], start: int
    ) -> Chosen | None:
        """Take a hedge that turns a plain word round: "no, not really", "yes, not too bad" stay open."""
        second = found[1] if len(found) > 1 else None
        del start
        if second and first.means[0] == "yes" and second.means == ("no", 1.0):
            return None
        return None

    def _small(self, start: int, end: int) -> bool:
        return all(form in self.words.small or not form[0].isalnum() for form in self.forms[start:end])

    # ------------------------------------------------------------------ the options' own words

    def _by_its_words(self, start: int, end: int, unsure: Sequence[Found[str]]) -> Chosen | None:
        """Weigh each clause: options affirmed, options denied, and the yes or no at its head."""
        blocked = {place for one in unsure for place in range(one.start, one.end)}
        spoken = self._spoken(start, end)
        for hedge in self.words.hedges.find(self.forms, start, end):
            wider = any(named.start <= hedge.start and hedge.end < named.end for named in spoken)
            if self.words.denials.intersection(self.forms[hedge.start : hedge.end]) and not wider:
                blocked.update(range(hedge.start, hedge.end))
        spoken = [one for one in spoken if not blocked.intersection(range(one.start, one.end))]
        if not spoken:
            spoken = self._misspelt(start, end)
        head, head_end = self._head(start, end) if start not in blocked else ("", start)
        affirmed: list[tuple[int, str]] = []
        denied: list[tuple[int, str]] = []
        for one in spoken:
            if one.start < head_end:
                continue
            (denied if self._is_denied(one, start, head, head_end) else affirmed).append((one.start, one.means))
        if head and affirmed and self._determiner(start, head_end, spoken):
            denied += affirmed[:1]
            affirmed = affirmed[1:]
            head = ""
        if not affirmed and not denied and self.options.fine_option:
            for one in self.options.fine.find(self.forms, max(start, head_end), end):
                if one.start in blocked:
                    continue
                refused = self._is_denied(one, start, head, head_end)
                (denied if refused else affirmed).append((one.start, self.options.fine_option))
        strength = self._strength(start, end)
        told = self._settled(affirmed, denied, head, start, end)
        if told is not None:
            return Chosen(told[0], min(strength, told[1]), frozenset(range(start, end)))
        self.at_odds = bool(affirmed or denied)
        if (
            not affirmed
            and not denied
            and not (head and self.yes_no)
            and not self.words.both.find(self.forms, start, end)
        ):
            return self._by_stems(start, end, blocked, strength)
        return None

    def _spoken(self, start: int, end: int, forms: Sequence[str] = ()) -> list[Found[str]]:
        """Return the options' words in a stretch, marks passed over."""
        forms = forms or self.forms
        places = [place for place in range(start, end) if forms[place][0].isalnum()]
        found = self.options.spoken.find([forms[place] for place in places])
        return [Found(places[one.start], places[one.end - 1] + 1, one.means) for one in found]

    def _head(self, start: int, end: int) -> tuple[str, int]:
        """Return the plain yes or no at the head of a stretch, and where it ends."""
        says = self.words.says.at(self.forms, start)
        if self.forms[start] in self.words.leading:
            return self.words.leading[self.forms[start]], start + 1
        if says and says.means[1] == 1.0 and says.end <= end and says.end - says.start <= 3 and self._marked(says.end):
            return says.means[0], says.end
        return "", start

    def _marked(self, place: int) -> bool:
        return (
            place >= len(self.forms)
            or not self.forms[place][0].isalnum()
            or self.forms[place] in {"but", "and", "it", "they", "the"}
        )

    def _determiner(self, start: int, head_end: int, spoken: Sequence[Found[str]]) -> bool:
        """Tell whether a "no" at the head denies the very next words: "no gap", "no play at all"."""
        if self.forms[start] != "no" or head_end != start + 1 or not spoken:
            return False
        first = next((one for one in spoken if one.start >= head_end), None)
        near = first is not None and first.start - head_end <= 1
        return near and self.forms[head_end][0].isalnum() and self.forms[head_end] not in self.words.small

    def _is_denied(self, one: Found[str], start: int, head: str, head_end: int) -> bool:
        place = one.start - 1
        low = max(start, head_end if head else start, one.start - _REACH)
        while place >= low:
            form = self.forms[place]
            if not form[0].isalnum() or form in _PARTS_OF_CONTRAST:
                return False
            if form in self.words.denials and (not self._in_spoken(place) or self._bare_denial(place)):
                return not (form == "not" and place + 1 < len(self.forms) and self.forms[place + 1] == "only")
            place -= 1
        return False

    def _bare_denial(self, place: int) -> bool:
        """Tell whether a denial is an option's word and denies what follows as well: "nothing down the leg"."""
        return any(one.start == place and one.end == place + 1 for one in self._spoken(0, len(self.forms)))

    def _in_spoken(self, place: int) -> bool:
        return any(one.start <= place < one.end for one in self._spoken(0, len(self.forms)))

    def _strength(self, start: int, end: int) -> float:
        found = self.words.hedges.find(self.forms, start, end)
        return min((one.means[1] for one in found), default=1.0)

    def _settled(
        self, affirmed: list[tuple[int, str]], denied: list[tuple[int, str]], head: str, start: int, end: int
    ) -> tuple[str, float] | None:
        """Return the option that all that is said of the options comes to."""
        named = list(dict.fromkeys(option for _, option in affirmed))
        refused = {option for _, option in denied}
        if self.fact.id.endswith("_signs") and "yes" in named:
            return "yes", 1.0
        if not named and denied:
            left = [option for option in self.options.ids if option not in refused]
            if len(left) == 1 and self.two:
                named = left
            elif head and head in left:
                return head, 1.0
            elif len(left) == 1:
                return left[0], 0.7
            elif refused >= set(self.options.ids):
                return None
        if self.two and len(named) == 1 and refused == {named[0]}:
            return None
        if len(named) == 1:
            option = named[0]
            if head and self.yes_no and head != option:
                return (option, 0.7) if self._contrasted(affirmed[0][0] if affirmed else end, start) else None
            return option, 1.0
        if not named:
            if head and self.yes_no and not denied and self._rest_is_small(start, end):
                return head, 1.0
            return None
        return self._of_several(named, affirmed, start, end)

    def _rest_is_small(self, start: int, end: int) -> bool:
        """Tell whether nothing behind a yes or no says the other: "yes and no"."""
        said = {self.words.leading[form] for form in self.forms[start:end] if form in self.words.leading}
        return len(said) < 2

    def _contrasted(self, place: int, start: int) -> bool:
        return any(form in _PARTS_OF_CONTRAST for form in self.forms[start:place])

    def _of_several(
        self, named: list[str], affirmed: list[tuple[int, str]], start: int, end: int
    ) -> tuple[str, float] | None:
        """Return one of several options affirmed: "mostly hard, a bit of powder"; both where an option is both."""
        for option in _BOTH_OPTIONS:
            if option in self.options.ids:
                others = [one for one in named if one != option]
                return (option, 1.0) if option in named or len(others) == len(self.options.ids) - 1 else None
        for place, option in affirmed:
            before = self.forms[max(start, place - 3) : place]
            behind = self.forms[place + 1 : min(end, place + 3)]
            if self.words.mostly.intersection([*before, *behind]):
                return option, 0.7
        rare = {
            option
            for place, option in affirmed
            if self.words.sometimes.intersection(self.forms[max(start, place - 3) : place])
        }
        left = [option for option in named if option not in rare]
        if rare and len(left) == 1:
            return left[0], 0.7
        return None

    def _misspelt(self, start: int, end: int) -> list[Found[str]]:
        """Return options named with a letter wrong."""
        mended = list(self.forms)
        changed = False
        for place in range(start, end):
            form = self.forms[place]
            if len(form) < _SHORTEST_TYPO or not form.isalpha() or form in self.words.small:
                continue
            near = [word for word in self.options.vocabulary if abs(len(word) - len(form)) < 2 and word[0] == form[0]]
            best = next((word for word in near if distance(form, word, 1) <= 1), None)
            if best and best != form and stem(best) != stem(form):
                mended[place], changed = best, True
        return self._spoken(start, end, mended) if changed else []

    def _by_stems(self, start: int, end: int, blocked: set[int], strength: float) -> Chosen | None:
        """Return the option of which an answer uses telling words, in any form, and no other option does."""
        said: dict[str, list[int]] = {}
        for place in range(start, end):
            if place in blocked or not self.forms[place][0].isalpha():
                continue
            one = stem(self.forms[place])
            for option, stems in self.options.telling.items():
                if one in stems and len(one) > 2:
                    said.setdefault(option, []).append(place)
        if not said:
            return None
        denials = [
            place for place in range(start, end) if self.forms[place] in self.words.denials and place not in blocked
        ]
        if len(said) > 1:
            return None
        ((option, places),) = said.items()
        if any(0 < places[0] - denial <= _REACH for denial in denials):
            others = [one for one in self.options.ids if one != option]
            if len(others) != 1:
                return None
            option = others[0]
        elif denials:
            return None
        return Chosen(option, min(strength, 0.8), frozenset(range(start, end)))
