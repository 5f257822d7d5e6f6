"""Wrong sheets through the conversation: noticed before harm, harm unnoticed, and false alarms on true sheets.

Usage: python tests/bench/bench_wrong_sheets.py [RIDERS, 500] [KIND]. Riders, slips of the pen and the judge's geometry
are those of `tests/doubt/riders.py`, which shares nothing with the program. Each rider complains; looks are answered by
the truth, danger signs with no, all else with "don't know". Harm: what is advised, done on the true board, takes the
boot's split, the stance's width or an angle further out of the judge's window.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from copy import deepcopy
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "doubt"))
import riders

from advisor.cli.chat import start
from advisor.dialogue.replies import Answered, Asked
from advisor.dialogue.talk import Conversation
from advisor.dialogue.verdict import verdict_of
from advisor.errors import SheetError
from advisor.graph.knowledge import load_knowledge
from advisor.sheet.reading import parse_sheet

COMPLAINTS = (
    "my heel edge lets go on hard snow",
    "my toes touch the snow in turns",
    "my back knee hurts",
    "my stance feels too wide",
    "the board is slow from edge to edge",
    "my heels drag in the snow",
)
MOST_TURNS = 20
SPLIT_MM, WIDTH, SPLAY_DEG = 8.0, (0.275, 0.345), (0, 48)


def turned_heelcup(sheet: dict[str, Any]) -> None:
    """The true cup stands two steps out, the sheet says two in."""
    sheet["mount"]["back"]["heelcup"] = -sheet["mount"]["back"]["heelcup"]


def turned_seat(sheet: dict[str, Any]) -> None:
    """The boot's place was read with the wrong sign."""
    sheet["mount"]["back"]["seat_mm"] = -sheet["mount"]["back"]["seat_mm"]


def true_rider(seed: int, kind: str) -> dict[str, Any]:
    """Return the truth; where a sign is to be turned there is something to turn."""
    sheet = riders.rider(500_000 + seed)
    if kind == "heelcup's sign":
        sheet["mount"]["back"].update(heelcup=2 if seed % 2 else -2)
    if kind == "seat's sign":
        sheet["mount"]["back"].update(seat_mm=12 if seed % 2 else -12)
    return sheet


KINDS = {**riders.WRONG, "heelcup's sign": turned_heelcup, "seat's sign": turned_seat}


def look(truth: dict[str, Any], fact: str) -> str:
    """Return what an eye sees on the true board."""
    what, _, side = fact.rpartition("_")
    if what == "toes_point":
        angle = truth["mount"][side]["angle_deg"]
        return "nose" if angle > 2 else "tail" if angle < -2 else "across"
    toe, heel = riders.overhangs(truth, side)
    return "toe" if toe - heel > 3 else "heel" if heel - toe > 3 else "even"


def answer(truth: dict[str, Any], fact: Any) -> str:
    """Return a rider's answer."""
    if fact.id.startswith(("hangs_further", "toes_point")):
        return look(truth, fact.id)
    if fact.id == "binding_play" or "sign" in fact.id:
        return "no" if "no" in fact.options else "none" if "none" in fact.options else "don't know"
    return "don't know"


def badness(sheet: dict[str, Any]) -> dict[str, float]:
    """Return how far outside the judge's windows a true board stands."""
    out = {}
    for side in ("front", "back"):
        toe, heel = riders.overhangs(sheet, side)
        out[f"split {side}"] = max(0.0, abs(toe - heel) - SPLIT_MM)
    row = sheet["mount"]["front"]["row"] + sheet["mount"]["back"]["row"]
    feet = ((1, sheet["mount"]["front"]), (-1, sheet["mount"]["back"]))
    along = [outward * foot["slot_mm"] for outward, foot in feet if foot["slots"] == "along"]
    share = (sheet["board"]["reference_width_mm"] + 20 * row + sum(along)) / 10 / sheet["rider"]["height_cm"]
    out["width"] = max(0.0, WIDTH[0] - share, share - WIDTH[1]) * 1000
    splay = sheet["mount"]["front"]["angle_deg"] - sheet["mount"]["back"]["angle_deg"]
    out["splay"] = max(0.0, SPLAY_DEG[0] - splay, splay - SPLAY_DEG[1])
    out["front turned in"] = max(0.0, -sheet["mount"]["front"]["angle_deg"])
    return out


def done_on(truth: dict[str, Any], changes: Any) -> dict[str, Any]:
    """Return the true board after the advice: moved by as much as the advice says, not to where it says."""
    after = deepcopy(truth)
    for change in changes:
        part, *middle, name = change.path.split(".")
        place = after[part]
        for step in middle:
            place = place[step]
        if isinstance(change.after, bool | str):
            place[name] = change.after if isinstance(change.after, str) else not place[name]
        elif name in place and isinstance(change.before, int | float):
            place[name] += float(change.after) - float(change.before)
    return after


def one(talk: Conversation, truth: dict[str, Any], sheet: dict[str, Any], complaint: str) -> tuple[bool, bool, str]:
    """Return whether it was noticed, whether the advice harms, and the verdict."""
    try:
        read = parse_sheet(json.dumps(sheet).encode(), "larchfall.yaml")
    except SheetError:
        return True, False, "refused"
    state, _ = talk.begin(read)
    noticed, line = False, complaint
    for _ in range(MOST_TURNS):
        state, reply = talk.hear(state, line)
        if isinstance(reply, Asked | Answered):
            noticed = noticed or any("One of the two is wrong" in words for words in reply.before.kept)
        if isinstance(reply, Asked):
            line = answer(truth, reply.question.fact)
            continue
        if not isinstance(reply, Answered):
            return noticed, False, type(reply).__name__
        found = reply.answer
        noticed = noticed or bool(found.doubts)
        harm = False
        if found.choice and not noticed:
            before, after = badness(truth), badness(done_on(truth, found.choice.changes))
            harm = any(after[key] > before[key] + 3 for key in before)
        return noticed, harm, verdict_of(found)
    return noticed, False, "asked on"


def main(number: int, only: str = "") -> None:
    """Print the figures, of the kinds with a word in their name where one is given."""
    talk = start(load_knowledge())
    total, lines = Counter[str](), []
    each = max(1, number // len(KINDS))
    for kind, spoil in KINDS.items():
        if only not in kind:
            continue
        told = Counter[str]()
        for seed in range(each):
            truth = true_rider(seed, kind)
            wrong = deepcopy(truth)
            spoil(wrong)
            noticed, harm, _ = one(talk, truth, wrong, COMPLAINTS[seed % len(COMPLAINTS)])
            told.update(riders=1, noticed=noticed, harm=harm)
        total.update(told)
        words = f"{told['noticed']:3} of {told['riders']:3} noticed where it bore on the answer"
        lines.append(f"{kind:40} {words}, {told['harm']} harmed")
    print("\n".join(lines))
    riders_, harm = total["riders"], total["harm"]
    print(f"wrong sheets: {riders_}; noticed {total['noticed'] / riders_:.3f}; harm unnoticed {harm / riders_:.3f}")
    print(f"noticed before harm: {(total['noticed']) / max(1, total['noticed'] + harm):.3f}")
    alarms = looked = harm = 0
    for seed in range(each * 6):
        truth = true_rider(10_000 + seed, "")
        noticed, harmed, verdict = one(talk, truth, truth, COMPLAINTS[seed % len(COMPLAINTS)])
        alarms += noticed and verdict != "refused"
        harm += harmed
        looked += 1
    print(f"true sheets: {looked}; false alarms {alarms / looked:.3f}; harm {harm / looked:.3f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500, *sys.argv[2:3])
