"""Talk about the sheet itself: told in any order, read back, shown, corrected, kept; what helps most is asked next."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from advisor.dialogue.choosing import says_unsure
from advisor.dialogue.clashing import refuse_clashes
from advisor.dialogue.hearing import field_named
from advisor.dialogue.numbering import count
from advisor.dialogue.phrasebook import tidy
from advisor.dialogue.replies import NOTHING_BEFORE, Before, Clarify, Noted, Reply, Troubled
from advisor.dialogue.sheet_replies import ReadBack, SheetHelped, SheetShown, SheetWanted
from advisor.errors import AdvisorError
from advisor.knowledge.trees import Trees, of_trees
from advisor.match.heard import hear
from advisor.sheet.fields import field_rows
from advisor.sheet.paths import setup_path
from advisor.sheet.readings import Reading
from advisor.sheet.resolve import resolve
from advisor.sheet.sheet import Sheet

if TYPE_CHECKING:
    from advisor.dialogue.talk import Conversation, State

FILE = "intake.yaml"
_TAKES = {"export": "export_where", "import": "import_where", "save": "save_whom", "take": "take_what"}

_SHORTEST_COMPLAINT = 3


@dataclass(frozen=True)
class _Words:
    """The words of `trees/intake.yaml`: beginnings of lines with their commands, the longest first; the sentences."""

    begins: tuple[tuple[str, str, bool], ...]
    helps: tuple[tuple[str, str], ...]
    asks: tuple[tuple[str, ...], ...]
    assumed: tuple[str, ...]
    most_assumed: int
    set_up: tuple[str, tuple[str, ...]]
    said: dict[str, str]


@of_trees
def _words(trees: Trees) -> _Words:
    table = trees.table(FILE)
    commands: dict[str, Any] = table["commands"]
    begins = [(str(w), name, bool(c.get("more"))) for name, c in commands.items() for w in c["words"]]
    known = field_rows()
    asks = [tuple(path for path in paths if path in known) for paths in table["asks"] if paths[0] in known]
    return _Words(
        tuple(sorted(begins, key=lambda one: -len(one[0]))),
        tuple((str(c["words"][0]), str(c["help"])) for c in commands.values()),
        tuple(asks),
        tuple(map(str, table["assumed_worth"])),
        int(table["most_assumed"]),
        (str(table["set_up"]["entry"]), tuple(map(str, table["set_up"]["words"]))),
        {key: words for key, words in table.items() if isinstance(words, str)},
    )


def intake_said(trees: Trees, name: str) -> str:
    """Return one of the sentences of `trees/intake.yaml`."""
    return _words(trees).said[name]


# ---------------------------------------------------------------------------------------------- lines


def about_the_sheet(talk: Conversation, state: State, text: str) -> tuple[State, Reply] | None:
    """Take a line that is about the sheet itself; None where it is not."""
    words = _words(talk.knowledge.trees)
    answered = _answer_to_the_ask(talk, state, text)
    if answered:
        return answered
    plain = tidy(text)
    for begins, name, more in words.begins:
        if plain == begins or (more and plain.startswith(f"{begins} ")):
            return _command(talk, state, name, text.strip()[len(begins) :].strip())
    return _only_told(talk, state, text)


def _only_told(talk: Conversation, state: State, text: str) -> tuple[State, Reply] | None:
    """Take a line that tells numbers and nothing else: numbers in passing open no complaint."""
    if state.case or state.candidates or not re.search(r"\d", text):
        return None
    told = talk.matcher().match(text).facts
    fields = [one for one in told if one.key in field_rows()]
    rest = text.lower()
    for one in sorted(told, key=lambda one: -len(one.words)):
        rest = rest.replace(one.words.lower(), " ")
    idle = talk.book.small_words | talk.book.denials | talk.book.around_numbers
    said = [word for word in re.findall(r"[a-z']+", rest) if word not in idle]
    if len(said) >= len(fields) or (said and _complains(talk, text)):
        return None
    from advisor.dialogue.volunteering import with_facts

    facts = with_facts(talk.knowledge, state, told)
    known = replace(state, sheet=facts.sheet, answers=facts.answers, unsure=facts.unsure, misses=0)
    return known, Noted(Before(noted=facts.noted, left_out=facts.left_out))


def _complains(talk: Conversation, text: str) -> bool:
    """Return whether a clause without a number tells a complaint: "24/9, carving, front knee sore"."""
    line = hear(text)
    for clause in line.clauses:
        if line.numbers_in(clause) or clause.end - clause.start < _SHORTEST_COMPLAINT:
            continue
        matching = talk.matcher().match(line.of(clause))
        if matching.understood and matching.sure:
            return True
    return False


def _answer_to_the_ask(talk: Conversation, state: State, text: str) -> tuple[State, Reply] | None:
    """Take a bare answer, or "don't know", to what was asked when the sheet was read back last."""
    shown = state.shown
    if state.case or state.candidates or not isinstance(shown, ReadBack) or not shown.ask:
        return None
    heard = hear(text)
    if says_unsure(heard):
        return _read(talk, replace(state, unsure=state.unsure | {shown.ask}))
    if not re.search(r"\d", text) or re.search(r"[a-z]{4,}", text.lower()):
        return None
    fact = talk.knowledge.facts[shown.ask]
    try:
        counted = count(fact, heard)
        if counted is None or counted.value is None:
            return None
        sheet = state.sheet.with_value(shown.ask, counted.value, "measured", counted.plus_minus or fact.plus_minus)
        refuse_clashes(state.sheet, sheet)
    except AdvisorError:
        return None
    return _read(talk, replace(state, sheet=sheet))


def _command(talk: Conversation, state: State, name: str, rest: str) -> tuple[State, Reply] | None:
    words = _words(talk.knowledge.trees)
    if name == "help":
        return state, SheetHelped(words.helps)
    if name == "show":
        return state, shown_sheet(talk, state.sheet)
    if name == "new":
        from advisor.dialogue.talk import State as Fresh

        empty = Fresh(Sheet("", {}), level=state.level)
        return empty, replace(_back(talk, empty), opening=words.said["nothing_yet"])
    if name == "forget":
        return _forget(talk, state, rest)
    if name == "form":
        return state, SheetWanted("form", "", state.sheet)
    if name == "take" and not rest:
        return state, Troubled(words.said["take_what"])
    if name in _TAKES and not rest:
        return state, Troubled(words.said[_TAKES[name]])
    if name == "export":
        return state, SheetWanted("export", rest, state.sheet)
    if name == "import":
        return state, SheetWanted("import", rest, state.sheet)
    return state, SheetWanted("save" if name == "save" else "take", rest, state.sheet)


def _forget(talk: Conversation, state: State, rest: str) -> tuple[State, Reply] | None:
    said = _words(talk.knowledge.trees).said
    if not rest:
        return state, Troubled(said["what_field"])
    path = _field_on(state.sheet, rest)
    if path not in state.sheet.leaves:
        return state, Troubled(said["not_known_yet"].format(field=field_rows()[path].words if path else f"'{rest}'"))
    return with_sheet(talk, state, state.sheet.without(path), said["forgotten"].format(field=field_rows()[path].words))


def _field_on(sheet: Sheet, words: str) -> str:
    """Return the field that some words name, one that the sheet has where they fit several; empty where none."""
    wanted = set(re.split(r"[\s._]+", tidy(words)))
    there = [path for path in sheet.leaves if wanted <= set(re.split(r"[._]", path))]
    if len(there) == 1:
        return there[0]
    try:
        return field_named(words)
    except AdvisorError:
        return ""


def with_sheet(talk: Conversation, state: State, sheet: Sheet, opening: str = "") -> tuple[State, Reply]:
    """Return the state with another sheet: the case goes on with it, else it is read back."""
    moved = replace(state, sheet=sheet)
    if state.case:
        return talk.go_on_with(moved, replace(state.case, sheet=sheet))
    new, reply = _read(talk, moved)
    return new, replace(reply, opening=opening)


# ---------------------------------------------------------------------------------------------- read back


def read_back(talk: Conversation, before: State, state: State, reply: Reply, text: str) -> tuple[State, Reply]:
    """Return the reply to facts told before any complaint: the sheet read back, or the whole set-up asked for."""
    if not isinstance(reply, Noted | Clarify):
        return state, reply
    entry, begins = _words(talk.knowledge.trees).set_up
    plain = f" {tidy(text)} "
    if entry in talk.knowledge.entry_ids and any(f" {words} " in plain for words in begins):
        return talk.take_up(state, entry, reply.before if isinstance(reply, Noted) else NOTHING_BEFORE)
    if isinstance(reply, Clarify):
        return state, reply
    told = [one for one in reply.before.noted if one.key in field_rows()]
    if not told and not reply.before.left_out:
        return state, reply
    back = _back(talk, state)
    was = tuple(before.sheet.value(one.key) for one in told)
    return state, replace(
        back, noted=reply.before.noted, before=was, left_out=reply.before.left_out, kept=reply.before.kept
    )


def _read(talk: Conversation, state: State) -> tuple[State, ReadBack]:
    return state, _back(talk, state)


def _back(talk: Conversation, state: State) -> ReadBack:
    from advisor.doubt.doubts import doubts_of

    trees, sheet = talk.knowledge.trees, state.sheet
    words = _words(trees)
    assumed = [one for one in _assumed(sheet, trees) if one.sheet_path in words.assumed]
    assumed.sort(key=lambda one: words.assumed.index(one.sheet_path))
    doubts = doubts_of(sheet, talk.boards(), trees) if sheet.leaves else ()
    few = tuple(assumed[: words.most_assumed]) if sheet.leaves else ()
    return ReadBack(sheet, assumed=few, ask=_next(talk, state), doubts=doubts)


def _next(talk: Conversation, state: State) -> str:
    """Return the first field worth asking for that is neither known nor a "don't know"."""
    for paths in _words(talk.knowledge.trees).asks:
        path = paths[0]
        known = any(state.sheet.value(one) is not None for one in paths)
        if not known and path not in state.unsure and path in talk.knowledge.facts:
            return path
    return ""


def _assumed(sheet: Sheet, trees: Trees) -> tuple[Reading, ...]:
    """Return what is assumed of the set-up, by the sheet's fields, each once."""
    known = resolve(sheet, trees=trees)
    leads = str(sheet.value("rider.leading_foot") or "left")
    found = {}
    for path in field_rows():
        reading = known.readings.get(setup_path(path, leads))
        if reading is not None and reading.origin == "assumed" and path not in sheet.leaves:
            found[path] = reading._replace(sheet_path=path)
    return tuple(found.values())


def shown_sheet(talk: Conversation, sheet: Sheet) -> SheetShown:
    """Return the whole sheet to be told: what is known, assumed and doubted."""
    from advisor.doubt.doubts import doubts_of

    trees = talk.knowledge.trees
    worth = {*_words(trees).assumed, *form_fields(trees)}
    assumed = tuple(one for one in _assumed(sheet, trees) if one.sheet_path in worth and one.plus_minus > 0)
    return SheetShown(sheet, assumed, doubts_of(sheet, talk.boards(), trees))


def form_fields(trees: Trees) -> dict[str, str]:
    """Return the form's fields, each with its group, those that a sheet has."""
    groups: dict[str, list[str]] = trees.table(FILE)["form"]
    return {path: group for group, paths in groups.items() for path in paths if path in field_rows()}
