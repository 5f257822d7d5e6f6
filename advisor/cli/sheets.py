"""The command `advisor sheet`: a sheet shown, filled in as a form, kept under an alias, listed, forgotten, printed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from advisor.cli.exits import Exit
from advisor.cli.surroundings import Surroundings
from advisor.errors import AdvisorError
from advisor.plain_text import clean
from advisor.sheet.sheet import Sheet

if TYPE_CHECKING:
    import argparse


def add_sheet(parser: argparse.ArgumentParser) -> None:
    """Add the arguments of `advisor sheet`."""
    from advisor.cli.options import add_over

    parser.add_argument("what", nargs="?", metavar="FILE|ALIAS", help="a sheet's file, or an alias of the shop's")
    parser.add_argument("--form", action="store_true", help="fill it in as a form on one screen")
    parser.add_argument("--to", metavar="FILE", help="write it: .yaml, or .html to print")
    parser.add_argument("--keep", metavar="ALIAS", help="keep it in the shop's folder under this alias")
    parser.add_argument("--list", action="store_true", help="the aliases under which sheets are kept")
    parser.add_argument("--forget", metavar="ALIAS", help="delete what is kept under an alias")
    add_over(parser)


def sheet(given: argparse.Namespace, around: Surroundings) -> int:
    """Show or change one sheet."""
    from advisor.intake.kept_sheets import forget_sheet, keep_sheet, kept_aliases

    if given.list:
        aliases = list(kept_aliases(around.environ))
        _say(given, around, {"aliases": aliases}, "\n".join(aliases) or "No sheet is kept yet.")
        return Exit.DONE
    if given.forget:
        gone = forget_sheet(given.forget, around.environ)
        alias = clean(given.forget, 80)
        _say(given, around, {"forgotten": gone}, f"'{alias}' is deleted." if gone else f"Nothing is kept as '{alias}'.")
        return Exit.DONE if gone else Exit.NO
    known = _read(given, around)
    if given.form:
        known = _filled(known, around)
    if given.to:
        _write(Path(given.to), known, given, around)
    if given.keep:
        keep_sheet(given.keep, known, around.environ)
    if given.form and not given.to and not given.keep and given.what:
        _write(Path(given.what), known, given, around, over=True)
    _show(known, given, around)
    return Exit.DONE


def _read(given: argparse.Namespace, around: Surroundings) -> Sheet:
    from advisor.intake.kept_sheets import kept_sheet
    from advisor.sheet.reading import read_sheet

    if not given.what:
        return Sheet("", {})
    path = Path(given.what)
    if path.is_file():
        return read_sheet(path)
    kept = kept_sheet(given.what, around.environ)
    if kept is not None:
        return kept
    if given.form and path.suffix.lower() in {".yaml", ".yml"}:
        return Sheet(str(path), {})
    return read_sheet(path)


def _filled(known: Sheet, around: Surroundings) -> Sheet:
    if not around.talks_to_a_person or around.environ.get("TERM") == "dumb":
        from advisor.dialogue.sheet_talk import intake_said

        raise AdvisorError(intake_said(around.trees, "form_not_here"))
    from advisor.cli.sheet_form import fill_in
    from advisor.graph.knowledge import load_knowledge

    filled = fill_in(known, load_knowledge(around.trees), around)
    if filled is None:
        raise KeyboardInterrupt
    return filled


def _write(path: Path, known: Sheet, given: argparse.Namespace, around: Surroundings, over: bool = False) -> None:
    from advisor.intake.kept_sheets import keep_sheet, kept_sheet, sheet_yaml
    from advisor.written_files import HTML, write_whole

    if not path.suffix and kept_sheet(str(path), around.environ) is not None:
        keep_sheet(str(path), known, around.environ)
    elif path.suffix.lower() in {".html", ".htm"}:
        from advisor.cli.chat import start
        from advisor.cli.sheet_desk import printed_page
        from advisor.graph.knowledge import load_knowledge

        page = printed_page(known, start(load_knowledge(around.trees)), around)
        write_whole(path, [page], over=given.over, heads=HTML)
    else:
        write_whole(path, [sheet_yaml(known)], over=given.over or over)


def _show(known: Sheet, given: argparse.Namespace, around: Surroundings) -> None:
    from advisor.cli.chat import start
    from advisor.cli.styled import show
    from advisor.dialogue.sheet_talk import shown_sheet
    from advisor.explain.returning import tell
    from advisor.explain.telling import Telling
    from advisor.graph.knowledge import load_knowledge

    talk = start(load_knowledge(around.trees))
    shown = shown_sheet(talk, known)
    if given.json:
        from advisor.cli.as_json import dumps

        doubts = [{"fields": list(d.fields), "says": d.says, "supposed": dict(d.supposed)} for d in shown.doubts]
        around.say(dumps({"schema": 1, "sheet": known.to_dict(), "doubts": doubts}))
        return
    show(tell(shown, Telling(talk.knowledge, given.units, around.width, around.ascii_only)), around)


def _say(given: argparse.Namespace, around: Surroundings, content: dict[str, object], words: str) -> None:
    if given.json:
        from advisor.cli.as_json import dumps

        around.say(dumps({"schema": 1, **content}))
    else:
        around.say(words)
