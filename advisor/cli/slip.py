"""The commands on slips: `advisor slip`, and the part of `advisor replay` that reads them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.plain_text import clean
from advisor.written_files import HTML, SVG, write_whole

if TYPE_CHECKING:
    import argparse

    from advisor.cases.record import CaseRecord
    from advisor.cases.store import Store
    from advisor.slip.content import Slip


def is_slip(path: Path) -> bool:
    """Return whether a file is a slip, by its name."""
    return path.suffix.lower() in {".html", ".htm", ".svg"}


def case_named(store: Store, name: str) -> CaseRecord:
    """Return a case by its number, or a customer's last case by the alias.

    Raises
    ------
    NoSuchCaseError
        When neither fits.

    """
    from advisor.cases.errors import NoSuchCaseError

    try:
        return store.get(name)
    except NoSuchCaseError:
        found = store.last(name)
        if found is None:
            raise
        return found


def slip(given: argparse.Namespace, around: Surroundings) -> int:
    """Show a case's slip, or write it into a file."""
    from advisor.cases.log import CaseLog
    from advisor.slip.content import slip_of

    kind = Path(given.to).suffix.lower() if given.to else ""
    if given.to and not is_slip(Path(given.to)):
        raise AdvisorError(f"--to {clean(given.to)}: expected a name that ends in .html or .svg")
    log = CaseLog(around.environ)
    try:
        record = case_named(log.store(), given.case)
        before = _followed(log.store(), record)
    finally:
        log.close()
    content = slip_of(record, given.units, before, trees=around.trees)
    if not given.to:
        if given.json:
            around.say(_as_json(content, None))
            return Exit.DONE
        from advisor.cli.styled import show
        from advisor.slip.on_terminal import slip_text

        show(slip_text(content, around.width, around.ascii_only), around)
        return Exit.DONE
    if kind == ".svg":
        from advisor.slip.drawing import drawing

        text = drawing(content)
    else:
        from advisor.slip.page import page

        text = page(content)
    write_whole(Path(given.to), (text,), over=given.over, heads=SVG if kind == ".svg" else HTML)
    if given.json:
        around.say(_as_json(content, given.to))
    around.note(f"{clean(given.to, 300)}: slip of case {record.id}")
    return Exit.DONE


def _as_json(content: Slip, file: str | None) -> str:
    """Return what stands on a slip, pictures left out."""
    from advisor.cli.as_json import dumps
    from advisor.sheet.sheet import SCHEMA

    words = ("alias", "date", "complaint", "title", "because", "earlier", "does", "told", "costs", "feel")
    return dumps(
        {
            "schema": SCHEMA,
            "case": content.record.id,
            "file": file,
            **{name: getattr(content, name) for name in words},
            "checks": [check.words for check in content.checks],
            "come_back": list(content.come_back),
            "cautions": list(content.cautions),
        }
    )


def _followed(store: Store, record: CaseRecord) -> CaseRecord | None:
    """Return the case of the visit before, None where there is none or it was deleted."""
    from advisor.cases.errors import NoSuchCaseError

    try:
        return store.get(record.follows) if record.follows else None
    except NoSuchCaseError:
        return None


def replay_slip_file(path: Path, around: Surroundings, quiet: bool = False) -> dict[str, Any]:
    """Answer a slip's inputs again and tell whether the answer is the same; on stdout too unless `quiet`."""
    from advisor.slip.inputs import read_slip, replay_slip

    again = replay_slip(read_slip(path), around.trees)
    name, differences = clean(str(path), 300), list(again.differences)
    if not quiet:
        around.say(f"{name}: {'differs' if differences else 'the same answer'}, case {again.record.id}")
        for words in differences:
            around.say(f"  {words}")
    then, now = clean(again.record.knowledge) or "unknown", again.knowledge_now
    if not again.same_knowledge:
        around.note(f"{name}: the knowledge has changed since (then {then}, now {now})")
    told = {"file": name, "same": not differences, "case": again.record.id, "differences": differences}
    return told | {"knowledge": {"then": then, "now": now}}
