"""The command `advisor trees`: the knowledge proven sound, or file and line of what is not; figures and drawings."""

from __future__ import annotations

from pathlib import Path
from statistics import mean, median
from typing import TYPE_CHECKING, Any

from advisor.cli.corrections import as_json, shops_corrections
from advisor.cli.exits import Exit
from advisor.cli.options import add_over
from advisor.cli.surroundings import Surroundings
from advisor.knowledge_home import trees_dir
from advisor.written_files import SVG, write_whole

if TYPE_CHECKING:
    import argparse

    from advisor.explain.text import Text
    from advisor.graph.knowledge import Knowledge
    from advisor.knowledge.fault import Fault
    from advisor.workshop.coverage import Coverage
    from advisor.workshop.question_cost import Effort

_RECORDINGS = "transcripts_demo"


def add_trees(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor trees`."""
    parser.add_argument("--coverage", action="store_true", help="which nodes recordings and random walks come to")
    parser.add_argument("--walks", type=_walks, default=200, metavar="N", help="random walks an entry (default 200)")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="for the random walks (default 1)")
    parser.add_argument("--draw", metavar="ENTRY", help="draw one entry's graph")
    parser.add_argument("--to", metavar="FILE.svg", help="write the drawing into a file")
    add_over(parser)


def _walks(text: str) -> int:
    """Return a number of walks, from 1 to 100000."""
    import argparse

    if not text.isdecimal() or not 1 <= int(text) <= 100_000:
        raise argparse.ArgumentTypeError(f"expected a number from 1 to 100000, found {text!r}")
    return int(text)


def prove(given: argparse.Namespace, around: Surroundings) -> int:
    """Prove every knowledge file; tell the faults, or the figures, the coverage or a drawing of sound knowledge."""
    if given.draw:
        from advisor.graph.knowledge import load_knowledge

        return _draw(load_knowledge(around.trees), given, around)
    from advisor.graph.knowledge import Knowledge
    from advisor.workshop.prove import prove_everything

    compiled, faults = prove_everything(around.trees)
    stopping = [fault for fault in faults if not fault.loose]
    if stopping or (faults and not given.coverage):
        _tell_faults(faults, given, around)
        return Exit.NO
    for fault in faults:
        around.note(str(fault))
    knowledge = Knowledge(compiled, around.trees)
    if given.coverage:
        return _coverage(knowledge, given, around)
    corrected = shops_corrections(around)
    from advisor.workshop.question_cost import effort

    efforts = {name: effort(knowledge.entry(name), knowledge.facts) for name in knowledge.entry_ids}
    if given.json:
        from advisor.cli.as_json import dumps

        told = {name: _effort_json(one) for name, one in efforts.items()}
        around.say(
            dumps(
                {
                    "schema": 1,
                    "sound": True,
                    "faults": [],
                    **_sizes(compiled),
                    "entries": told,
                    "corrections": list(map(as_json, corrected)),
                }
            )
        )
    else:
        from advisor.cli.styled import show

        show(_figures(compiled, efforts), around)
        if corrected:
            around.say(
                f"\nWith {_count(len(corrected), 'correction')} of the shop's ('advisor corrections' takes them back):"
            )
        for one in corrected:
            around.say(one.words)
    return Exit.DONE


def _tell_faults(faults: list[Fault], given: argparse.Namespace, around: Surroundings) -> None:
    if given.json:
        from advisor.cli.as_json import dumps

        told = [
            {"file": f.file, "line": f.line, "rule": f.rule, "words": f.words, "loose_end": f.loose} for f in faults
        ]
        around.say(dumps({"schema": 1, "sound": False, "faults": told}))
        return
    for fault in faults:
        around.say(str(fault))
    loose = sum(fault.loose for fault in faults)
    around.say(f"not sound: {_count(len(faults) - loose, 'fault')}, {_count(loose, 'loose end')}")


def _count(number: int, words: str) -> str:
    return f"{number} {words}{'' if number == 1 else 's'}"


def _sizes(compiled: dict[str, Any]) -> dict[str, int]:
    nodes = sum(len(page["nodes"]) for folder in ("entries", "parts") for page in compiled[folder].values())
    names = ("causes", "parts", "facts", "referrals", "cautions", "sources")
    return {"nodes": nodes, **{name: len(compiled[name]) for name in names}}


def _effort_json(one: Effort) -> dict[str, float]:
    return {
        "nodes": one.nodes,
        "longest_walk": one.longest,
        "expected_questions": round(one.expected, 2),
        "worst_questions": one.worst,
        "expected_minutes": round(one.minutes, 2),
    }


def _figures(compiled: dict[str, Any], efforts: dict[str, Effort]) -> Text:
    from advisor.explain.text import Say, Table
    from advisor.workshop.proof import RULES

    sizes = ", ".join(f"{number} {name}" for name, number in _sizes(compiled).items())
    rows = tuple(
        (name, str(one.nodes), str(one.longest), f"{one.expected:.1f}", str(one.worst), f"{one.minutes:.1f}")
        for name, one in efforts.items()
    )
    expected, worst = [one.expected for one in efforts.values()], [one.worst for one in efforts.values()]
    return (
        Say(f"sound: {len(efforts)} entries, {sizes}; {len(RULES)} rules hold."),
        Table(("entry", "nodes", "longest walk", "questions", "at most", "minutes"), rows, right=(1, 2, 3, 4, 5)),
        Say(
            f"Questions until the answer on a full sheet: {mean(expected):.1f} in the mean over the entries, median "
            f"{median(expected):.1f}, at most {max(worst)}. Nodes are counted with those of shared parts."
        ),
    )


def _draw(knowledge: Knowledge, given: argparse.Namespace, around: Surroundings) -> int:
    entry = knowledge.entry(given.draw)
    if given.to:
        from advisor.errors import AdvisorError
        from advisor.workshop.graph_drawing.svg import as_svg

        if Path(given.to).suffix.lower() != ".svg":
            raise AdvisorError(f"--to {given.to}: expected a file that ends in .svg")
        write_whole(Path(given.to), (as_svg(knowledge, entry),), over=given.over, heads=SVG, private=False)
        around.note(f"{given.to} written")
        return Exit.DONE
    from advisor.workshop.graph_drawing.tree import as_tree

    lines = as_tree(knowledge, entry, around.width, ascii_only=around.ascii_only)
    if given.json:
        from advisor.cli.as_json import dumps

        around.say(dumps({"schema": 1, "entry": entry.id, "tree": lines}))
    else:
        for line in lines:
            around.say(line)
    return Exit.DONE


def _coverage(knowledge: Knowledge, given: argparse.Namespace, around: Surroundings) -> int:
    from advisor.workshop.coverage import cover

    recordings = sorted((trees_dir().parent / _RECORDINGS).glob("*.talk.yaml"))
    found = cover(knowledge, recordings, given.walks, given.seed)
    if given.json:
        from advisor.cli.as_json import dumps

        told = {name: _coverage_json(one) for name, one in found.items()}
        around.say(dumps({"schema": 1, "seed": given.seed, "recordings": len(recordings), "entries": told}))
    else:
        from advisor.cli.styled import show

        show(_covered(found, len(recordings), given), around)
    return Exit.NO if any(one.failed or one.missed for one in found.values()) else Exit.DONE


def _coverage_json(one: Coverage) -> dict[str, Any]:
    return {
        "nodes": len(one.nodes),
        "replayed": len(one.replayed),
        "riders": len(one.ridden),
        "walks": len(one.walked),
        "not_replayed": [name for name in one.nodes if name not in one.replayed],
        "not_by_riders": [name for name in one.nodes if name not in one.ridden],
        "missed": list(one.missed),
        "questions": {"mean": round(mean(one.questions or [0]), 2), "most": max(one.questions, default=0)},
        "failed": one.failed,
    }


def _covered(found: dict[str, Coverage], recordings: int, given: argparse.Namespace) -> Text:
    from advisor.explain.text import Block, Points, Say, Table

    rows = [(name, *_shares(one)) for name, one in found.items()]
    nodes = sum(len(one.nodes) for one in found.values())
    seen = [sum(len(getattr(one, who)) for one in found.values()) for who in ("replayed", "ridden", "walked")]
    totals = [f"{number / nodes:.0%}" for number in seen]
    questions = [number for one in found.values() for number in one.questions]
    rows.append(("all", str(nodes), *totals, f"{mean(questions or [0]):.1f}", str(max(questions, default=0))))
    told: list[Block] = [
        Say(
            f"Nodes come to by {recordings} recorded conversations, by made-up riders on whole sheets and by "
            f"{given.walks} random walks of each entry's graph (seed {given.seed}), and what the riders were asked."
        ),
        Table(("entry", "nodes", "replays", "riders", "walks", "asked", "most"), tuple(rows), right=(1, 2, 3, 4, 5, 6)),
    ]
    missed = [f"{name}: {', '.join(one.missed)}" for name, one in found.items() if one.missed]
    failed = [f"{name}, {words}" for name, one in found.items() for words in one.failed]
    alone = [(name, [n for n in one.nodes if n not in one.replayed | one.ridden]) for name, one in found.items()]
    left = [f"{name}: {', '.join(nodes)}" for name, nodes in alone if nodes]
    for words, items in (
        ("Come to by nobody:", missed),
        ("Went wrong on the way:", failed),
        ("Come to by random walks of the graph alone:", left),
    ):
        if items:
            told += [Say(words), Points(tuple(items))]
    return tuple(told)


def _shares(one: Coverage) -> tuple[str, ...]:
    shares = (f"{len(seen) / len(one.nodes):.0%}" for seen in (one.replayed, one.ridden, one.walked))
    return (str(len(one.nodes)), *shares, f"{mean(one.questions or [0]):.1f}", str(max(one.questions, default=0)))
