"""What the conversation wants done with the sheet outside itself: files, the shop's folder, the shelf, the form."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.dialogue.replies import Left, Reply, Troubled
from advisor.dialogue.sheet_talk import intake_said, with_sheet
from advisor.errors import AdvisorError
from advisor.plain_text import clean

if TYPE_CHECKING:
    from advisor.cli.surroundings import Surroundings
    from advisor.dialogue.doubting import Boards
    from advisor.dialogue.sheet_replies import SheetWanted
    from advisor.dialogue.talk import Conversation, State
    from advisor.sheet.sheet import Sheet

_MOST_NEAR = 6


def carry_out(wanted: SheetWanted, talk: Conversation, state: State, around: Surroundings) -> tuple[State, Reply]:
    """Do what is wanted; what goes wrong is said, and the state stays as it was."""
    try:
        if wanted.wanted == "export":
            return state, Left(_export(wanted, talk, around))
        if wanted.wanted == "save":
            return state, Left(_save(wanted, talk, around))
        if wanted.wanted == "import":
            return _import(wanted, talk, state, around)
        if wanted.wanted == "take":
            return _take(wanted, talk, state, around)
        return _form(wanted, talk, state, around)
    except AdvisorError as error:
        return state, Troubled(str(error))


def _export(wanted: SheetWanted, talk: Conversation, around: Surroundings) -> str:
    from advisor.intake.kept_sheets import sheet_yaml
    from advisor.written_files import HTML, write_whole

    path = Path(_bare(wanted.words)).expanduser()
    if path.suffix.lower() in {".html", ".htm"}:
        write_whole(path, [printed_page(wanted.sheet, talk, around)], heads=HTML)
    else:
        if path.suffix.lower() not in {".yaml", ".yml", ".json"}:
            path = path.with_name(f"{path.name}.yaml")
        write_whole(path, [sheet_yaml(wanted.sheet)])
    return intake_said(talk.knowledge.trees, "exported").format(file=clean(str(path), 200))


def printed_page(sheet: Sheet, talk: Conversation, around: Surroundings) -> str:
    """Return the sheet as a page to print."""
    from advisor.dialogue.sheet_talk import shown_sheet
    from advisor.explain.returning import tell
    from advisor.explain.telling import Telling
    from advisor.explain.text import Say, Table
    from advisor.intake.kept_sheets import sheet_page

    told = tell(shown_sheet(talk, sheet), Telling(talk.knowledge, "metric", around.width, True))
    rows = [(row[0], row[1], row[2]) for block in told if isinstance(block, Table) for row in block.rows]
    return sheet_page("Setup sheet", rows, [block.words for block in told if isinstance(block, Say)])


def _bare(words: str) -> str:
    plain = words.strip().strip("'\"")
    return plain.removeprefix("to ").removeprefix("as ").strip()


def _save(wanted: SheetWanted, talk: Conversation, around: Surroundings) -> str:
    from advisor.intake.kept_sheets import keep_sheet

    alias = _bare(wanted.words)
    keep_sheet(alias, wanted.sheet, around.environ)
    return intake_said(talk.knowledge.trees, "saved").format(alias=clean(alias, 80))


def _import(wanted: SheetWanted, talk: Conversation, state: State, around: Surroundings) -> tuple[State, Reply]:
    from advisor.intake.kept_sheets import kept_sheet
    from advisor.sheet.reading import read_sheet

    named = _bare(wanted.words).removeprefix("from ").strip()
    path = Path(named).expanduser()
    sheet = None if path.is_file() else kept_sheet(named, around.environ)
    if sheet is None:
        sheet = read_sheet(path)
    opening = intake_said(talk.knowledge.trees, "imported").format(file=clean(named, 200))
    return with_sheet(talk, state, sheet, opening)


def _take(wanted: SheetWanted, talk: Conversation, state: State, around: Surroundings) -> tuple[State, Reply]:
    """Put a thing from the shelf on the sheet: the one of that label, or the only one that the letters fit."""
    from advisor.shelf.items import onto_sheet
    from advisor.shelf.store import Shelf

    label = _bare(wanted.words)
    trees = talk.knowledge.trees
    with Shelf(around.environ) as shelf:
        found = shelf.get(label) or shelf.find(label, most=_MOST_NEAR)
    if not found:
        return state, Troubled(intake_said(trees, "not_on_shelf").format(label=clean(label, 80), near=""))
    if len(found) > 1:
        labels = ", ".join(f"{item.label} ({item.kind})" for item in found)
        return state, Troubled(intake_said(trees, "which_of").format(labels=labels))
    opening = intake_said(trees, "taken").format(label=found[0].label)
    new, reply = with_sheet(talk, state, onto_sheet(state.sheet, found[0]), opening)
    return replace(new, shown=reply, before=state), reply


def _form(wanted: SheetWanted, talk: Conversation, state: State, around: Surroundings) -> tuple[State, Reply]:
    if not around.talks_to_a_person or around.environ.get("TERM") == "dumb":
        return state, Troubled(intake_said(talk.knowledge.trees, "form_not_here"))
    from advisor.cli.sheet_form import fill_in

    filled = fill_in(wanted.sheet, talk.knowledge, around)
    if filled is None or filled == wanted.sheet:
        return state, Left(intake_said(talk.knowledge.trees, "unchanged"))
    return with_sheet(talk, state, filled)


# ---------------------------------------------------------------------------------------------- beside the talk


def with_kept(sheet: Sheet, alias: str, around: Surroundings) -> Sheet:
    """Return the sheet that the shop keeps of a customer, where nothing else is known; their gear is offered."""
    if not alias or sheet.leaves:
        return sheet
    from advisor.intake.kept_sheets import gear_of, kept_sheet

    try:
        kept = kept_sheet(alias, around.environ)
    except AdvisorError as error:
        around.note(str(error))
        return sheet
    if kept is None:
        return sheet
    if gear_of(kept):
        around.note(intake_said(around.trees, "gear").format(alias=clean(alias, 80), gear=gear_of(kept)))
    return kept


def shop_boards(around: Surroundings) -> Boards:
    """Return the numbers of the shop's boards; none where it has no shelf, or one that can't be read."""
    from advisor.shop_folder import shelf_folder

    if not shelf_folder(around.environ).is_dir():
        return ()
    from advisor.shelf.store import Shelf

    try:
        with Shelf(around.environ) as shelf:
            return shelf.boards()
    except AdvisorError as error:
        around.note(str(error))
        return ()


def shelf_labels(typed: str, around: Surroundings) -> tuple[str, ...]:
    """Return lines that complete 'take' and a few letters of a label."""
    from advisor.shop_folder import shelf_folder

    letters = typed.partition(" ")[2]
    if not typed.startswith("take ") or not shelf_folder(around.environ).is_dir():
        return ()
    from advisor.shelf.store import Shelf

    try:
        with Shelf(around.environ) as shelf:
            return tuple(f"take {item.label}" for item in shelf.find(letters))
    except AdvisorError:
        return ()


def keep_for(alias: str, sheet: Sheet, around: Surroundings) -> None:
    """Keep what is known of a named customer in the shop's folder, for the next visit; never in the way."""
    if not alias or not sheet.leaves:
        return
    from advisor.intake.kept_sheets import keep_sheet

    try:
        keep_sheet(alias, sheet, around.environ)
    except AdvisorError as error:
        around.note(str(error))
