"""The sheet in words: what is known and how, what is assumed with its ±, what is doubted, what helps most next."""

from __future__ import annotations

from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.sheet_replies import ReadBack, SheetHelped, SheetShown, SheetWanted
from advisor.dialogue.sheet_talk import intake_said
from advisor.explain.telling import Telling, tell
from advisor.explain.text import Block, Heading, Points, Say, Table, Text
from advisor.explain.wording import field_name, in_units, told_words
from advisor.sheet.fields import field_rows
from advisor.sheet.paths import setup_paths
from advisor.sheet.readings import Reading
from advisor.sheet.sheet import Leaf

__all__ = ["Telling", "assumed_words", "leaf_words", "sheet_table", "tell"]

_ORIGINS = {"measured": "measured", "told": "told", "looked_up": "printed", "assumed": "assumed"}
_PARTS = ("labels", "rider", "boots", "board", "bindings", "mount", "measured", "snow")
_UNITS = {"deg": "°", "": ""}


def leaf_words(path: str, leaf: Leaf) -> str:
    """Return a leaf's value in words, with its unit and ±."""
    spread = f" ± {leaf.plus_minus:g}" if leaf.plus_minus else ""
    value = leaf.value
    if isinstance(value, bool):
        return "yes" if value else "no"
    number = (
        f"{value:g}" if isinstance(value, float) else "to".join(map(str, value)) if isinstance(value, tuple) else value
    )
    return f"{str(number).replace('_', ' ')}{spread}{_unit(path)}"


def _unit(path: str) -> str:
    unit = field_rows()[path].unit
    return _UNITS.get(unit, f" {unit}")


def assumed_words(reading: Reading) -> str:
    """Return an assumed number with its ±, in the field's own unit."""
    path = reading.sheet_path
    _, factor = setup_paths()[0].get(path, ("", 1.0))
    value, spread = reading.value / factor, reading.plus_minus / factor
    unit = _unit(path)
    gap = "" if unit == "°" else " "
    return f"{field_name(path)} {round(value, 1):g}{gap}± {round(spread, 1):g}{unit}"


def sheet_table(shown: SheetShown, how: Telling) -> list[Block]:
    """Return what is known as a table, in the sheet's order."""
    rows = [
        (field_name(path), in_units(leaf_words(path, leaf), how.units), _ORIGINS[leaf.origin])
        for part in _PARTS
        for path, leaf in shown.sheet.leaves.items()
        if path.startswith(f"{part}.")
    ]
    return [Table(("field", "value", "how known"), tuple(rows))] if rows else []


@tell.register
def _sheet_shown(reply: SheetShown, how: Telling) -> Text:
    said = how.knowledge.trees
    blocks: list[Block] = [Heading(intake_said(said, "so_far"))]
    if not reply.sheet.leaves:
        return (*blocks, Say(intake_said(said, "nothing_yet")))
    blocks += sheet_table(reply, how)
    if reply.assumed:
        listed = "; ".join(in_units(assumed_words(one), how.units) for one in reply.assumed)
        blocks.append(Say(intake_said(said, "assumed").format(list=listed)))
    blocks += [Say(in_units(doubt.says, how.units)) for doubt in reply.doubts]
    return tuple(blocks)


@tell.register
def _read_back(reply: ReadBack, how: Telling) -> Text:
    trees = how.knowledge.trees
    blocks: list[Block] = [Say(reply.opening)] if reply.opening else []
    if reply.noted:
        blocks.append(Say(f"Noted: {', '.join(_noted(reply, how))}."))
    said = load_phrasebook(trees).said
    blocks += [Say(said["left_out"].format(words=words)) for words in reply.left_out]
    blocks += [Say(words) for words in reply.kept]
    leaves, told = reply.sheet.leaves, {one.key for one in reply.noted}
    more = [
        f"{field_name(path)} {in_units(leaf_words(path, leaves[path]), how.units)}"
        for path in field_rows()
        if path in leaves and path not in told
    ]
    if more and not reply.opening:
        blocks.append(Say(f"{intake_said(trees, 'so_far')}: {', '.join(more)}."))
    if reply.assumed:
        listed = "; ".join(in_units(assumed_words(one), how.units) for one in reply.assumed)
        blocks.append(Say(intake_said(trees, "assumed").format(list=listed)))
    blocks += [Say(in_units(doubt.says, how.units)) for doubt in reply.doubts]
    if reply.ask:
        fact = how.knowledge.facts[reply.ask]
        blocks.append(Say(in_units(intake_said(trees, "next").format(question=fact.question, how=fact.how), how.units)))
        if fact.plus_minus:
            spread = in_units(f"± {fact.plus_minus:g}{_unit(reply.ask)}", how.units)
            blocks.append(Say(intake_said(trees, "good_enough").format(plus_minus=spread)))
    elif reply.sheet.leaves:
        blocks.append(Say(intake_said(trees, "no_more")))
    blocks.append(Say(said["and_the_complaint"]))
    return tuple(blocks)


def _noted(reply: ReadBack, how: Telling) -> list[str]:
    """Return what was taken from the line; a value that took another's place says which."""
    facts, trees = how.knowledge.facts, how.knowledge.trees
    before = dict(zip((one.key for one in reply.noted if one.key in field_rows()), reply.before, strict=True))
    words = []
    for one in reply.noted:
        told = told_words(one.key, one.value, how.units, facts[one.key].options if one.key in facts else None)
        was = before.get(one.key)
        if was is not None and was != one.value:
            shown = in_units(leaf_words(one.key, Leaf(was)), how.units)
            told = intake_said(trees, "was").format(words=told, before=shown)
        words.append(told)
    return words


@tell.register
def _sheet_helped(reply: SheetHelped, how: Telling) -> Text:
    del how
    return (Table(("say", "to see"), reply.commands),)


@tell.register
def _sheet_wanted(reply: SheetWanted, how: Telling) -> Text:
    return (Points((intake_said(how.knowledge.trees, "form_not_here"),)),) if reply.wanted == "form" else ()
