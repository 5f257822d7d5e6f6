"""The last visit, and the questions about it, in words."""

from __future__ import annotations

from advisor.dialogue.correcting import Remember, shortened
from advisor.dialogue.phrasebook import load_phrasebook
from advisor.dialogue.visit import HowItWent, SaveAs, WentOn, load_said
from advisor.explain.sheet_words import Telling, tell  # its replies are told through `tell` as well
from advisor.explain.text import Block, Points, Say, Text
from advisor.explain.wording import in_units

__all__ = ["how_it_went", "remember", "save_as", "tell", "went_on"]


@tell.register
def how_it_went(reply: HowItWent, how: Telling) -> Text:
    """Return a question about the last visit; the first comes with what was advised."""
    said, visit = load_said(how.knowledge.trees), reply.visit
    blocks: list[Block] = []
    if reply.trouble:
        blocks.append(Say(load_phrasebook(how.knowledge.trees).said["lost_once"]))
    if reply.first:
        blocks.append(Say(said["welcome"].format(date=visit.date, complaint=visit.title)))
        changes = " ".join(in_units(words, how.units) for words in visit.changes)
        blocks.append(Say(said["advised"].format(changes=changes) if changes else said["no_change"]))
    blocks.append(Say(reply.question))
    if reply.options:
        blocks.append(Points(reply.options, numbered=True))
    return tuple(blocks)


@tell.register
def went_on(reply: WentOn, how: Telling) -> Text:
    """Return what the answer leads to."""
    del how
    return (Say(reply.words),)


@tell.register
def save_as(reply: SaveAs, how: Telling) -> Text:
    """Return under which alias the conversation is kept."""
    return (Say(load_phrasebook(how.knowledge.trees).said["saved_as"].format(alias=reply.alias)),)


@tell.register
def remember(reply: Remember, how: Telling) -> Text:
    """Return what the shop's own phrases hold from now on."""
    said = load_phrasebook(how.knowledge.trees).said["remembered"]
    return (Say(said.format(words=shortened(reply.wording), complaint=reply.means)),)
