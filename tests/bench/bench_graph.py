"""How fast the graph is loaded and walked, and how it compares: `python tests/bench/bench_graph.py`.

Loading of all trees, proven afresh and from the kept form; time per turn over the recorded conversations and over
made-up riders; growth with a hundred times as many entries; and one decision over the same 20 ordered rules, loaded
from the same data, against a plain loop that keeps a full trace (the limit) and three general rule engines.

The rules are 20 questions in a row, each with one answer that ends the walk. Every engine is given all 20 answers and
must say which rule held; ours and the plain loop also tell every rule that was passed and why.
"""

from __future__ import annotations

import copy
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from random import Random
from typing import Any

from advisor.dialogue.answer import answer_case
from advisor.dialogue.case import Case
from advisor.dialogue.walk import walk
from advisor.graph.compiler import compile_knowledge
from advisor.graph.knowledge import Knowledge, load_knowledge
from advisor.knowledge_home import trees_dir
from advisor.sheet.sheet import Sheet
from advisor.workshop.proof import prove
from advisor.workshop.random_riders import ordinary_sheet, random_sheet
from advisor.workshop.transcripts import read_recording

RULES = 20
CASES = 400
TIMES_AS_LARGE = 100
PROJECT = Path(__file__).resolve().parents[2]


def in_microseconds(decide: Callable[[Any], Any], cases: Sequence[Any], rounds: int = 7) -> tuple[float, float]:
    """Return the median and the 99th percentile over the cases of the best of several rounds [us]."""
    best = [float("inf")] * len(cases)
    for _ in range(rounds):
        for place, case in enumerate(cases):
            start = time.perf_counter_ns()
            decide(case)
            best[place] = min(best[place], time.perf_counter_ns() - start)
    return statistics.median(best) / 1000, statistics.quantiles(best, n=100)[-1] / 1000


# ---------------------------------------------------------------- loading


def loading() -> None:
    """Print what it costs to load all trees, in a process of its own and inside one."""
    start = time.perf_counter()
    compiled, faults = compile_knowledge(trees_dir())
    read = time.perf_counter()
    faults = faults or prove(compiled)
    proven = time.perf_counter()
    entries = [Knowledge(compiled).entry(name) for name in compiled["entries"]]
    nodes = sum(len(entry.nodes) for entry in entries)
    stopping = sum(not fault.loose for fault in faults)
    print(f"all trees: {len(entries)} entries, {nodes} nodes with their parts, {stopping} faults")
    print(f"  read and check every file   {1000 * (read - start):7.1f} ms")
    print(f"  prove                       {1000 * (proven - read):7.1f} ms")
    with tempfile.TemporaryDirectory() as folder:
        environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
        environment |= {"XDG_CACHE_HOME": folder, "PYTHONPYCACHEPREFIX": f"{folder}/bytecode"}
        bare = _process("pass", environment, 7)
        code = "from advisor.graph.knowledge import load_knowledge; load_knowledge()"
        _process(code, environment, 1)
        cold = []
        for _ in range(3):
            for kept in Path(folder).glob("advisor/knowledge-*.json"):
                kept.unlink()
            cold.append(_process(code, environment, 1))
        warm = _process(code, environment, 7)
        size = sum(file.stat().st_size for file in Path(folder).glob("advisor/knowledge-*.json"))
    print(f"  a process, cold (proven)    {statistics.median(cold) - bare:7.1f} ms over a bare interpreter")
    print(f"  a process, from kept form   {warm - bare:7.1f} ms over a bare interpreter ({size / 1024:.0f} KB)")


def _process(code: str, environment: dict[str, str], rounds: int) -> float:
    took = []
    for _ in range(rounds):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True, cwd=PROJECT, env=environment)
        took.append(1000 * (time.perf_counter() - start))
    return statistics.median(took)


# ---------------------------------------------------------------- turns


def turns() -> None:
    """Print the time per turn of the recorded conversations, and per walk of made-up riders."""
    from advisor.cli.chat import start

    knowledge = load_knowledge()
    conversation = start(knowledge)
    took: list[float] = []
    recordings = sorted((PROJECT / "transcripts_demo").glob("*.talk.yaml"))
    for path in recordings:
        recording = read_recording(path)
        state, _ = conversation.begin(recording.sheet())
        for turn in recording.turns:
            begun = time.perf_counter_ns()
            state, _ = conversation.hear(state, turn.say)
            took.append((time.perf_counter_ns() - begun) / 1e6)
    _tell(f"a turn of {len(recordings)} recorded conversations", took[1:])
    random, walked, answered = Random(1), [], []
    for _ in range(4):
        for name in knowledge.entry_ids:
            case = Case(name, random_sheet(random))
            case.known  # noqa: B018
            begun = time.perf_counter_ns()
            done = walk(knowledge, case)
            middle = time.perf_counter_ns()
            answer_case(knowledge, case, done)
            walked.append((middle - begun) / 1e6)
            answered.append((time.perf_counter_ns() - begun) / 1e6)
    _tell("a walk on a made-up sheet", walked)
    _tell("a walk with its answer", answered)


def _tell(words: str, took: Sequence[float]) -> None:
    p50, p99 = statistics.median(took), statistics.quantiles(took, n=100)[-1]
    print(f"  {words:44s} p50 {p50:7.2f} ms   p99 {p99:7.2f} ms   n {len(took)}")


def growth() -> None:
    """Print the time per turn in a knowledge a hundred times as large, and in an entry ten times as large."""
    compiled, _ = compile_knowledge(trees_dir())
    large = {**compiled, "entries": dict(compiled["entries"])}
    for number in range(1, TIMES_AS_LARGE):
        for name, raw in compiled["entries"].items():
            large["entries"][f"{name}_{number}"] = copy.deepcopy(raw)
    text = json.dumps({key: large[key] for key in large if key not in ("lines", "tables")})
    begun = time.perf_counter()
    many = Knowledge(json.loads(text))
    read = 1000 * (time.perf_counter() - begun)
    few = Knowledge(compiled)
    print(f"growth: {len(many.entry_ids)} entries, {len(text) / 2**20:.1f} MB, read in {read:.0f} ms")
    sheet = ordinary_sheet()
    for words, knowledge in (("as it is", few), (f"{TIMES_AS_LARGE} times as large", many)):
        cases = [Case(name, sheet) for name in few.entry_ids]
        for case in cases:
            walk(knowledge, case)
        middle, high = in_microseconds(lambda case, k=knowledge: walk(k, case), cases)
        print(f"  a walk, knowledge {words:20s}  p50 {middle / 1000:6.2f} ms   p99 {high / 1000:6.2f} ms")
    _large_entry(compiled, sheet)


def _large_entry(compiled: dict[str, Any], sheet: Sheet) -> None:
    for times in (1, 10):
        larger = copy.deepcopy(compiled)
        raw = larger["entries"]["heel_washout"]
        nodes, suspects = dict(raw["nodes"]), list(raw["suspects"])
        for number in range(1, times):
            again = {name: f"{name}_{number}" for name in nodes}
            for name, node in nodes.items():
                raw["nodes"][again[name]] = _renamed(node, again)
            raw["suspects"] += [{**suspect, "start": again[suspect["start"]]} for suspect in suspects]
        knowledge = Knowledge(larger)
        case = Case("heel_washout", sheet)
        walk(knowledge, case)
        middle, _ = in_microseconds(lambda case, k=knowledge: walk(k, case), [case] * 20)
        print(f"  a walk, one entry {times:2d} times as large         p50 {middle / 1000:6.2f} ms")


def _renamed(node: Any, names: dict[str, str]) -> Any:
    if isinstance(node, dict):
        ways = {"go", "otherwise", "unsure"}
        return {key: names.get(value, value) if key in ways else _renamed(value, names) for key, value in node.items()}
    return [_renamed(one, names) for one in node] if isinstance(node, list) else node


# ---------------------------------------------------------------- the same rules for everyone


def rules_file(folder: Path) -> None:
    """Write an entry of 20 questions in a row, with its facts and causes, as the project's own files have them."""
    sys.path.insert(0, str(PROJECT))
    from tests.graph.sound_world import SOUND

    options = "options: {low: l, fair: f, high: h}"
    facts, nodes = "", ""
    for i in range(RULES):
        facts += f'fact_{i}: {{kind: choice, question: "Fact {i}?", how: Look., minutes: 1, {options}}}\n'
        on = f"rule_{i + 1}" if i + 1 < RULES else "cleared"
        nodes += f"  rule_{i}:\n    ask: fact_{i}\n    says: S\n    how_so: H\n    branches:\n"
        nodes += f"      - {{is: [high], go: cause_{i}}}\n      - {{is: [low, fair], go: {on}}}\n    unsure: cleared\n"
        nodes += f"  cause_{i}: {{cause: cause_{i}, go: end}}\n"
    head = (
        "entry: ordered\nkind: symptom\ntitle: T\nmeans: M\nopening: O\nsuspects:\n"
        "  - {start: rule_0, odds: 1, words: rules}\nnothing_left: end\nnodes:\n"
    )
    files = {**SOUND, "entries/ordered.yaml": f"{head}{nodes}  end: {{refer: look_again}}\n"}
    files["facts.yaml"] += facts
    for i in range(RULES):
        text = f'cause: cause_{i}\ntitle: T\nbecause: "B"\nhow_so: "H"\nfeel: "F"\nsource: common_practice\n'
        files[f"causes/cause_{i}.yaml"] = text
    for name, content in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content, encoding="utf-8")


Row = tuple[str, str, str]


def as_rows(compiled: dict[str, Any]) -> list[Row]:
    """Return the rules as plain rows, read out of the same compiled files: fact, answer, cause."""
    nodes, rows, place = compiled["entries"]["ordered"]["nodes"], [], "rule_0"
    while place != "cleared":
        hit, on = nodes[place]["branches"]
        rows.append((nodes[place]["ask"], hit["is"][0], nodes[hit["go"]]["cause"]))
        place = on["go"]
    return rows


def plain_loop(rows: list[Row]) -> Callable[[dict[str, str]], Any]:
    """Return a loop over the rows that keeps what it looked at, found and wanted."""

    def decide(facts: dict[str, str]) -> Any:
        trace = []
        for fact, wanted, cause in rows:
            found = facts[fact]
            trace.append((fact, found, wanted, found == wanted))
            if found == wanted:
                return cause, trace
        return None, trace

    return decide


def our_walk(knowledge: Knowledge) -> Callable[[Case], Any]:
    """Return the project's own walk."""

    def decide(case: Case) -> Any:
        line = walk(knowledge, case).found
        return (line.cause if line else None), line

    return decide


def zen(rows: list[Row]) -> Callable[[dict[str, str]], Any]:
    """Return a first-hit decision table of zen-engine, with its trace."""
    from zen import ZenEngine

    inputs = [{"id": f"i{n}", "type": "expression", "field": fact, "name": fact} for n, (fact, _, _) in enumerate(rows)]
    table = [
        {"_id": f"r{n}", "o": f'"{cause}"', **{f"i{m}": (f'"{wanted}"' if m == n else "") for m in range(len(rows))}}
        for n, (_, wanted, cause) in enumerate(rows)
    ]
    content = {
        "hitPolicy": "first",
        "inputs": inputs,
        "outputs": [{"id": "o", "type": "expression", "field": "cause", "name": "cause"}],
        "rules": table,
    }
    graph = {
        "nodes": [
            {"id": "in", "type": "inputNode", "name": "in", "position": {"x": 0, "y": 0}},
            {"id": "t", "type": "decisionTableNode", "name": "t", "content": content, "position": {"x": 0, "y": 0}},
            {"id": "out", "type": "outputNode", "name": "out", "position": {"x": 0, "y": 0}},
        ],
        "edges": [
            {"id": "a", "sourceId": "in", "targetId": "t", "type": "edge"},
            {"id": "b", "sourceId": "t", "targetId": "out", "type": "edge"},
        ],
    }
    decision = ZenEngine().create_decision(json.dumps(graph))

    def decide(facts: dict[str, str]) -> Any:
        result = decision.evaluate(facts, {"trace": True})
        return (result["result"] or {}).get("cause"), result

    return decide


def clips(rows: list[Row]) -> Callable[[dict[str, str]], Any]:
    """Return CLIPS through clipspy: one rule a row, the earlier the more salient, the first one ends the run."""
    import clips as library

    environment = library.Environment()
    environment.build("(deftemplate told (slot fact) (slot answer))")
    environment.build("(deftemplate shown (slot cause))")
    for place, (fact, wanted, cause) in enumerate(rows):
        environment.build(
            f"(defrule r{place} (declare (salience {1000 - place})) (not (shown))"
            f" (told (fact {fact}) (answer {wanted})) => (assert (shown (cause {cause}))))"
        )
    told, shown = environment.find_template("told"), environment.find_template("shown")
    symbol = library.Symbol

    def decide(facts: dict[str, str]) -> Any:
        environment.reset()
        for fact, answer in facts.items():
            told.assert_fact(fact=symbol(fact), answer=symbol(answer))
        environment.run()
        return next((str(fact["cause"]) for fact in shown.facts()), None), None

    return decide


def business(rows: list[Row]) -> Callable[[dict[str, str]], Any]:
    """Return business-rules with its own JSON form, stopping at the first rule that holds."""
    from business_rules import run_all
    from business_rules.actions import BaseActions, rule_action
    from business_rules.fields import FIELD_TEXT
    from business_rules.variables import BaseVariables, string_rule_variable

    def variable(fact: str) -> Any:
        def read(self: Any) -> str:
            return str(self.facts[fact])

        read.__name__ = fact
        return string_rule_variable()(read)

    def init(self: Any, facts: dict[str, str]) -> None:
        self.facts = facts

    variables: Any = type(
        "Facts", (BaseVariables,), {"__init__": init, **{fact: variable(fact) for fact, _, _ in rows}}
    )

    class Actions(BaseActions):  # type: ignore[misc]
        def __init__(self) -> None:
            self.cause: str | None = None

        @rule_action(params={"cause": FIELD_TEXT})  # type: ignore[untyped-decorator]
        def show(self, cause: str) -> None:
            self.cause = cause

    rules = [
        {
            "conditions": {"all": [{"name": fact, "operator": "equal_to", "value": wanted}]},
            "actions": [{"name": "show", "params": {"cause": cause}}],
        }
        for fact, wanted, cause in rows
    ]

    def decide(facts: dict[str, str]) -> Any:
        actions = Actions()
        run_all(rules, variables(facts), actions, stop_on_first_trigger=True)
        return actions.cause, None

    return decide


def peers() -> None:
    """Print the time of one decision over the same 20 ordered rules, for everyone who can be imported."""
    with tempfile.TemporaryDirectory() as folder:
        rules_file(Path(folder))
        compiled, faults = compile_knowledge(Path(folder))
    assert not faults, faults[:3]
    knowledge, rows, random = Knowledge(compiled), as_rows(compiled), Random(1)
    facts = []
    for place in range(CASES):
        hit = place % (RULES + 1)
        facts.append({row[0]: random.choice(("low", "fair")) if n != hit else "high" for n, row in enumerate(rows)})
    empty = Sheet("", {})
    cases = [Case("ordered", empty, one) for one in facts]
    contenders: list[tuple[str, Callable[[], Callable[[Any], Any]], Sequence[Any]]] = [
        ("plain loop with full trace", lambda: plain_loop(rows), facts),
        ("this project's walk, every step kept", lambda: our_walk(knowledge), cases),
        ("business-rules", lambda: business(rows), facts),
        ("zen-engine, with trace", lambda: zen(rows), facts),
        ("clipspy", lambda: clips(rows), facts),
    ]
    wanted = [plain_loop(rows)(one)[0] for one in facts]
    print(f"one decision over {RULES} ordered rules from the same data, {CASES} cases, each rule as often the answer")
    limit = None
    for name, make, given in contenders:
        try:
            decide = make()
        except ImportError as error:
            print(f"  {name:38s} not installed ({error.name})")
            continue
        got = [decide(one)[0] for one in given]
        agree = sum(a == b for a, b in zip(got, wanted, strict=True))
        middle, high = in_microseconds(decide, given)
        limit = limit or middle
        times = f"{middle / limit:6.1f} times the loop"
        print(f"  {name:38s} p50 {middle:8.1f} us   p99 {high:8.1f} us   {times}   agrees {agree}/{CASES}")


def main() -> None:
    """Print everything."""
    loading()
    turns()
    growth()
    peers()


if __name__ == "__main__":
    main()
