"""The command `advisor rehearse`: made-up riders with planted faults through the real dialogue, and what came of it."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.knowledge.trees import authors

if TYPE_CHECKING:
    import argparse

    from advisor.explain.text import Block
    from advisor.workshop.training.parallel import Level, Plan
    from advisor.workshop.training.rehearsal import Rehearsed
    from advisor.workshop.training.scoring import Share

_BAR = 30
_WORST_TOLD = 5
_FAULTS_TOLD = 12


def add_rehearse(parser: argparse.ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("--riders", type=_riders, default=400, metavar="N", help="riders a level (default 400)")
    parser.add_argument(
        "--level", action="append", metavar="NAME", help="a level of trees/training, as often as needed"
    )
    parser.add_argument("--wrong", type=_share, metavar="SHARE", help="a level of your own: wrong answers, 0 to 1")
    parser.add_argument("--unsure", type=_share, metavar="SHARE", help='... and "don\'t know" answers')
    parser.add_argument("--ruler", type=_share, metavar="SIZE", help="... readings off by a ruler's ±, 0 to 1")
    parser.add_argument("--blank", type=_share, metavar="SHARE", help="... fields that the sheet lacks")
    parser.add_argument("--two", type=_share, default=0.0, metavar="SHARE", help="riders with two faults (default 0)")
    parser.add_argument("--fault", metavar="ID", help="plant this fault only")
    parser.add_argument("--words", action="store_true", help="complaints spoken in free words, through the matcher")
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="other riders (default 1)")
    parser.add_argument("--jobs", type=int, default=0, metavar="N", help="processes (default: as many as cores)")
    parser.add_argument("--show", type=int, metavar="RIDER", help="show one rider's truth and walk")
    parser.add_argument("--save", metavar="FOLDER", help="write the worst walks as recordings, to replay in chat")


def _riders(text: str) -> int:
    import argparse

    if not text.isdecimal() or not 1 <= int(text) <= 1_000_000:
        raise argparse.ArgumentTypeError(f"expected a number from 1 to 1000000, found {text!r}")
    return int(text)


def _share(text: str) -> float:
    import argparse

    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value <= 1:
        raise argparse.ArgumentTypeError(f"expected a number from 0 to 1, found {text!r}")
    return value


def rehearse(given: argparse.Namespace, around: Surroundings) -> int:
    """Ride every level and tell what came of it."""
    from advisor.workshop.training.planted_faults import load_faults

    if given.fault and given.fault not in load_faults():
        known = ", ".join(sorted(load_faults()))
        raise AdvisorError(f"--fault {given.fault}: no such fault; there are {known}")
    plans = _plans(given)
    if given.show is not None:
        return _show_rider(given, around, plans)
    found: dict[str, tuple[Plan, Level, float]] = {}
    for name, plan in plans.items():
        started = time.perf_counter()
        found[name] = plan, _ridden(plan, name, given, around), time.perf_counter() - started
    saved = [str(path) for name, one in found.items() for path in _saved(given, name, one[0], one[1])]
    if given.json:
        from advisor.cli.as_json import dumps

        around.say(dumps({"schema": 1, "seed": given.seed, "levels": {n: _json(*one) for n, one in found.items()}}))
    else:
        from advisor.cli.styled import show

        show(tuple(_told(found, given)), around)
    for path in saved:
        around.note(f"{path} written")
    return Exit.DONE


def _plans(given: argparse.Namespace) -> dict[str, Plan]:
    from advisor.workshop.training.parallel import Plan, levels_of
    from advisor.workshop.training.rider import Noise

    own = {name: getattr(given, name) for name in ("wrong", "unsure", "ruler", "blank")}
    if any(value is not None for value in own.values()):
        levels = {"as told": Noise(**{name: value or 0.0 for name, value in own.items()})}
        if levels["as told"].wrong + levels["as told"].unsure > 1:
            raise AdvisorError("--wrong and --unsure come to more than 1 together; lower one")
    else:
        levels = levels_of(given.level)
        missing = [name for name in given.level or [] if name not in levels]
        if missing:
            raise AdvisorError(f"--level {missing[0]}: no such level; there are {', '.join(levels_of())}")
    return {
        name: Plan(given.riders, given.seed, noise, given.two, given.fault or "", given.words)
        for name, noise in levels.items()
    }


def _ridden(plan: Plan, name: str, given: argparse.Namespace, around: Surroundings) -> Level:
    from advisor.workshop.training.parallel import rehearse as ride

    alive = around.stderr.isatty() and not around.plain

    def progress(done: int) -> None:
        full = round(_BAR * done / plan.riders)
        around.stderr.write(f"\r{name}: [{'#' * full}{' ' * (_BAR - full)}] {done} of {plan.riders} riders")
        around.stderr.flush()

    level = ride(plan, given.jobs, progress if alive else None)
    if alive:
        around.stderr.write("\r" + " " * (len(name) + _BAR + 40) + "\r")
        around.stderr.flush()
    return level


def _json(plan: Plan, level: Level, seconds: float) -> dict[str, Any]:
    from dataclasses import asdict

    worst = [_rider_json(one) for one in level.scores.worst_first()]
    return {
        **asdict(plan.noise),
        "two_faults": plan.two,
        "seconds": round(seconds, 2),
        **level.as_json(),
        "worst": worst,
    }


def _rider_json(one: Rehearsed) -> dict[str, Any]:
    return {
        "number": one.number, "faults": list(one.faults), "complaint": one.complaint, "words": one.words,
        "entry": one.entry, "cause": one.cause, "outcome": one.outcome, "found": one.found,
        "found_later": one.found_later, "mended": one.right, "residual": dict(one.residual), "harm": list(one.harm),
        "told": [[name, value] for name, value in one.told], "changes": list(one.changes),
    }  # fmt: skip


def _percent(share: Share) -> str:
    from advisor.workshop.training.scoring import wilson

    low, high = wilson(share.hits, share.of)
    return f"{share.value:.1%} ({low:.1%} to {high:.1%})" if share.of else "none"


def _told(found: dict[str, tuple[Plan, Level, float]], given: argparse.Namespace) -> list[Block]:
    from advisor.explain.text import Heading, Points, Say, Table

    rows = (
        ("riders", lambda level: str(level.scores.riders)),
        *((("entry found from free words", lambda level: _percent(level.scores.entry)),) if given.words else ()),
        ("cause found at once", lambda level: _percent(level.scores.found)),
        ("... when the rider came back, at the latest", lambda level: _percent(level.scores.found_later)),
        ("of what a hand can mend, mended", lambda level: _percent(level.scores.mended)),
        ("aimed measures in their ranges", lambda level: _percent(level.scores.aims)),
        ("new harm", lambda level: _percent(level.scores.harmed)),
        ("sent to a clinician by a wrong answer", lambda level: _percent(level.scores.to_clinician)),
        ("questions: median, mean, most", lambda level: _questions(level)),
        ("minutes at the bench, mean", lambda level: f"{level.scores.minutes / max(1, level.scores.riders):.1f}"),
        ("naive questionnaire, cause found", lambda level: _percent(level.naive)),
        ("... its questions, mean", lambda level: f"{level.naive_questions / max(1, level.naive.of):.1f}"),
        ("all facts known, cause found", lambda level: _percent(level.best)),
    )
    blocks: list[Block] = [
        Say(f"Made-up riders with a planted fault, seed {given.seed}. Shares with their 95 % interval."),
    ]
    for name, (_plan, level, seconds) in found.items():
        blocks.append(Heading(f"{name}, {seconds:.0f} s"))
        blocks.append(Table(("what", "share"), tuple((words, told(level)) for words, told in rows)))
        weak = sorted(level.scores.by_fault.items(), key=lambda item: (item[1].value, -item[1].of))
        weak = [(fault, share) for fault, share in weak if share.hits < share.of][:_FAULTS_TOLD]
        if weak:
            table = tuple((fault, f"{share.hits} of {share.of}", _percent(share)) for fault, share in weak)
            blocks.append(Table(("fault found least", "found", "share"), table, right=(1,)))
        left = [
            f"{measure}: {total / count:.2f} in the mean, {most:g} at most, of {count:.0f}"
            for measure, (count, total, most) in sorted(level.scores.residual.items())
            if most > 0
        ]
        if left:
            blocks += [Say("Left outside the window after the advice:"), Points(tuple(left))]
        worst = level.scores.worst_first()[:_WORST_TOLD]
        if worst:
            blocks += [Say("Worst walks; --show NUMBER tells one:"), Points(tuple(map(_in_line, worst)))]
    return blocks


def _questions(level: Level) -> str:
    scores = level.scores
    return f"{scores.median_questions:g}, {scores.mean_questions:.1f}, {max(scores.questions, default=0)}"


def _in_line(one: Rehearsed) -> str:
    harm = f"; harm: {', '.join(one.harm)}" if one.harm else ""
    return f"rider {one.number}: {' and '.join(one.faults)}, {one.complaint} -> {one.cause or one.outcome}{harm}"


def _saved(given: argparse.Namespace, name: str, plan: Plan, level: Level) -> list[Path]:
    if not given.save:
        return []
    from advisor.graph.knowledge import load_knowledge
    from advisor.workshop.training.transcript import rider_again, write_recording

    written = []
    for one in level.scores.worst_first()[:_WORST_TOLD]:
        _, sheet = rider_again(one.number, plan.seed, plan.noise, plan.two, plan.only or None)
        try:
            written.append(
                write_recording(Path(given.save) / name.replace(" ", "_"), load_knowledge(authors()), one, sheet)
            )
        except OSError as error:
            raise AdvisorError(
                f"--save {given.save}: cannot be written ({error.strerror}); name another folder"
            ) from None
    return written


def _show_rider(given: argparse.Namespace, around: Surroundings, plans: dict[str, Plan]) -> int:
    """Tell one rider's truth, then the conversation as it goes."""
    from advisor.cli.chat import start
    from advisor.cli.styled import show
    from advisor.explain.telling import Telling, tell
    from advisor.explain.text import Heading, Points, Say
    from advisor.graph.knowledge import load_knowledge
    from advisor.workshop.training.rehearsal import rehearse_one
    from advisor.workshop.training.transcript import lines_of, rider_again

    knowledge = load_knowledge(around.trees)
    how = Telling(knowledge, given.units, around.width, around.ascii_only)
    for name, plan in plans.items():
        only = plan.only or None
        rider, sheet = rider_again(given.show, plan.seed, plan.noise, plan.two, only)
        one = rehearse_one(knowledge, given.show, plan.seed, plan.noise, plan.two, only)
        truth = [f"{p.fault.words}{f' ({p.foot} foot)' if p.foot else ''}" for p in rider.planted]
        verdict = "found" if one.found else "not found"
        blocks: list[Block] = [
            Heading(f"Rider {given.show}, {name}"),
            Say(f"The truth: {'; '.join(truth)}. Tilt ridden: {rider.tilt_deg:.0f} degrees. {verdict}."),
            Points(tuple(f"{measure}: {off:g} outside its window before" for measure, off in one.before.items())),
        ]
        conversation = start(knowledge, with_shop=False)
        state, _ = conversation.begin(sheet)
        for line in lines_of(knowledge, one):
            state, reply = conversation.hear(state, line)
            blocks += [Say(f"> {line}"), *tell(reply, how)]
        show(tuple(blocks), around)
    return Exit.DONE
