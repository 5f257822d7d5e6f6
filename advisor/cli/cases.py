"""The commands on the case log: `advisor cases ...`."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli.exits import Exit
from advisor.cli.options import add_over
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.plain_text import clean
from advisor.written_files import JSON_LINES, write_whole

if TYPE_CHECKING:
    import argparse

    from advisor.cases.log import CaseLog
    from advisor.cases.record import CaseRecord
    from advisor.cases.store import Store

_LONGEST = 60
_MOST_LINE = 16_000_000


def add_cases(parser: argparse.ArgumentParser, parents: list[argparse.ArgumentParser]) -> None:
    """Give `advisor cases` its own commands."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)

    def add(name: str, words: str, example: str) -> argparse.ArgumentParser:
        return actions.add_parser(
            name, help=words, description=words, epilog=f"example: advisor cases {example}", parents=parents
        )

    for name, words, example in (
        ("list", "the newest cases", "list --most 20"),
        ("find", "cases by alias, complaint, board and date", "find --complaint heel_washout --since 2026-01-01"),
    ):
        one = add(name, words, example)
        one.add_argument("--most", type=int, default=20, metavar="N", help="how many to show (default 20)")
        if name == "find":
            one.add_argument("--alias", default="", help="how the alias begins")
            one.add_argument("--complaint", default="", help="an entry's name, or words of the complaint")
            one.add_argument("--board", default="", help="part of the board's name")
            one.add_argument("--since", default="", metavar="DATE", help="from this day on, such as 2026-01-31")
            one.add_argument("--until", default="", metavar="DATE", help="up to this day, it included")
    add("show", "one case with its trail, or all cases of a customer", "show 7K2QF4").add_argument(
        "case", metavar="CASE"
    )
    done = add("done", "write down what was really done", "done 7K2QF4 --what as_advised")
    done.add_argument("case", metavar="CASE")
    done.add_argument("--what", choices=("as_advised", "other", "nothing"), required=True)
    done.add_argument("--words", default="", help="in your own words")
    done.add_argument("--sheet", metavar="FILE", help="the set-up as it is now")
    outcome = add("outcome", "write down how it went", "outcome 7K2QF4 --how better")
    outcome.add_argument("case", metavar="CASE")
    outcome.add_argument("--how", choices=("better", "same", "worse", "better_new"), required=True)
    outcome.add_argument("--words", default="", help="in your own words")
    add("odds", "how often each cause's change helped in this shop", "odds")
    export = add("export", "all cases as JSON Lines on stdout, or into a file", "export --to cases.jsonl")
    export.add_argument("--to", metavar="FILE")
    add_over(export)
    taken = add("import", "cases from JSON Lines: all of the file, or nothing", "import cases.jsonl")
    taken.add_argument("file", metavar="FILE")
    taken.add_argument("--deleted-too", action="store_true", help="take cases of deleted customers back as well")
    gone = add("delete", "delete a customer for good", 'delete "Kim 7" --yes')
    gone.add_argument("alias", metavar="ALIAS")
    gone.add_argument("--yes", action="store_true", help="do not ask")
    add("backup", "copy the log while it is in use", "backup --to cases-backup.sqlite").add_argument(
        "--to", metavar="FILE", required=True
    )
    waits = add("waiting", "what waits to be sent, and what the log refused", "waiting --again")
    waits.add_argument("--again", action="store_true", help="send it all once more, what was refused too")
    waits.add_argument("--give-up", metavar="ALIAS", help="forget what waits of a customer")
    add("where", "where the log lies, whether it is sound, and what waits to be sent", "where")


def cases(given: argparse.Namespace, around: Surroundings) -> int:
    """Run one command on the case log."""
    from advisor.cases.log import CaseLog

    log = CaseLog(around.environ)
    try:
        return _ACTIONS[given.action](given, around, log)
    finally:
        log.close()


def _tell(given: argparse.Namespace, around: Surroundings, content: dict[str, Any], lines: list[str]) -> int:
    """Print one JSON object, or lines."""
    if given.json:
        around.say(json.dumps(content, ensure_ascii=True, allow_nan=False, indent=1))
    else:
        for line in lines:
            around.say(line)
    return Exit.DONE


# ---------------------------------------------------------------------- looking


def _find(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    from advisor.cases.store import Search

    search = Search(most=max(1, min(given.most, 100_000)))
    if given.action == "find":
        search = Search(given.alias, given.complaint, given.board, _day(given.since), _day(given.until, 1), search.most)
    found = log.store().find(search)
    return _tell(given, around, {"schema": 1, "cases": [one.to_dict() for one in found]}, _table(found, around))


def _cases(count: int) -> str:
    return f"{count} case{'' if count == 1 else 's'}"


def _day(text: str, add: int = 0) -> str:
    from datetime import date, timedelta

    if not text:
        return ""
    try:
        return (date.fromisoformat(text) + timedelta(days=add)).isoformat() + "T00:00:00+00:00"
    except (ValueError, OverflowError):
        raise AdvisorError(f"expected a day such as 2026-01-31, found '{clean(text)}'") from None


def _table(found: list[CaseRecord], around: Surroundings) -> list[str]:
    from advisor.cli.plain import plain_lines
    from advisor.explain.text import Table

    if not found:
        return ["no case fits"]
    rows = tuple(
        (one.id, one.at[:10], clean(one.alias, 24), clean(one.entry, 24), clean(one.cause, 28), _state(one))
        for one in found
    )
    return plain_lines((Table(("case", "day", "alias", "complaint", "cause", "how it went"), rows),), around.width)


def _state(record: CaseRecord) -> str:
    if record.result:
        return record.result.how.replace("_", ", ")
    return record.done.what.replace("_", " ") if record.done else record.outcome


def _show(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    from advisor.cases.errors import NoSuchCaseError

    store = log.store()
    try:
        found = [store.get(given.case)]
    except NoSuchCaseError:
        found = store.of(given.case)
        if not found:
            raise
    lines: list[str] = []
    for record in found:
        lines += [*_one(record, around), ""]
    return _tell(given, around, {"schema": 1, "cases": [one.to_dict() for one in found]}, lines[:-1])


def _one(record: CaseRecord, around: Surroundings) -> list[str]:
    from advisor.cli.plain import plain_lines
    from advisor.explain.text import Block, Heading, Points, Say

    longest = 400
    advice = record.advice
    blocks: list[Block] = [Heading(f"Case {record.id}, {record.at[:10]}, {clean(record.alias, _LONGEST)}")]
    facts = [("board", record.board), ("complaint", record.complaint), ("entry", record.entry), ("note", record.note)]
    blocks.append(Points(tuple(f"{name}: {clean(text, longest)}" for name, text in facts if text)))
    if record.said:
        blocks += [Heading("Said"), Points(tuple(clean(line, longest) for line in record.said[:50]))]
    blocks += [Heading("How we got here"), Points(tuple(_trail(record)) or ("nothing was looked at",))]
    changes = tuple(clean(str(one.get("words", "")), longest) for one in advice.get("changes", ()))
    told = changes or (clean(str(advice.get("title", record.outcome)), longest),)
    blocks += [Heading("Advised"), Points(told)]
    if record.done:
        blocks.append(Say(f"Done: {record.done.what.replace('_', ' ')}. {clean(record.done.words, longest)}".strip()))
    if record.result:
        how = record.result.how.replace("_", ", ")
        blocks.append(Say(f"How it went: {how}. {clean(record.result.words, longest)}".strip()))
    blocks.append(Say(f"Knowledge {clean(record.knowledge)}."))
    return plain_lines(tuple(blocks), around.width)


def _trail(record: CaseRecord) -> Iterator[str]:
    for line in record.trail:
        steps = line.get("steps", ())
        if not isinstance(steps, list | tuple):
            continue
        told = [_step(step) for step in steps if isinstance(step, dict)]
        yield clean(f"{line.get('words', '')} ({line.get('status', '')}): {'; '.join(told) or 'not looked at'}", 300)


def _step(step: dict[str, Any]) -> str:
    if "cause" in step:
        return f"cause {step['cause']}"
    if "fact" in step:
        return f"{step['fact']} = {step['answer'] or 'not known'}"
    values = step.get("values", {})
    return f"{step.get('measure', '')} {', '.join(f'{name} {value}' for name, value in dict(values).items())}"


# ---------------------------------------------------------------------- writing


def _done(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    from advisor.cases.record import Done, now
    from advisor.cli.slip import case_named
    from advisor.sheet.reading import read_sheet

    sheet = read_sheet(Path(given.sheet)).to_dict() if given.sheet else None
    store = log.store()
    record = store.set_done(case_named(store, given.case).id, Done(given.what, given.words, sheet, now()))
    return _tell(given, around, {"schema": 1, "case": record.to_dict()}, [f"case {record.id}: {given.what} noted"])


def _outcome(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    from advisor.cases.log import write_odds
    from advisor.cases.record import Result, now
    from advisor.cli.slip import case_named

    store = log.store()
    record = store.set_result(case_named(store, given.case).id, Result(given.how, given.words, now()))
    write_odds(store.tallies(), around.environ)
    counted = "" if record.done and record.done.what == "as_advised" else " (not counted: not noted as done as advised)"
    words = f"case {record.id}: {given.how} noted{counted}"
    return _tell(given, around, {"schema": 1, "case": record.to_dict()}, [words])


def _odds(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    from advisor.cases.log import write_odds

    tallies = log.store().tallies()
    write_odds(tallies, around.environ)
    lines = [
        f"{clean(entry)}, {clean(suspect)}: {better} of {tried} came back better"
        for entry, suspects in sorted(tallies.items())
        for suspect, (better, tried) in sorted(suspects.items())
    ]
    return _tell(given, around, {"schema": 1, "odds": tallies}, lines or ["no outcome is noted yet"])


def _export(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    store = log.store()
    if not given.to:
        for line in store.lines():
            around.stdout.write(line + "\n")
        around.stdout.flush()
        return Exit.DONE
    count = 0

    def lines() -> Iterator[str]:
        nonlocal count
        for line in store.lines():
            count += 1
            yield line + "\n"

    write_whole(Path(given.to), lines(), over=given.over, heads=JSON_LINES)
    around.note(f"{clean(given.to, 300)}: {_cases(count)}")
    return Exit.DONE


def _import(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    from advisor.cases.log import write_odds

    store = log.store()
    count, left_out = store.take_in(_records(Path(given.file)), given.deleted_too)
    write_odds(store.tallies(), around.environ)
    lines = [f"{_cases(count)} imported"]
    if left_out:
        lines.append(f"{_cases(left_out)} of deleted customers left out; --deleted-too takes them back")
    return _tell(given, around, {"schema": 1, "imported": count, "left_out": left_out}, lines)


def _records(path: Path) -> Iterator[CaseRecord]:
    from advisor.cases.errors import StoreError
    from advisor.cases.record import from_dict
    from advisor.cases.shapes import check_shapes

    name = clean(str(path), 300)
    try:
        if path.exists() and not path.is_file():
            raise AdvisorError(f"{name}: it is no ordinary file; check the name")
        with path.open(encoding="utf-8", errors="strict") as lines:
            number = 0
            while line := lines.readline(_MOST_LINE):
                number += 1
                if not line.strip():
                    continue
                try:
                    record = from_dict(json.loads(line))
                    check_shapes(record.trail, record.advice)
                    yield record
                except (ValueError, RecursionError) as error:
                    raise AdvisorError(
                        f"{name}, line {number}: is no JSON ({clean(str(error))}); nothing was imported"
                    ) from None
                except StoreError as error:
                    raise AdvisorError(f"{name}, line {number}: {error}; nothing was imported") from None
    except (OSError, UnicodeDecodeError) as error:
        raise AdvisorError(f"{name}: cannot be read ({clean(str(error), 200)}); check the name") from None


def _delete(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    from advisor.cases.keys import alias_key
    from advisor.cases.log import write_odds
    from advisor.cases.privacy import forget_beside_the_log, still_there

    store = log.store()
    cases_of_them = store.of(given.alias)
    numbers = [one.id for one in cases_of_them]
    shown = clean(given.alias, _LONGEST)
    if not numbers and not log.outbox.waiting():
        raise AdvisorError(f"there is no customer '{shown}'; 'advisor cases list' shows the aliases")
    if not given.yes:
        if not around.talks_to_a_person:
            raise AdvisorError(f"{_cases(len(numbers))} of '{shown}' would be deleted for good; say --yes")
        around.note(f"{_cases(len(numbers))} of '{shown}' will be deleted for good. Type the alias to go on:")
        if alias_key(around.stdin.readline().strip()) != alias_key(given.alias):
            around.note("nothing was deleted")
            return Exit.NO
    gone, left = store.delete(given.alias)
    waiting, held = log.outbox.forget(given.alias, numbers)
    write_odds(store.tallies(), around.environ)
    said = [line for one in cases_of_them for line in (*one.said, one.complaint)]
    beside = forget_beside_the_log(given.alias, said, around.environ)
    lines = [f"{_cases(gone)} of '{shown}' deleted for good. Older backups, exports and slips still hold them"]
    if waiting:
        beside.append(f"{waiting} change{'s' * (waiting != 1)} that waited on this machine")
    lines += [f"deleted too: {', '.join(beside)}"] if beside else []
    not_cleared = [left] if left else []
    if held:
        not_cleared.append("a conversation about them is open in another window: close it, and delete once more")
    not_cleared += [f"{file}: the alias can still be read in it" for file in still_there(given.alias, around.environ)]
    lines += [f"not cleared: {words}" for words in not_cleared]
    told = {"schema": 1, "deleted": gone, "waiting": waiting, "beside": beside, "not_cleared": not_cleared}
    return _tell(given, around, told, lines)


def _waiting(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    """Show what waits to be sent and what the log refused; try it again, or give it up."""
    if given.again:
        log.outbox.try_refused_again()
        log.store()
    elif given.give_up:
        gone, _ = log.outbox.forget(given.give_up)
        return _tell(given, around, {"schema": 1, "given_up": gone}, [f"{gone} given up"])
    rows = [
        {
            "file": one.file.name, "line": one.line, "case": one.event.case if one.event else "",
            "sets": sorted(one.event.sets) if one.event else [], "refused": one.why,
        }
        for one in log.outbox.waiting()
    ]  # fmt: skip
    lines = [
        f"{one['file']}, line {one['line']}: case {clean(str(one['case']), 40) or 'unknown'}, "
        + (f"refused: {clean(str(one['refused']), 300)}" if one["refused"] else "waits to be sent")
        for one in rows
    ]
    return _tell(given, around, {"schema": 1, "waiting": rows}, lines or ["nothing waits and nothing was refused"])


def _backup(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    from advisor.cases.backup import back_up, rescue
    from advisor.cases.engine import sqlite_path
    from advisor.cases.errors import DamagedError
    from advisor.cases.places import store_url

    to = Path(given.to)
    try:
        count = back_up(log.store(), to)
    except DamagedError as error:
        log.close()
        path = sqlite_path(store_url(around.environ))
        if path is None:
            raise
        around.note(str(error))
        files, count = rescue(path, to)
        around.say(f"copied as it is: {', '.join(str(file) for file in files)}; {_cases(count)} could be read")
        return Exit.NO
    return _tell(given, around, {"schema": 1, "cases": count}, [f"{clean(given.to, 300)}: {_cases(count)}"])


def _where(given: argparse.Namespace, around: Surroundings, log: CaseLog) -> int:
    from advisor.cases.backup import sound
    from advisor.cases.engine import named, sqlite_path
    from advisor.cases.errors import StoreError
    from advisor.cases.places import data_folder, store_url
    from advisor.cases.privacy import places, tighten

    url = store_url(around.environ)
    told: dict[str, Any] = {"schema": 1, "log": named(url), "waiting": len(log.outbox.waiting())}
    told |= {"folder": str(data_folder(around.environ)), "cases": None, "sound": False, "trouble": ""}
    try:
        store: Store = log.store()
        told |= {"cases": store.count(), "waiting": len(log.outbox.waiting()), "sound": True}
        path = sqlite_path(url)
        if path:
            told["trouble"] = sound(path)
            told["sound"] = not told["trouble"]
    except StoreError as error:
        told["trouble"] = str(error)
    lines = [f"log: {clean(told['log'], 300)}", f"cases: {'not known' if told['cases'] is None else told['cases']}"]
    lines.append(f"waiting to be sent: {told['waiting']} (in {clean(str(log.outbox.folder), 300)})")
    lines.append("sound" if told["sound"] else f"trouble: {told['trouble']}")
    tightened = tighten(around.environ)
    held = places(around.environ)
    told["personal"] = [{"file": str(one.file), "mode": f"{one.mode:04o}", "holds": one.holds} for one in held]
    lines.append("what holds personal words, and who may read it:")
    lines += [f"  {one.mode:04o} {clean(str(one.file), 300)}: {one.holds}" for one in held]
    if tightened:
        lines.append(f"  {tightened} of them could be read by others; now by their owner alone")
    lines.append("'advisor cases delete ALIAS' deletes a customer for good, 'advisor drill --forget ALIAS' a trainee.")
    _tell(given, around, told, lines)
    return Exit.DONE if told["sound"] else Exit.NO


_ACTIONS: dict[str, Callable[[argparse.Namespace, Surroundings, CaseLog], int]] = {
    "list": _find,
    "find": _find,
    "show": _show,
    "done": _done,
    "outcome": _outcome,
    "odds": _odds,
    "export": _export,
    "import": _import,
    "delete": _delete,
    "backup": _backup,
    "waiting": _waiting,
    "where": _where,
}
