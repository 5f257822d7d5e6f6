"""How well the talk hears: answers, facts, switches, talk about the talk, languages, whole dialogues, and a grid.

    python tests/bench/bench_talk.py tests/talk_sets/*.jsonl [--quiet] [--kept]

Each file holds one set, one JSON object a line, told by its name: answers, facts, switches, meta, languages, dialogues.
Every line goes through the real conversation. `--kept` puts the talk away and takes it up again before every line.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from math import sqrt
from pathlib import Path
from typing import Any

from advisor.dialogue.case import Case
from advisor.dialogue.keeping import keep, taken_up
from advisor.dialogue.replies import Asked, Clarify, Reply
from advisor.dialogue.talk import Conversation, State
from advisor.dialogue.walk import Question, walk
from advisor.graph.knowledge import load_knowledge
from advisor.graph.nodes import Ask
from advisor.match import load_matcher
from advisor.sheet.reading import read_sheet
from advisor.sheet.sheet import Sheet

TALK = Conversation(load_knowledge(), load_matcher)
SHEETS = Path(__file__).parents[2] / "transcripts_demo"
FULL = SHEETS / "larchfall_heel.yaml"
Row = dict[str, Any]


def interval(right: int, of: int, z: float = 1.96) -> tuple[float, float]:
    """Return the Wilson interval of a share."""
    if not of:
        return 0.0, 1.0
    share, spread = right / of, z * z / of
    middle = (share + spread / 2) / (1 + spread)
    half = z / (1 + spread) * sqrt(share * (1 - share) / of + spread / (4 * of))
    return middle - half, middle + half


def told(name: str, right: int, of: int) -> str:
    """Return a share in words with its interval."""
    low, high = interval(right, of)
    return f"{name}: {right}/{of} = {right / of if of else 0:.3f} [{low:.3f}, {high:.3f}]"


@dataclass
class Result:
    """Counts of one set, and the lines that went wrong."""

    counts: dict[str, tuple[int, int]] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)

    def add(self, name: str, right: bool) -> None:
        """Count one."""
        done, of = self.counts.get(name, (0, 0))
        self.counts[name] = done + right, of + 1


class Talking:
    """A conversation, put away and taken up again before each line where that is wanted."""

    def __init__(self, kept: bool) -> None:
        self.kept = kept
        self.seconds = 0.0
        self.lines = 0

    def hear(self, state: State, line: str) -> tuple[State, Reply]:
        """Take one line."""
        if self.kept and state.said:
            state, _ = taken_up(TALK, json.loads(json.dumps(keep(state))))
        start = time.perf_counter()
        done = TALK.hear(state, line)
        self.seconds += time.perf_counter() - start
        self.lines += 1
        return done


def _asks(entry: str, fact: str) -> bool:
    return any(isinstance(node, Ask) and node.fact == fact for node in TALK.knowledge.entry(entry).nodes.values())


def _put(fact: str, sheet: Sheet) -> State:
    """Return a state at which a fact is asked, in an entry that asks it where there is one."""
    known = TALK.knowledge
    entries = sorted(known.entry_ids)
    entry = next((one for one in entries if _asks(one, fact)), entries[0])
    case = Case(entry, sheet)
    done = walk(known, case)
    if done.question is None:
        entry = next(one for one in entries if walk(known, Case(one, sheet)).question)
        case = Case(entry, sheet)
        done = walk(known, case)
    asked = done.question
    assert asked is not None
    question = Question(known.facts[fact], asked.node, asked.suspect, ())
    return State(sheet, case=case, walk=done._replace(questions=(question,)), said=("x",))


def _near(one: object, other: object) -> bool:
    if isinstance(one, int | float) and isinstance(other, int | float):
        return abs(one - other) <= max(0.6, 0.004 * abs(other))
    return str(one).replace("US M ", "US ") == str(other).replace("US M ", "US ")


def _heard_answer(before: State, after: State, reply: Reply, fact: str) -> object:
    """Return what an answer was taken for: its value, `unsure`, `other`, or None where it is asked again."""
    entry = before.case.entry if before.case else ""
    if fact in after.heard.facts:
        return after.heard.facts[fact]
    if after.case and fact in after.case.unsure:
        return "unsure"
    if fact in after.answers and fact not in before.answers:
        return after.answers[fact]
    if after.signs and not before.signs:
        return "sign"
    if after.case is None or after.case.entry != entry or set(after.waiting) != set(before.waiting):
        return "other"
    del reply
    return None


def score_answers(rows: Iterable[Row], talking: Talking) -> Result:
    """Score answers in free words to one question each."""
    result = Result()
    unkept = Talking(False)
    for row in rows:
        fact = row["question"]
        if fact not in TALK.knowledge.facts:
            continue
        sheet = (
            Sheet("", {}).with_value("rider.leading_foot", "left") if fact != "rider.leading_foot" else Sheet("", {})
        )
        before = _put(fact, sheet)
        after, reply = unkept.hear(before, row["line"])
        got = _heard_answer(before, after, reply, fact)
        want = row["expect"].get("option", row["expect"].get("number"))
        want = "unsure" if row["expect"].get("unsure") else want
        sign = got == "sign" and fact.endswith(("_signs", "_sign"))
        right = _near(got, want) if want is not None else got is None
        result.add("read right", right or sign)
        result.add("taken for another complaint", got == "other")
        misread = not right and not sign and got not in (None, "other")
        result.add("misread", misread)
        if not (right or sign):
            result.wrong.append(f"{fact} | {row['line']} | want {want} got {got}")
    talking.seconds += unkept.seconds
    talking.lines += unkept.lines
    return result


def score_facts(rows: Iterable[Row], talking: Talking) -> Result:
    """Score facts told in a first line, and the complaint beside them."""
    result = Result()
    heads = ("rider.", "boots.", "board.", "bindings.", "mount.", "measured.")
    for row in rows:
        state, _ = TALK.begin(Sheet("", {}))
        state, reply = talking.hear(state, row["line"])
        got = {key: value for key, value in state.heard.facts.items() if key.startswith(heads)}
        want = {key: value for key, value in row["facts"].items() if key.startswith(heads)}
        for key, value in want.items():
            result.add("recall", key in got and _near(got[key], value))
        for key, value in got.items():
            result.add("precision", key in want and _near(value, want[key]))
        for key in row["not"]:
            result.add("wrong field taken", key in got)
        if row.get("complaint"):
            heard = state.case.entry if state.case else ""
            offered = state.candidates
            kept = (heard, *offered, *state.waiting, *(sign.entry for sign in state.signs))
            result.add("complaint beside facts kept", row["complaint"] in kept)
            if row["complaint"] not in kept:
                result.wrong.append(f"{row['line']} | complaint {row['complaint']} got {kept} {type(reply).__name__}")
        missing = {key: value for key, value in want.items() if not (key in got and _near(got[key], value))}
        extra = {key: value for key, value in got.items() if not (key in want and _near(value, want[key]))}
        if missing or extra:
            result.wrong.append(f"{row['line']} | missing {missing} extra {extra}")
    return result


def _talk_until(talking: Talking, lines: Iterable[str], sheet: Sheet) -> tuple[State, Reply]:
    state, reply = TALK.begin(sheet)
    for line in lines:
        state, reply = talking.hear(state, line)
        if isinstance(reply, Clarify):
            state, reply = talking.hear(state, "1")
    return state, reply


def score_switches(rows: Iterable[Row], talking: Talking) -> Result:
    """Score complaints told while another is open."""
    result = Result()
    for row in rows:
        state, _ = _talk_until(talking, row["context"], Sheet("", {}))
        if state.question is None and state.case is None:
            continue
        if row.get("question") and row["question"] in TALK.knowledge.facts and state.case and state.walk:
            asked = state.question
            question = _put(row["question"], state.sheet).question
            assert question is not None
            del asked
            state = replace(state, answer=None, walk=state.walk._replace(questions=(question,), found=None))
        before = state
        after, _ = talking.hear(state, row["line"])
        entry = before.case.entry if before.case else ""
        now = after.case.entry if after.case else ""
        new = set(after.waiting) - set(before.waiting) - {entry}
        got = "switch" if now != entry else "keep_for_later" if new else "no_switch"
        named = now if got == "switch" else next(iter(new), None)
        right = got == row["expect"] and (row["entry"] is None or named == row["entry"])
        if row["expect"] == "no_switch":
            result.add("taken for another complaint", got != "no_switch")
        result.add("read right", right)
        if not right:
            result.wrong.append(
                f"{row['context']} | {row['line']} | want {row['expect']} {row['entry']} got {got} {named}"
            )
    return result


_COMMANDS = {"Helped": "help", "Stopped": "bye"}


def score_meta(rows: Iterable[Row], talking: Talking) -> Result:
    """Score talk about the talk."""
    result = Result()
    for row in rows:
        sheet = Sheet("", {}) if row["state"] == "question" else read_sheet(FULL)
        state, reply = _talk_until(talking, row["context"], sheet)
        state = _brought_to(state, row["state"], talking)
        after, reply = talking.hear(state, row["line"])
        got = after.heard.talk or _COMMANDS.get(type(reply).__name__, "")
        if row["line"].strip().lower() in {"undo", "back up"}:
            got = "undo"
        if row["line"].strip().lower() == "not that":
            got = "not_that"
        if state.before is not None and after.said == state.before.said and len(after.said) < len(state.said):
            got = "undo"
        stays = type(reply).__name__ in {"Lost", "Troubled", "Left", "Greeted", "AskedBack"}
        got = got or ("other" if stays else type(reply).__name__)
        result.add("read right", got == row["expect"])
        open_still = not state.question or after.done or after.question is not None or isinstance(reply, Asked)
        result.add("what is open stays open", open_still)
        if got != row["expect"]:
            result.wrong.append(f"{row['state']} | {row['line']} | want {row['expect']} got {got}")
    return result


def _brought_to(state: State, wanted: str, talking: Talking) -> State:
    """Bring a talk to an answer, or past a change that was made."""
    for _ in range(30):
        if wanted == "question" or not state.question:
            break
        state, _ = talking.hear(state, "don't know")
    if wanted == "return":
        state, _ = talking.hear(state, "done")
        if not state.made:
            state = replace(state, made=(state.case.entry if state.case else "heel_washout", ""), answer=None)
    return state


def score_languages(rows: Iterable[Row], talking: Talking) -> Result:
    """Score lines in other languages."""
    result = Result()
    for row in rows:
        expect = row["expect"]
        if isinstance(expect, dict):
            fact = row["question"]
            before = _put(fact, Sheet("", {}))
            after, reply = Talking(False).hear(before, row["line"])
            got = _heard_answer(before, after, reply, fact)
            want = expect.get("option", expect.get("number"))
            right = _near(got, want)
        else:
            state, _ = TALK.begin(Sheet("", {}))
            after, _ = talking.hear(state, row["line"])
            got = "sign" if after.signs or after.heard.signs else after.heard.talk
            want, right = expect, got == expect
        result.add("read right", right)
        if not right:
            result.wrong.append(f"{row['lang']} | {row['line']} | want {want} got {got}")
    return result


def _outcome(state: State) -> tuple[object, ...]:
    """Return what a dialogue comes to."""
    answer = state.answer
    if answer is None:
        return ("open", state.question.fact.id if state.question else "")
    choice = answer.choice
    changes = tuple(sorted((one.adjustment, one.foot or "") for one in choice.changes)) if choice else ()
    return (
        answer.walk.entry.id, answer.outcome, answer.cause.id if answer.cause else "",
        answer.referral.id if answer.referral else "", changes,
    )  # fmt: skip


def _held(row: Row, says: Callable[[str], str | None], talking: Talking, first: str) -> tuple[State, bool]:
    """Hold a whole dialogue; a question without an answer is not known."""
    sheet = read_sheet(FULL) if row["sheet"] == "full" else Sheet("", {})
    state, reply = TALK.begin(sheet)
    state, reply = talking.hear(state, first)
    if isinstance(reply, Clarify):
        means = TALK.knowledge.entry(row["entry"]).means
        state, reply = talking.hear(state, means if row["entry"] in state.candidates else "1")
    derailed = False
    for _ in range(40):
        question = state.question
        if question is None:
            break
        line = says(question.fact.id)
        entry = state.case.entry if state.case else ""
        state, _ = talking.hear(state, line if line is not None else "don't know")
        if state.question and state.question.fact.id == question.fact.id and line is not None:
            state, _ = talking.hear(state, "don't know")
        derailed = derailed or (state.case.entry if state.case else "") != entry
    return state, derailed


def _first_entry(row: Row, talking: Talking) -> str:
    state, _ = talking.hear(TALK.begin(Sheet("", {}))[0], row["first"])
    return state.case.entry if state.case else row["entry"] if row["entry"] in state.candidates else ""


def _clean(fact: str, value: object) -> str:
    options = TALK.knowledge.facts[fact].options
    return str(options.get(str(value), value)) if options else str(value)


def score_dialogues(rows: Iterable[Row], talking: Talking) -> Result:
    """Score dialogues: the same outcome with answers in free words as with clean ones."""
    result = Result()
    for row in rows:
        kind = "with a sheet" if row["sheet"] == "full" else "without a sheet"
        about, clean = row["about"], row["clean"]
        free, derailed = _held(row, about.get, talking, row["first"])

        def cleanly(fact: str, clean: Row = clean) -> str | None:
            return _clean(fact, clean[fact]) if fact in clean else None

        plain, _ = _held(row, cleanly, Talking(False), row["first"])
        same = _outcome(free) == _outcome(plain)
        result.add(f"same outcome as with clean answers, {kind}", same)
        result.add(f"derailed by an answer, {kind}", derailed)
        result.add("first line taken for the entry meant", _first_entry(row, talking) == row["entry"])
        if not same:
            result.wrong.append(
                f"{row['id']} {row['first']} | {_outcome(free)} | {_outcome(plain)} | derailed {derailed}"
            )
    return result


NOTATIONS = {
    "15 front 0 back": (15, 0),
    "front 15 back 0": (15, 0),
    "15/0": (15, 0),
    "+15/0": (15, 0),
    "+15/-6": (15, -6),
    "angles 15 and 0": (15, 0),
    "15 in front, 0 behind": (15, 0),
    "back 0, front 15": (15, 0),
    "rear 0 front 15": (15, 0),
    "front at 15, back at 0": (15, 0),
    "15 degrees front, 0 degrees back": (15, 0),
    "fifteen front zero back": (15, 0),
    "front fifteen back minus six": (15, -6),
    "duck 12/12": (12, -12),
    "12 and -12": (12, -12),
    "plus 15 minus 6": (15, -6),
    "front +15, rear -6": (15, -6),
    "set at 15 / 0": (15, 0),
    "bindings 15 0": (15, 0),
    "back binding at 0, front at 15": (15, 0),
    "front foot 15, back foot 0": (15, 0),
    "0 back 15 front": (15, 0),
    "15° front / 0° back": (15, 0),
    "my angles are 15 front and 0 back": (15, 0),
}
COMPLAINTS = (
    "my back knee hurts", "my front knee hurts", "my heel edge slides out", "my toes drag in the snow",
    "my back foot cramps", "the front strap slips",
)  # fmt: skip


def score_grid(talking: Talking) -> Result:
    """Score notations of angles beside complaints: a wrong number or foot must never be taken."""
    result = Result()
    for words, (front, back) in NOTATIONS.items():
        for complaint in COMPLAINTS:
            for line in (f"{complaint}, {words}", f"{words}, {complaint}"):
                state, _ = TALK.begin(Sheet("", {}))
                state, _ = talking.hear(state, line)
                got = [state.heard.facts.get(f"mount.{foot}.angle_deg") for foot in ("front", "back")]
                wrong = any(one is not None and one != want for one, want in zip(got, (front, back), strict=True))
                result.add("both angles right", got == [front, back])
                result.add("wrong number taken", wrong)
                if got != [front, back]:
                    result.wrong.append(f"{line} | want {front} {back} got {got}")
    return result


SETS: dict[str, Callable[[Iterable[Row], Talking], Result]] = {
    "answers": score_answers, "facts": score_facts, "switches": score_switches, "meta": score_meta,
    "languages": score_languages, "dialogues": score_dialogues,
}  # fmt: skip


def score(file: Path, kept: bool = False) -> tuple[Result, Talking]:
    """Score one file."""
    rows = [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines() if line.strip()]
    name = next(name for name in SETS if name in file.stem)
    talking = Talking(kept)
    return SETS[name](rows, talking), talking


def main() -> None:
    """Score files and print the figures."""
    given = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    given.add_argument("files", nargs="*", type=Path)
    given.add_argument("--quiet", action="store_true", help="counts only, no line of a set")
    given.add_argument("--kept", action="store_true", help="put the talk away and take it up again before every line")
    given.add_argument("--grid", action="store_true", help="the grid of notations by complaints too")
    asked = given.parse_args()
    for file in asked.files:
        result, talking = score(file, asked.kept)
        _print(file.stem, result, talking, asked.quiet)
    if asked.grid:
        talking = Talking(asked.kept)
        _print("grid", score_grid(talking), talking, asked.quiet)


def _print(name: str, result: Result, talking: Talking, quiet: bool) -> None:
    print(name)
    for what, (right, of) in sorted(result.counts.items()):
        print("  " + told(what, right, of))
    print(f"  a turn: {talking.seconds / max(1, talking.lines) * 1000:.2f} ms, {talking.lines} lines")
    if not quiet:
        for line in result.wrong:
            print("    " + line)


if __name__ == "__main__":
    sys.exit(main())
