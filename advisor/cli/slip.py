"""The commands on slips: `advisor slip`, and the part of `advisor replay` that reads them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.sheet.plain_text import clean

if TYPE_CHECKING:
    import argparse

    from advisor.cases.record import CaseRecord
    from advisor.cases.store import Store

__all__ = ["case_named", "is_slip", "replay_slip_file", "slip"]


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
    content = slip_of(record, given.units, before)
    if not given.to:
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
    _write(Path(given.to), text)
    around.note(f"{clean(given.to, 300)}: slip of case {record.id}")
    return Exit.DONE


def _followed(store: Store, record: CaseRecord) -> CaseRecord | None:
    """Return the case of the visit before, None where there is none or it was deleted."""
    from advisor.cases.errors import NoSuchCaseError

    try:
        return store.get(record.follows) if record.follows else None
    except NoSuchCaseError:
        return None


def _write(path: Path, text: str) -> None:
    part = path.with_name(path.name + ".part")
    try:
        part.write_text(text, encoding="utf-8")
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise AdvisorError(
            f"{clean(str(path), 300)}: can't be written ({error.strerror}); name another place"
        ) from None


def replay_slip_file(path: Path, around: Surroundings) -> bool:
    """Answer a slip's inputs again and say whether the answer is the same."""
    from advisor.slip.inputs import read_slip, replay_slip

    again = replay_slip(read_slip(path))
    name = clean(str(path), 300)
    around.say(f"{name}: {'differs' if again.differences else 'the same answer'}, case {again.record.id}")
    for words in again.differences:
        around.say(f"  {words}")
    if not again.same_knowledge:
        then, now = clean(again.record.knowledge) or "unknown", again.knowledge_now
        around.note(f"{name}: the knowledge has changed since (then {then}, now {now})")
    return not again.differences
